"""The format editor as a browser sees it: the fields of the page, and what would be sent."""

from html.parser import HTMLParser

Posted = dict[str, list[str]]


class _Controls(HTMLParser):
    """What a browser would send of the editor's form, without any button."""

    def __init__(self) -> None:
        super().__init__()
        self.sent: Posted = {}
        self.inside = False
        self.name = self.area = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = dict(attrs)
        if tag == "form":
            self.inside = "planner-form" in (found.get("class") or "")
        name = found.get("name") or ""
        if not self.inside:
            return
        if tag == "input" and found.get("type") != "submit":
            if found.get("type") != "checkbox" or "checked" in found:
                self.sent.setdefault(name, []).append(found.get("value") or "")
        elif tag == "select":
            self.name = name
        elif tag == "option" and "selected" in found:
            self.sent.setdefault(self.name, []).append(found.get("value") or "")
        elif tag == "textarea":
            self.area = name
            self.sent[name] = [""]

    def handle_data(self, data: str) -> None:
        if self.area:
            self.sent[self.area][0] += data

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea" and self.area:
            # A browser leaves out the first line break and sends the others as CR LF.
            self.sent[self.area][0] = self.sent[self.area][0].removeprefix("\n")
            self.area = ""
        if tag == "form":
            self.inside = False


def typed(html: str, **changes: str) -> Posted:
    """The editor's fields as they stand on a page, with some changed ("__" for "-")."""
    reader = _Controls()
    reader.feed(html)
    reader.sent.pop("csrfmiddlewaretoken", None)
    return reader.sent | {key.replace("__", "-"): [value] for key, value in changes.items()}
