"""Reads pages in German, and finds what is left in English."""

from html.parser import HTMLParser

from tests.german import english

ENGLISH = english(
    "write", "choose", "nothing", "kept", "landed", "tried", "runs", "pass", "falls", "organiser",
    "rider’s", "before", "after",
)  # fmt: skip
SILENT = {"script", "style", "code", "pre", "svg", "datalist"}
SAID = ("aria-label", "alt", "title", "placeholder", "value")


class Reader(HTMLParser):
    """What a page says to people; what somebody typed or wrote as code is left out."""

    def __init__(self, typed: tuple[str, ...]) -> None:
        super().__init__()
        self.typed = typed
        self.texts: list[str] = []
        self.silent: list[str] = []

    def handle_starttag(self, tag, attrs):
        attributes = dict(attrs)
        if tag in SILENT or attributes.get("lang") == "en":
            self.silent.append(tag)
        names = SAID if tag == "input" and attributes.get("type") == "submit" else SAID[:-1]
        if not self.silent:
            self.texts += [attributes[name] for name in names if attributes.get(name)]

    def handle_endtag(self, tag):
        if self.silent and tag == self.silent[-1]:
            self.silent.pop()

    def handle_data(self, data):
        if not self.silent:
            self.texts.append(data)

    @property
    def text(self) -> str:
        text = " ".join(" ".join(self.texts).split())
        for words in self.typed:
            text = text.replace(words, " ")
        return text


TYPED = (
    "No more than two inverts", "No more than one invert", "Reed Cup", "Reedlake Riders",
    "Long Reed", "The blue dock", "North to south",
)  # fmt: skip


def said(answer, *typed: str) -> str:
    """The words of a page, which is in German from head to foot."""
    html = answer.content.decode()
    assert '<html lang="de"' in html
    reader = Reader((*typed, *TYPED))
    reader.feed(html)
    english = [
        reader.text[max(0, m.start() - 60) : m.end() + 40]
        for m in ENGLISH.finditer(reader.text)
    ]
    assert not english, english
    return reader.text
