"""Tricks made by their attributes, because the vocabulary lacks them: a club's or a rider's."""

from collections.abc import Iterable
from functools import lru_cache

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy

from events.rules.trick import Direction, Edge, Family, Takeoff, Trick
from events.rules.vocabulary import Vocabulary, VocabularyError, standard_vocabulary
from events.value_words import choices_in_words


class MadeTrick(models.Model):
    """A trick with the attributes that rules and plans ask about."""

    name = models.CharField(max_length=60)
    family = models.CharField(max_length=20, choices=choices_in_words(Family))
    approach = models.CharField(max_length=10, choices=choices_in_words(Edge))
    takeoff = models.CharField(
        "take-off",
        max_length=20,
        choices=choices_in_words(Takeoff),
        default=Takeoff.WAKE_TO_WAKE,
    )
    invert = models.BooleanField(default=False)
    rotation = models.PositiveIntegerField(
        default=0, help_text=gettext_lazy("The landed turn in degrees, in steps of 180.")
    )
    direction = models.CharField(
        max_length=10, choices=choices_in_words(Direction), default=Direction.NONE
    )
    handle_pass = models.BooleanField(default=False)
    blind = models.BooleanField(gettext_lazy("blind landing"), default=False)
    tier = models.PositiveSmallIntegerField(
        gettext_lazy("difficulty"),
        default=5,
        validators=[MinValueValidator(1), MaxValueValidator(10)],
        help_text=gettext_lazy("1 for the easiest, 10 for the hardest; your own judgement."),
    )
    maker = gettext_lazy("made by hand")

    class Meta:
        abstract = True

    def __str__(self) -> str:
        return self.name

    @property
    def trick(self) -> Trick:
        """The trick as the engine knows it."""
        return Trick(
            key=f"{self._meta.model_name}-{self.pk}",
            name=self.name,
            family=Family(self.family),
            approach=Edge(self.approach),
            takeoff=Takeoff(self.takeoff),
            invert=self.invert,
            rotation=self.rotation,
            direction=Direction(self.direction),
            handle_pass=self.handle_pass,
            blind=self.blind,
            tier=self.tier,
            form=self.name.casefold(),
            source=self.maker,
        )


def vocabulary_with(*made: Iterable[MadeTrick]) -> Vocabulary:
    """The trade's tricks and those made by hand; an earlier set wins where names clash."""
    tricks = tuple(each.trick for tricks in made for each in tricks)
    return _joined(tricks) if tricks else standard_vocabulary()


@lru_cache(maxsize=256)
def _joined(tricks: tuple[Trick, ...]) -> Vocabulary:
    try:
        return standard_vocabulary().with_tricks(tricks)
    except VocabularyError:
        return _one_by_one(tricks)


def _one_by_one(tricks: tuple[Trick, ...]) -> Vocabulary:
    # A name may have come into the vocabulary, or into a club's list, after it was made.
    joined = standard_vocabulary()
    for trick in tricks:
        try:
            joined = joined.with_tricks([trick])
        except VocabularyError:
            continue
    return joined
