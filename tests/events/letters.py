"""Letters for tests."""

from events.models import Letter
from events.post import send

State = Letter.State
KEY_TEXT = "Go on here:\nhttps://lake.example/key/in/abc:def/\n"


def write(**more) -> Letter:
    """A letter to Ilka, whom the tests invent; its values can be given."""
    values = {"to": "ilka@example.org", "subject": "You are entered", "text": "Hello Ilka"}
    return send(**values | more)


def link_in(letter: Letter) -> str:
    """The path of the link in a letter."""
    line = next(line for line in letter.text.splitlines() if "/key/" in line)
    return line.split("testserver")[-1]
