"""Trick names typed into the log, read into the words that records are kept by."""

from collections.abc import Container

from events.rules.language import gettext as _
from events.rules.language import mark
from events.rules.notation import NotationError, read_trick
from events.rules.vocabulary import Vocabulary
from riders.log_models import TRICK_LONGEST
from riders.services import wording

UNKNOWN_MOST = 200
NOT_READ = mark(
    "Not looked up, because {number} other trick names are not understood either: put "
    "those right first."
)
TOO_LONG = mark("This trick is too long to keep: at most {number} characters.")


class UnknownTrick(ValueError):
    """A text that names no trick; the sentence says so and suggests others."""


class TrickReader:
    """Reads names with a rider's vocabulary; what the log knows already is always known.

    Looking for names that are alike is slow, so a file full of unknown names is given up
    after `UNKNOWN_MOST` of them.
    """

    def __init__(self, vocabulary: Vocabulary, known: Container[str] = ()) -> None:
        self.vocabulary = vocabulary
        self._known = known
        self._read: dict[str, str] = {}
        self._unknown: dict[str, str] = {}

    def read(self, text: str) -> str:
        """The canonical words; raises UnknownTrick with a sentence that suggests others."""
        words = " ".join(text.split())
        if words in self._known:
            return words
        if words in self._read:
            return self._read[words]
        if words not in self._unknown:
            if len(self._unknown) >= UNKNOWN_MOST:
                raise UnknownTrick(_(NOT_READ).format(number=UNKNOWN_MOST))
            self._look_up(words)
        if words in self._unknown:
            raise UnknownTrick(self._unknown[words])
        return self._read[words]

    def _look_up(self, words: str) -> None:
        try:
            found = wording(read_trick(words, self.vocabulary))
        except NotationError as error:
            self._unknown[words] = str(error)
            return
        if len(found) > TRICK_LONGEST:
            self._unknown[words] = _(TOO_LONG).format(number=TRICK_LONGEST)
        else:
            self._read[words] = found
