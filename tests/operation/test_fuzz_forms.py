"""Every form of the site, one field at a time sent with hostile values.

The forms are found on the pages themselves, with what stands in them. Of any answer must hold:
no 500, nothing that was sent becomes part of the page, nothing of another club is told; what is
refused is named beside its field, and whatever was typed still stands there.
"""

import re
from collections import Counter
from collections.abc import Iterator
from typing import NamedTuple

import pytest
from django.utils.html import escape

from tests.operation.form_crawl import Crawl, Found, shape, taken_back
from tests.operation.form_world import ELSEWHERE, build_for_forms
from tests.operation.hostile import EVERYTHING, can_be_shown, chosen, mutated, same_text, send
from tests.operation.page_forms import seen
from tests.operation.test_fuzz_addresses import HEADERS, check
from tests.operation.test_fuzz_uploads import PAGES as TAKE_FILES

ALIKE = 2 if EVERYTHING else 1  # fields of one address that are alike but for a number
HEADERS_IN = 23  # posts, of which so many as there are headers carry one
# Counts of rows, which a page writes and nobody types: without them no row is read.
COUNTS = re.compile(r"passes|.*-(rows|count|stated)")
AGAIN = {"share"}  # what was sent is done, and the form stands there for the next one
MOVES = re.compile(r"(up|down|remove)-\d+")
# Where a fault of one field is told at another.
TOLD_AT = {"new_password1": "new_password2"}


class Mutation(NamedTuple):
    """One field of a form with a hostile value; the number chooses button and headers."""

    found: Found
    number: int
    field: str
    value: str


@pytest.fixture
def crawl(db, settings) -> Crawl:
    settings.POST_IS_SENT = True  # else some forms are not offered
    return Crawl(build_for_forms())


def mutations(crawl: Crawl, forms: list[Found]) -> Iterator[Mutation]:
    """Every field of the forms with the values that are chosen for it."""
    met: Counter[tuple[str, str]] = Counter()
    number = 0
    for found in forms:
        fields = dict.fromkeys([*found.form.controls, *(name for name, *_ in found.buttons)])
        for field in filter(None, fields):
            alike = (found.person, shape(field))
            met[alike] += 1
            if met[alike] <= ALIKE:
                for value in chosen(found, field, crawl.world.numbers["elsewhere"]):
                    number += 1
                    yield Mutation(found, number, field, value)


def faults_of(crawl: Crawl, mutation: Mutation, refused: set[str]) -> Iterator[str]:
    """What does not hold of the answer to one mutation, and of the page that it leads to."""
    found, number, field, value = mutation
    client = crawl.clients[found.person]
    sent, files = mutated(found.sent(number), found.files, field, value)
    plain = number % HEADERS_IN >= len(HEADERS)
    with taken_back(client):
        answer = post(client, found, number, sent, files, number % HEADERS_IN)
        yield from look(answer)
        if answer.status_code == 200 and plain and found.name not in AGAIN:
            if not COUNTS.fullmatch(field):
                yield from kept(found, sent, answer)
            told = told_by(answer) - refused
            places = {field, TOLD_AT.get(field, field)}
            held = found.form.controls.get(field)
            if held is not None and held.kind == "hidden":
                places.add("(form)")  # nobody can be led to it
            if told and field in shown_again(answer) and not places & told:
                yield f"refused, but names {sorted(told)}"
        if answer.status_code in (301, 302, 303) and answer.url.startswith("/"):
            yield from look(client.get(answer.url))


def refused_already(crawl: Crawl, found: Found) -> list[set[str]]:
    """By button, the fields that are named before anything hostile is sent."""
    client, all_told = crawl.clients[found.person], []
    for button in range(len(found.buttons)):
        with taken_back(client):
            all_told.append(
                told_by(post(client, found, button, found.sent(button), found.files))
            )
    return all_told


def post(client, found, button, sent, files, headers=99):
    if found.via.startswith("/key/"):
        client.get(found.via, follow=True)
    return send(client, found.action(button), sent, files, headers)


def is_page(answer) -> bool:
    return not answer.streaming and answer.get("Content-Type", "").startswith("text/html")


def look(answer) -> Iterator[str]:
    """What must hold of any answer."""
    try:
        check(answer, "")
    except AssertionError as fault:
        yield f"{answer.status_code} {getattr(answer, 'exc_info', '')} {fault}"
    if is_page(answer) and ELSEWHERE in answer.text:
        yield "tells of another club"


def kept(found: Found, sent: dict[str, list[str]], answer) -> Iterator[str]:
    """What was typed and stands nowhere on the page any more."""
    if any(MOVES.fullmatch(value) for values in sent.values() for value in values):
        return  # a row that goes takes its fields along
    names = set(found.form.controls)
    forms = seen(answer.text, "").forms if is_page(answer) else []
    again = max(forms, key=lambda form: len(names & set(form.controls)), default=None)
    if again is None or not names & set(again.controls):
        return
    for name, control in found.form.controls.items():
        given = sent.get(name, [""])[-1]
        if not can_be_shown(control, given) or not given.strip():
            continue
        shown = again.controls[name].values if name in again.controls else []
        if not same_text(given, (shown or [""])[-1]) and escape(given) not in answer.text:
            yield f"{name}: {given[:60]!r} was typed, {shown} stands there"


def shown_again(answer) -> set[str]:
    return set(seen(answer.text, "").names_by_id.values()) if is_page(answer) else set()


def told_by(answer) -> set[str]:
    """The fields that a refusal names; (form) for what is wrong with the whole."""
    if not is_page(answer) or 'id="faults"' not in answer.text:
        return set()
    page = seen(answer.text, "")
    linked = {page.names_by_id.get(link[1:], "") for link in page.links if link[0] == "#"}
    return (linked | page.invalid | {"(form)"}) - {""}


def test_hostile_values(crawl, subtests) -> None:
    assert len(crawl.found) > 80  # else nothing much would be looked at
    taking = {
        found.name
        for found in crawl.found
        for control in found.form.controls.values()
        if control.kind == "file"
    }
    assert taking == set(TAKE_FILES), "ask it for hostile files too"
    for name in sorted({found.name for found in crawl.found}):
        forms = [found for found in crawl.found if found.name == name]
        with subtests.test(form=name):
            before = {id(found): refused_already(crawl, found) for found in forms}
            faults = [
                f"{each.found.person} at {each.found.at}, {each.field} = {each.value[:40]!r}: {fault}"
                for each in mutations(crawl, forms)
                for told in [before[id(each.found)]]
                for fault in faults_of(crawl, each, told[each.number % len(told)])
            ]
            assert not faults, "\n".join(faults)
