"""What changed between two printings, in plain sentences. Pure."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from events.rules.language import gettext as _
from events.rules.language import mark, pgettext
from runsheets.papers.paper import Snapshot

Said = Mapping[str, Any]
Tricks = Mapping[str, Sequence[str]]

SEAT = ("name", "bib", "place", "heat", "scratched")
LABELS = {
    "note": mark("the note"),
    "wishes": mark("what the rider asks for"),
    "turn": mark("the boat for the double-up"),
    "guardian": mark("a guardian"),
    "event": mark("the name of the event"),
    "venue": mark("the venue"),
    "division": mark("the name of the division"),
    "judges": mark("the list of judges"),
    "marks": mark("the list of what is marked"),
}
LONGEST = 160
NOTHING = mark("nothing")


@dataclass(frozen=True)
class Changed:
    """One change. `key` is the rider's, or empty for what concerns everybody; `label` then
    names what it is about as the paper does."""

    key: str
    sentence: str
    label: str = ""


def changes(then: Snapshot, now: Snapshot) -> list[Changed]:
    """Everything that differs: what concerns everybody first, then riders in riding order."""
    found = [Changed("", text, label) for label, text in _of_paper(then.paper, now.paper)]
    for key, said in now.riders.items():
        found += [Changed(key, text) for text in _of_rider(then.riders.get(key), said)]
    for key, said in then.riders.items():
        if key not in now.riders:
            gone = _("{who}: no longer on the sheet.").format(who=called(said))
            found.append(Changed(key, gone))
    return found


def called(said: Said) -> str:
    """Who it is: "Bib 12 Ada Moreau"."""
    name = str(said.get("name", ""))
    return _("Bib {bib} {name}").format(bib=said["bib"], name=name) if said.get("bib") else name


def _of_paper(then: Said, now: Said) -> Iterator[tuple[str, str]]:
    for label in dict.fromkeys((*then, *now)):
        was, is_now = str(then.get(label, "")), str(now.get(label, ""))
        if was == is_now:
            continue
        if label == "edition":
            yield label, _edition(was, is_now)
        else:
            said = _("{label} was {was}, is now {is_now}.")
            named = _capital(_label(label))
            told = said.format(label=named, was=_short(was), is_now=_short(is_now))
            yield label, told


def _of_rider(then: Said | None, now: Said) -> Iterator[str]:
    who = called(now)
    if then is None:
        yield _("{who}: new, {place}.").format(who=who, place=_place(now))
        return
    if then.get("name") != now.get("name"):
        yield _("{who}: was named {name}.").format(who=who, name=then.get("name"))
    if then.get("bib") != now.get("bib"):
        said = _("{who}: had {bib}, now has {new_bib}.")
        yield said.format(who=who, bib=_bib(then), new_bib=_bib(now))
    if then.get("scratched") != now.get("scratched"):
        is_out = now.get("scratched")
        said = _("{who}: scratched.") if is_out else _("{who}: no longer scratched.")
        yield said.format(who=who)
    if now.get("scratched"):
        return  # nothing else of a rider who does not ride matters
    if (then.get("place"), then.get("heat")) != (now.get("place"), now.get("heat")):
        said = _("{who}: moved from {old_place} to {place}.")
        yield said.format(who=who, old_place=_left(then, now), place=_place(now))
    yield from _of_run(who, then.get("run") or {}, now.get("run") or {})
    for label in dict.fromkeys((*then, *now)):
        if label not in (*SEAT, "run") and then.get(label) != now.get(label):
            was, is_now = str(then.get(label, "")), str(now.get(label, ""))
            said = _("{who}: {label} was {was}, is now {is_now}.")
            yield said.format(
                who=who, label=_label(label), was=_short(was), is_now=_short(is_now)
            )


def _of_run(who: str, then: Tricks, now: Tricks) -> Iterator[str]:
    """What differs in a declared run, trick by trick where passes have as many as before."""
    if then == now:
        return
    if not then:
        run = "; ".join(f"{heading}: {_tricks(tricks)}" for heading, tricks in now.items())
        yield _("{who}: declared a run, {run}.").format(who=who, run=run)
        return
    if not now:
        yield _("{who}: has no declared run any more.").format(who=who)
        return
    for heading in dict.fromkeys((*then, *now)):
        was, is_now = then.get(heading, ()), now.get(heading, ())
        name = _within(heading)
        if len(was) != len(is_now):
            yield _place_was(who, name, _tricks(was), _tricks(is_now))
            continue
        for number, (old, new) in enumerate(zip(was, is_now, strict=True), start=1):
            if old != new:
                place = name
                if "," not in heading:
                    place = _("{passage} trick {number}").format(passage=name, number=number)
                yield _place_was(who, place, old, new)


def _place_was(who: str, place: str, was: str, is_now: str) -> str:
    said = _("{who}: {place} was {was}, is now {is_now}.")
    return said.format(who=who, place=place, was=was, is_now=is_now)


def _tricks(tricks: Sequence[str]) -> str:
    return ", ".join(tricks) or _(NOTHING)


def _bib(said: Said) -> str:
    return _("bib {bib}").format(bib=said["bib"]) if said.get("bib") else _("no bib")


def _place(said: Said) -> str:
    place, heat = said.get("place") or 0, said.get("heat") or 0
    if not place:
        return _("not in the running order")
    if not heat:
        return nth(place)
    return _("{place} in heat {heat}").format(place=nth(place), heat=heat)


def _left(then: Said, now: Said) -> str:
    """The place that a rider had; without the heat where that is the same."""
    same_heat = then.get("heat") == now.get("heat") and then.get("place") and now.get("place")
    return nth(then["place"]) if same_heat else _place(then)


def nth(place: int) -> str:
    """A place in figures: "1st", "12th", "23rd"."""
    last = 0 if place % 100 in (11, 12, 13) else place % 10
    said = {
        1: pgettext("place in the running order", "{place}st"),
        2: pgettext("place in the running order", "{place}nd"),
        3: pgettext("place in the running order", "{place}rd"),
    }.get(last) or pgettext("place in the running order", "{place}th")
    return said.format(place=place)


def _edition(was: str, is_now: str) -> str:
    if not was:
        return _("Edition none of the rules is now edition {is_now}.").format(is_now=is_now)
    if not is_now:
        return _("Edition {was} of the rules is now edition none.").format(was=was)
    said = _("Edition {was} of the rules is now edition {is_now}.")
    return said.format(was=was, is_now=is_now)


def _label(label: str) -> str:
    return _(LABELS[label]) if label in LABELS else label


def _short(text: str) -> str:
    text = text.rstrip(".")
    if len(text) > LONGEST:
        text = f"{text[:LONGEST].rsplit(' ', 1)[0]}…"
    return _("“{words}”").format(words=text) if text else _(NOTHING)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _within(heading: str) -> str:
    """The heading of a pass inside a sentence: small in English, where nouns are."""
    return f"p{heading[1:]}" if heading.startswith("Pass ") else heading
