"""The work on catalogues: messages are found, kept in step, handed out and taken back."""

from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.utils import translation

from events.project.catalogues.faults import faults
from events.project.catalogues.files import path_of, read
from events.project.catalogues.gathering import Message, in_python, in_template

PYTHON = """
from events.rules.language import gettext as _, mark, mark_in, ngettext
WORDS = mark("A mark")
PLACE = mark_in("ordinal", "first")
def said(number):
    return _("Pass {number} "
             "is long.") + ngettext("{number} fall", "{number} falls", number)
"""
PAGE = """{% translate "50 % of it" %}{% translate "Table" context "people" %}
{% if x %}{% blocktranslate trimmed with name=a.b count n=c %}
  One <b>rider</b> of {{ name }}.
{% plural %}
  {{ n }} <b>riders</b> of {{ name }}.
{% endblocktranslate %}{% endif %}
{% include "x.html" with label=_("Events") %}
"""


@pytest.fixture
def project(tmp_path: Path, settings) -> Path:
    """A project of one Python file and one page."""
    for folder in ("events", "riders", "runsheets", "templates", "fixtures"):
        (tmp_path / folder).mkdir()
    (tmp_path / "pyproject.toml").write_text("")
    note = '[[trick]]\nname = "Raley"\nnote = "Both hands."\n'
    (tmp_path / "fixtures" / "tricks.toml").write_text(note)
    (tmp_path / "events" / "said.py").write_text(PYTHON)
    (tmp_path / "templates" / "page.html").write_text(PAGE)
    settings.BASE_DIR, settings.STATE_DIR = tmp_path, tmp_path / "state"
    return tmp_path


def run(*arguments: str) -> str:
    out = StringIO()
    call_command("translations", "de", *arguments, stdout=out)
    return out.getvalue()


def test_messages_of_python(project: Path) -> None:
    assert list(in_python(project / "events" / "said.py")) == [
        Message("A mark"),
        Message("first", "", "ordinal"),
        Message("Pass {number} is long."),
        Message("{number} fall", "{number} falls"),
    ]


def test_messages_of_a_page() -> None:
    """As the template engine looks them up: a percent sign is doubled, names are in %(…)s."""
    assert set(in_template(PAGE)) == {
        Message("50 %% of it"),
        Message("Table", "", "people"),
        Message("One <b>rider</b> of %(name)s.", "%(n)s <b>riders</b> of %(name)s."),
        Message("Events"),
    }


def test_a_translator_gets_what_is_missing_and_gives_it_back(project: Path, settings) -> None:
    assert "9 faults." in run()
    part = run("--missing", "events/")
    assert 'msgid "A mark"' in part
    assert "Events" not in part

    done = part.replace('msgid "A mark"\nmsgstr ""', 'msgid "A mark"\nmsgstr "Eine Marke"')
    (project / "done.po").write_text(done)
    assert "8 faults." in run("--take", str(project / "done.po"))
    settings.LOCALE_PATHS = [project / "state" / "locale"]
    with translation.override("de"):
        assert translation.gettext("A mark") == "Eine Marke"
    assert "A mark" not in run("--missing", "events/")


def test_what_is_said_no_more_goes_and_what_stays_keeps_its_translation(project: Path) -> None:
    run()
    path = path_of(project, "events", "de")
    path.write_text(path.read_text().replace('"A mark"\nmsgstr ""', '"A mark"\nmsgstr "Marke"'))
    (project / "events" / "said.py").write_text('W = mark("A mark")\n')
    assert "events: said no more: 'first'" in list(faults(project, "de"))
    run()
    assert [each.string for each in read(path, "de") if each.id == "A mark"] == ["Marke"]
    assert not any(each.id == "first" for each in read(path, "de"))


@pytest.mark.parametrize(
    ("english", "german", "fault"),
    [
        ("Pass {number}", "Durchgang {nummer}", "other names in braces"),
        ("<b>Yes</b>", "Ja", "other elements"),
        ("Yes, ", "Ja,", "other space"),
        ("Yes", "", "not translated"),
    ],
)
def test_faults(project: Path, english: str, german: str, fault: str) -> None:
    (project / "events" / "said.py").write_text(f'W = mark("{english}")\n')
    (project / "templates" / "page.html").write_text("")
    (project / "fixtures" / "tricks.toml").write_text("trick = []\n")
    run()
    path = path_of(project, "events", "de")
    empty = f'msgid "{english}"\nmsgstr ""'
    path.write_text(path.read_text().replace(empty, empty[:-1] + f'{german}"'))
    assert [fault in each for each in faults(project, "de")] == [True]


def test_a_file_that_is_none(project: Path) -> None:
    with pytest.raises(CommandError, match="cannot be read"):
        run("--take", str(project / "nowhere.po"))
