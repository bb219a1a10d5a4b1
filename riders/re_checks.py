"""What a new edition means for runs that were declared under an earlier one.

A declared run is never altered. It is checked again under the edition in force, its rider is
told what changed and what it means, and organisers see who has not declared again.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby
from urllib.parse import urlencode

from django.conf import settings
from django.db.models import QuerySet
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone, translation
from django.utils.translation import gettext_lazy

from events.lake_days import is_over
from events.languages import languages_of
from events.models import Division, Edition, Letter
from events.post import draft, links_for, send_all
from events.rules.differences import Difference, differences
from events.rules.findings import Grade
from riders.models import Declaration, Entry, Rider
from riders.planning.route import Side
from riders.services import check_under, declared_run, say_when

NO_ROUND = gettext_lazy(
    "The rules name no round “{name}” any more: declare a run for each round they name."
)
NOW_ROUNDS = gettext_lazy("The rules have rounds now, {names}: declare a run for each.")
ABOUT = gettext_lazy("Edition {number} of {division}")
BREAKS = gettext_lazy("Your declared run breaks a new rule: {division}, {event}")
CHANGED = gettext_lazy("The rules have changed: {division}, {event}")
TOLD_MOST = 40  # changes that a letter lists; the page of the rules has them all


@dataclass(frozen=True)
class ReCheck:
    """A declared run under the edition in force: what changed for its round since the edition
    it was declared under, and the rules it breaks now, as sentences in a language."""

    declaration: Declaration
    differences: tuple[Difference, ...]
    broken: tuple[str, ...]
    language: str | None

    @property
    def still_legal(self) -> bool:
        """Whether the run breaks no rule of the edition in force."""
        return not self.broken

    @property
    def entry(self) -> Entry:
        """Whose run it is."""
        return self.declaration.entry


def re_check(division: Division, *, for_letters: bool = False) -> list[ReCheck]:
    """Every declared run in force of riders with a place, if an older edition stands on it.

    One query beside those for the division and its editions; by name and round. What is said
    `for_letters` is in the language of each rider, which takes one query more.
    """
    edition = division.edition
    if edition is None:
        return []
    edition.division = division
    changed: dict[tuple[int, str, str | None], tuple[Difference, ...]] = {}
    found = []
    runs = list(_outdated(division, edition))
    languages = _read_by_riders(runs) if for_letters else {}
    for each in runs:
        each.edition.division = each.entry.division = division
        language = languages.get(each.pk, translation.get_language())
        key = (each.edition_id, each.round_name, language)
        with translation.override(language):
            if key not in changed:
                changed[key] = _changes(each.edition, edition, each.round_name)
            broken = broken_under(edition, each, each.entry.rider)
        found.append(ReCheck(each, changed[key], broken, language))
    return found


def _read_by_riders(runs: Sequence[Declaration]) -> dict[int, str]:
    """The language that the rider of each run reads letters in."""
    chosen = languages_of(each.entry.rider.user_id for each in runs)
    usual = settings.LANGUAGE_CODE
    return {each.pk: chosen.get(each.entry.rider.user_id, usual) for each in runs}


def _outdated(division: Division, edition: Edition) -> QuerySet[Declaration]:
    runs = Declaration.objects.in_force().filter(
        entry__division=division, entry__state=Entry.State.RIDING
    )
    order = ("entry__rider__family_name", "entry__rider__given_name", "entry", "round_name")
    with_names = runs.select_related("entry__rider__user", "edition")
    return with_names.exclude(edition=edition).order_by(*order)


def _changes(old: Edition, new: Edition, round_name: str) -> tuple[Difference, ...]:
    """What changed for one round, as a rider of the division sees it."""
    name = round_name or None
    return differences(old.effective(name), new.effective(name))


def broken_under(edition: Edition, declared: Declaration, rider: Rider) -> tuple[str, ...]:
    """The rules of an edition that a declared run breaks, a sentence each."""
    names, own = edition.round_names, declared.round_name
    if own and own not in names:
        return (NO_ROUND.format(name=own),)
    if names and not own:
        return (NOW_ROUNDS.format(names=", ".join(names)),)
    # The side that the rider starts from weighs in the route only, never in a rule.
    result = check_under(edition, declared_run(declared), rider, Side.STARBOARD, own)
    # A trick that is banned and planned twice breaks one rule, told once.
    told = (each.message for each in result.findings if each.grade is Grade.RULE)
    return tuple(dict.fromkeys(told))


# ---- Letters to the riders concerned -----------------------------------------------------


def tell_riders(edition: Edition) -> list[Letter]:
    """Write to each rider who declared under an earlier edition, once per edition.

    Nobody is told after the event. Returns the letters that were meant to be written.
    """
    division = edition.division
    event = division.event
    if is_over(event):
        return []
    checked = re_check(division, for_letters=True)
    by_entry = [
        (entry, list(checks)) for entry, checks in groupby(checked, key=lambda each: each.entry)
    ]
    links = links_for([(entry.rider.user, plan_path(checks[0])) for entry, checks in by_entry])
    letters = [
        _letter(edition, entry, checks, link)
        for (entry, checks), link in zip(by_entry, links, strict=True)
    ]
    if letters:
        send_all(letters)
    return letters


def plan_path(each: ReCheck) -> str:
    """Where the rider plans the round of a declared run."""
    path = reverse("plan", args=[each.declaration.entry_id])
    names = each.entry.division.edition.round_names if each.entry.division.edition else []
    name = each.declaration.round_name
    return f"{path}?{urlencode({'round': name})}" if name in names else path


def dedupe_of(edition: Edition, entry: Entry) -> str:
    """What makes the letter to one rider about one edition the only one."""
    return f"edition-{edition.pk}-entry-{entry.pk}"


def _letter(edition: Edition, entry: Entry, checks: list[ReCheck], link: str) -> Letter:
    division, user = edition.division, entry.rider.user
    breaks = not all(each.still_legal for each in checks)
    with translation.override(checks[0].language):
        context = {
            "rider": entry.rider,
            "division": division,
            "event": division.event,
            "edition": edition,
            "rounds": [_told(each, division) for each in checks],
            "breaks": breaks,
            "link": link,
        }
        said = BREAKS if breaks else CHANGED
        subject = said.format(division=division, event=division.event)
        text = render_to_string("riders/mail/edition.txt", context)
    return draft(
        to=user.email,
        subject=subject,
        text=text,
        event=division.event,
        about=ABOUT.format(number=edition.number, division=division),
        dedupe=dedupe_of(edition, entry),
        person=user,
    )


def _told(each: ReCheck, division: Division) -> dict[str, object]:
    """One declared run as the letter tells it."""
    deadline = division.deadline(each.declaration.round_name or None)
    return {
        "name": each.declaration.round_name,
        "run": each.declaration.notation,
        "under": each.declaration.edition.number,
        "changes": [change.sentence for change in each.differences[:TOLD_MOST]],
        "more": max(0, len(each.differences) - TOLD_MOST),
        "broken": each.broken,
        "deadline": say_when(deadline, division.event),
        "is_open": timezone.now() <= deadline,
    }


# ---- For organisers ----------------------------------------------------------------------


@dataclass(frozen=True)
class NotAgain:
    """A rider who has not declared again, and the letter that told so."""

    check: ReCheck
    letter: Letter | None

    @property
    def by_hand(self) -> bool:
        """Whether somebody has to tell the rider, because no letter reached them."""
        done = (Letter.State.SENT, Letter.State.WAITING, Letter.State.HANDED)
        return self.letter is None or self.letter.state not in done


def not_again(division: Division, checks: Iterable[ReCheck]) -> list[NotAgain]:
    """The riders of these checks with their letters; those who break a rule first."""
    edition = division.edition
    if edition is None:
        return []
    listed = list(checks)
    keys = {dedupe_of(edition, each.entry) for each in listed}
    letters = {each.dedupe: each for each in Letter.objects.filter(dedupe__in=keys)}
    found = [NotAgain(each, letters.get(dedupe_of(edition, each.entry))) for each in listed]
    return sorted(found, key=lambda each: each.check.still_legal)
