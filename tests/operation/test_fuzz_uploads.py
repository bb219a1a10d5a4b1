"""Every field that takes a file, sent hostile ones: never a 500, a sentence, nothing stored."""

import re
import tracemalloc

import pytest
from django.apps import apps

from riders.spreadsheets import EMPTY, FileProblem, rows_of_file
from tests.operation.form_crawl import Crawl, taken_back
from tests.operation.form_world import build_for_forms
from tests.operation.hostile_files import FILES, NAMES, named, upload, workbook
from tests.operation.test_fuzz_addresses import check

PEOPLE = ("organiser",)
PAGES = ("log-import", "table-entries-import", "event-from-earlier")
SAID = re.compile(r'id="faults".*?<li>(.*?)</li>', re.S)


@pytest.fixture
def crawl(db) -> Crawl:
    return Crawl(build_for_forms(), people=PEOPLE, names=PAGES)


def rows() -> dict[str, int]:
    """How much of everything is stored; the session of who is signed in aside."""
    return {
        model._meta.label: model.objects.count()
        for model in apps.get_models()
        if model._meta.app_label in ("events", "riders", "runsheets", "auth")
    }


def faults_of(answer, before: dict[str, int]) -> list[str]:
    faults = []
    try:
        check(answer, "")
    except AssertionError:
        faults.append(f"{answer.status_code}: {getattr(answer, 'exc_info', '')}")
    if answer.status_code not in (200, 400, 413):
        faults.append(f"answered with {answer.status_code}")
    if "root:x:" in answer.text:
        faults.append("tells what stands in a file of the server")
    is_preview = 'name="rows"' in answer.text or 'name="lines"' in answer.text
    if answer.status_code == 200 and not is_preview and 'name="wish"' not in answer.text:
        said = SAID.search(answer.text)
        if said is None or len(re.sub(r"<[^>]+>", "", said[1]).strip()) < 20:
            faults.append("no sentence")
    if rows() != before:
        faults.append("something is stored")
    return faults


def test_hostile_files(crawl, subtests) -> None:
    client = crawl.clients["organiser"]
    fields = [
        (found, field)
        for found in crawl.found
        for field, control in found.form.controls.items()
        if control.kind == "file"
    ]
    before = rows()
    assert {found.name for found, _ in fields} == set(PAGES)
    for number, (kind, content) in enumerate(FILES.items()):
        for found, field in fields:
            file = upload(NAMES[number % len(NAMES)], content)
            with subtests.test(page=found.name, field=field, kind=kind), taken_back(client):
                answer = client.post(found.action(), found.sent() | found.files | {field: file})
                assert faults_of(answer, before) == []


def test_good_files_are_previewed(crawl) -> None:
    """Else the test above might be refused for something else."""
    client = crawl.clients["organiser"]
    for found in crawl.found:
        if found.files:
            with taken_back(client):
                answer = client.post(found.action(), found.sent() | found.files)
            assert 'id="faults"' not in answer.text, found.name


def test_cells_far_to_the_right_cost_no_memory() -> None:
    """One cell in the last of 16,384 columns of each row: 8 million empty ones were laid out."""
    rows_of_file(workbook(named("Runa")), 1000)  # what is imported for it is not counted
    tracemalloc.start()
    with pytest.raises(FileProblem, match=EMPTY):
        rows_of_file(FILES["far to the right"], 1000)
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()

    assert most < 8 * 1024 * 1024
