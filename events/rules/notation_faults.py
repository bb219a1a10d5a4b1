"""What is not understood in a line of notation: the sentences, and the error that has them."""

from collections.abc import Mapping
from typing import NamedTuple

from events.rules.answers_words import either
from events.rules.language import gettext as _
from events.rules.language import mark, ngettext

_SHOWN = 10  # faults named in the text of an error; more would only be scrolled past

SAID_TWICE = {
    "stance": mark(
        "Two stances are given, {first} and {second}: is a comma missing before the second? "
        "Otherwise keep one."
    ),
    "approach": mark(
        "Two edges are given, {first} and {second}: is a comma missing before the second? "
        "Otherwise keep one."
    ),
    "direction": mark(
        "Two directions are given, {first} and {second}: is a comma missing before the "
        "second? Otherwise keep one."
    ),
    "takeoff": mark(
        "Two take-offs are given, {first} and {second}: is a comma missing before the second? "
        "Otherwise keep one."
    ),
    "rotation": mark(
        "Two turns are given, {first} and {second}: is a comma missing before the second? "
        "Otherwise keep one."
    ),
    "grab": mark(
        "Two grabs are given, {first} and {second}: is a comma missing before the second? "
        "Otherwise keep one."
    ),
}
NO_NAME = mark("“{words}” does not name a trick.")
ANOTHER_TRICK = mark("“{words}” names another trick: is a comma missing?")
STRANGE = mark("“{words}” is not understood.")


class Misread(NamedTuple):
    """The first words not understood, where they begin, why, and what to compare them to.

    It is kept for every language: the sentence is made when it is asked for.
    """

    word: str
    start: int
    why: str
    said: Mapping[str, str]
    like: str = ""
    rest_is_trick: bool = False
    """Whether the other words name a trick, so that this one was to be a modifier."""

    @property
    def message(self) -> str:
        """Why, as a sentence."""
        return _(self.why).format(**self.said)


class Problem(NamedTuple):
    """One thing not understood: the words, where they begin in the whole text, a sentence,
    and what may have been meant. `where` names pass and trick when there are several."""

    word: str
    start: int
    message: str
    suggestions: tuple[str, ...] = ()
    where: str = ""

    @property
    def sentence(self) -> str:
        """Where it is, the message, and the suggestions as a question."""
        words = f"{self.where}: {self.message}" if self.where else self.message
        if not self.suggestions:
            return words
        asked = _("Did you mean {names}?").format(names=either(self.suggestions))
        return f"{words} {asked}"


class NotationError(ValueError):
    """A text that is not a run. `problems` holds everything that was not understood, in
    order; `word`, `start`, `message` and `suggestions` are those of the first. As a text
    it names the first ten and says how many more there are."""

    def __init__(self, text: str, problems: tuple[Problem, ...]) -> None:
        self.text = text
        self.problems = problems
        self.word, self.start, self.message, self.suggestions, _where = problems[0]
        sentences = [each.sentence for each in problems[:_SHOWN]]
        if len(problems) > _SHOWN:
            left = len(problems) - _SHOWN
            sentences.append(
                ngettext("And {number} more.", "And {number} more.", left).format(number=left)
            )
        super().__init__(" ".join(sentences))


def too_early(record: str, after_a_trick: bool) -> str:
    """Of landings or a chance with more of the trick after them."""
    said = (
        _(
            "Landings and chances stand after their trick, but “{record}” is followed by more: "
            "is a comma missing after it?"
        )
        if after_a_trick
        else _(
            "Landings and chances stand after their trick, but “{record}” is followed by more: "
            "there is no trick before it."
        )
    )
    return said.format(record=short(record))


def short(text: str) -> str:
    """A quotation that fits in a sentence."""
    return text if len(text) <= 40 else f"{text[:39]}…"
