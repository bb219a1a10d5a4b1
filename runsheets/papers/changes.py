"""What changed between two printings, in plain sentences. Pure."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from runsheets.papers.paper import Snapshot

Said = Mapping[str, Any]
Tricks = Mapping[str, Sequence[str]]

SEAT = ("name", "bib", "place", "heat", "scratched")
LABELS = {
    "note": "the note",
    "wishes": "what the rider asks for",
    "turn": "the boat for the double-up",
    "guardian": "a guardian",
    "event": "the name of the event",
    "venue": "the venue",
    "division": "the name of the division",
    "judges": "the list of judges",
    "marks": "the list of what is marked",
}
LONGEST = 160
NOTHING = "nothing"


@dataclass(frozen=True)
class Changed:
    """One change. `key` is the rider's, or empty for what concerns everybody."""

    key: str
    sentence: str


def changes(then: Snapshot, now: Snapshot) -> list[Changed]:
    """Everything that differs: what concerns everybody first, then riders in riding order."""
    found = [Changed("", text) for text in _of_paper(then.paper, now.paper)]
    for key, said in now.riders.items():
        found += [Changed(key, text) for text in _of_rider(then.riders.get(key), said)]
    for key, said in then.riders.items():
        if key not in now.riders:
            found.append(Changed(key, f"{called(said)}: no longer on the sheet."))
    return found


def called(said: Said) -> str:
    """Who it is: "Bib 12 Ada Moreau"."""
    name = str(said.get("name", ""))
    return f"Bib {said['bib']} {name}" if said.get("bib") else name


def _of_paper(then: Said, now: Said) -> Iterator[str]:
    for label in dict.fromkeys((*then, *now)):
        was, is_now = str(then.get(label, "")), str(now.get(label, ""))
        if was == is_now:
            continue
        if label == "edition":
            yield f"Edition {was or 'none'} of the rules is now edition {is_now or 'none'}."
        else:
            yield _sentence(f"{_capital(LABELS.get(label, label))} {_was(was, is_now)}")


def _of_rider(then: Said | None, now: Said) -> Iterator[str]:
    who = called(now)
    if then is None:
        yield f"{who}: new, {_place(now)}."
        return
    if then.get("name") != now.get("name"):
        yield f"{who}: was named {then.get('name')}."
    if then.get("bib") != now.get("bib"):
        yield f"{who}: had {_bib(then)}, now has {_bib(now)}."
    if then.get("scratched") != now.get("scratched"):
        yield f"{who}: {'scratched' if now.get('scratched') else 'no longer scratched'}."
    if now.get("scratched"):
        return  # nothing else of a rider who does not ride matters
    if (then.get("place"), then.get("heat")) != (now.get("place"), now.get("heat")):
        yield f"{who}: moved {_moved(then, now)}."
    for text in _of_run(then.get("run") or {}, now.get("run") or {}):
        yield f"{who}: {text}."
    for label in dict.fromkeys((*then, *now)):
        if label not in (*SEAT, "run") and then.get(label) != now.get(label):
            was, is_now = str(then.get(label, "")), str(now.get(label, ""))
            yield _sentence(f"{who}: {LABELS.get(label, label)} {_was(was, is_now)}")


def _of_run(then: Tricks, now: Tricks) -> Iterator[str]:
    """What differs in a declared run, trick by trick where passes have as many as before."""
    if then == now:
        return
    if not then:
        yield f"declared a run, {'; '.join(f'{p}: {_tricks(t)}' for p, t in now.items())}"
        return
    if not now:
        yield "has no declared run any more"
        return
    for heading in dict.fromkeys((*then, *now)):
        was, is_now = then.get(heading, ()), now.get(heading, ())
        name = _small(heading)
        if len(was) != len(is_now):
            yield f"{name} was {_tricks(was)}, is now {_tricks(is_now)}"
            continue
        for number, (old, new) in enumerate(zip(was, is_now, strict=True), start=1):
            if old != new:
                place = f"{name} trick {number}" if "," not in heading else name
                yield f"{place} was {old}, is now {new}"


def _tricks(tricks: Sequence[str]) -> str:
    return ", ".join(tricks) or NOTHING


def _bib(said: Said) -> str:
    return f"bib {said['bib']}" if said.get("bib") else "no bib"


def _place(said: Said) -> str:
    place, heat = said.get("place") or 0, said.get("heat") or 0
    if not place:
        return "not in the running order"
    return f"{nth(place)} in heat {heat}" if heat else nth(place)


def _moved(then: Said, now: Said) -> str:
    same_heat = then.get("heat") == now.get("heat") and then.get("place") and now.get("place")
    here = nth(then["place"]) if same_heat else _place(then)
    return f"from {here} to {_place(now)}"


def nth(place: int) -> str:
    """A place in figures: "1st", "12th", "23rd"."""
    if place % 100 in (11, 12, 13):
        return f"{place}th"
    return f"{place}{ {1: 'st', 2: 'nd', 3: 'rd'}.get(place % 10, 'th') }"


def _was(was: str, is_now: str) -> str:
    return f"was {_short(was)}, is now {_short(is_now)}"


def _short(text: str) -> str:
    text = text.rstrip(".")
    if len(text) > LONGEST:
        text = f"{text[:LONGEST].rsplit(' ', 1)[0]}…"
    return f"“{text}”" if text else NOTHING


def _sentence(text: str) -> str:
    return f"{text}."


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _small(text: str) -> str:
    return text[:1].lower() + text[1:]
