"""The check on the command line: exit codes, JSON, options, and no database."""

import json
import os
import subprocess
import sys
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.utils import translation

BASE = Path(__file__).parents[2]
CLUB_DAY = BASE / "fixtures" / "golden" / "club_day.toml"
FREESTYLE = BASE / "fixtures" / "published" / "freestyle_25_seconds.toml"
LEGAL = "Tantrum 80%, TS backroll 4/5 | HS FS 180 50% + double-up HS FS 360 50%"
ILLEGAL = "HS backroll, TS backroll | Tantrum"


def run(*arguments: object, **options: str) -> tuple[int, str]:
    """The exit code, and what the command prints; a CommandError is raised."""
    out = StringIO()
    try:
        call_command("check_run", *map(str, arguments), stdout=out, **options)
    except SystemExit as ended:
        return int(ended.code or 0), out.getvalue()
    return 0, out.getvalue()


def data(*arguments: object) -> dict:
    """What the command prints as JSON."""
    return json.loads(run(*arguments, "--json")[1])


def in_a_process(
    state: Path, *arguments: object, folder: Path = BASE
) -> subprocess.CompletedProcess[str]:
    """The command as people start it, with a state folder of its own."""
    environ = {**os.environ, "BUOYLINE_STATE": str(state), "BUOYLINE_ENV": "made"}
    environ.pop("DATABASE_URL", None)
    command = [sys.executable, str(BASE / "manage.py"), "check_run", *map(str, arguments)]
    return subprocess.run(
        command, cwd=folder, env=environ, capture_output=True, text=True, timeout=60
    )


class TestExitCode:
    def test_legal(self):
        assert run(CLUB_DAY, LEGAL)[0] == 0

    def test_illegal(self):
        """The findings are printed all the same."""
        code, text = run(CLUB_DAY, ILLEGAL)

        assert code == 1
        assert "At most two inverts" in text

    @pytest.mark.parametrize(
        ("toml", "notation", "sentence"),
        [
            ("name = ", "Tantrum", "not TOML that can be read"),
            ("[falls]\nallowed = -1", "Tantrum", "falls, allowed: -1 is out of range"),
            ("", "Tantrumm", "“Tantrumm” is not understood. Did you mean Tantrum"),
        ],
    )
    def test_unreadable(self, tmp_path, toml, notation, sentence):
        file = tmp_path / "format.toml"
        file.write_text(toml, "utf-8")

        with pytest.raises(CommandError, match=sentence) as error:
            run(file, notation)
        assert error.value.returncode == 2

    def test_no_such_file(self, tmp_path):
        with pytest.raises(CommandError, match=r"cannot be read: No such file") as error:
            run(tmp_path / "missing.toml", "Tantrum")
        assert error.value.returncode == 2

    def test_not_text(self, tmp_path):
        file = tmp_path / "format.toml"
        file.write_bytes(b'name = "\xff"')

        with pytest.raises(CommandError, match="not UTF-8 text") as error:
            run(file, "Tantrum")
        assert error.value.returncode == 2

    def test_a_folder_is_no_file(self, tmp_path):
        with pytest.raises(CommandError, match="cannot be read") as error:
            run(tmp_path, "Tantrum")
        assert error.value.returncode == 2


class TestJson:
    def test_keys(self):
        """These keys and no others: programs depend on them."""
        found = data(CLUB_DAY, LEGAL)

        assert set(found) == {"legal", "findings", "route", "survival"}
        assert set(found["route"]) == {"moves", "metres", "dropped"}
        assert set(found["survival"]) == {
            "clean", "complete", "double_up_reached", "double_up_landed", "expected_landed",
            "landed", "tricks",
        }  # fmt: skip
        assert found["findings"]
        for finding in found["findings"]:
            assert set(finding) == {"code", "severity", "pass", "position", "message", "hint"}

    def test_figures(self):
        """Two at 80 %, one at 50 %, and the double-up of 50 % after at most one fall.

        One fall is allowed in the run: it goes on unless two of the first three are missed.
        """
        figures = data(CLUB_DAY, LEGAL)["survival"]

        on_both = 0.8 * 0.8 + 2 * 0.8 * 0.2 * 0.5  # two of pass 1, or one and the first of 2
        assert figures["clean"] == pytest.approx(0.8 * 0.8 * 0.5 * 0.5)
        assert figures["double_up_reached"] == pytest.approx(on_both)
        assert figures["complete"] == pytest.approx(on_both)
        assert figures["double_up_landed"] == pytest.approx(on_both / 2)
        assert [set(each) for each in figures["tricks"]] == [
            {"pass", "position", "reach", "land"}
        ] * 4
        assert [each["reach"] for each in figures["tricks"]] == pytest.approx(
            [1, 1, 1 - 0.2 * 0.2, on_both]
        )
        assert sum(figures["landed"]) == pytest.approx(1)
        assert figures["expected_landed"] == pytest.approx(
            sum(number * share for number, share in enumerate(figures["landed"]))
        )

    def test_findings_say_where(self):
        found = data(CLUB_DAY, ILLEGAL)

        assert found["legal"] is False
        (limit,) = [f for f in found["findings"] if f["code"] == "limit-most"]
        assert (limit["severity"], limit["pass"], limit["position"]) == ("rule", 2, 1)
        assert limit["hint"].endswith(".")

    def test_route(self):
        """A heelside 180 lands switch to port; the toeside roll wants the own stance there."""
        found = data(CLUB_DAY, "HS FS 180, TS backroll | Tantrum")["route"]

        assert found["metres"] == [60 + 15 + 60, 60]
        assert found["moves"] == [{"pass": 1, "position": 2, "move": "turn"}]
        assert found["dropped"] == []

    def test_dropped(self):
        long = (
            "HS FS 360, TS FS 360, HS wake jump, TS wake jump, HS backroll, TS backroll, Shifty"
        )

        found = data(CLUB_DAY, f"{long} | Tantrum")["route"]

        assert found["dropped"] == [{"pass": 1, "position": 7}]

    def test_what_cannot_be_told_is_null(self):
        figures = data(CLUB_DAY, ILLEGAL)["survival"]

        assert set(figures.values()) == {None}

    def test_marked_falls_add_a_story(self):
        found = data(CLUB_DAY, "Tantrum x, TS backroll x | HS FS 180")

        assert set(found) == {"legal", "findings", "route", "survival", "what_if"}
        assert found["what_if"]["ending"] == "ended by falls"
        assert found["what_if"]["not_reached"] == [[2, 1]]


class TestOptions:
    def test_stance_and_side(self):
        """Heelside is from starboard with the left foot forward, from port with the right."""
        heelside = "HS backroll | TS FS 180"

        def moves(*options: str) -> int:
            return len(data(CLUB_DAY, heelside, *options)["route"]["moves"])

        assert moves() == 0
        assert moves("--stance", "right") == 1
        assert moves("--side", "port") == 1
        assert moves("--stance", "right", "--side", "port") == 0

    def test_division_and_round(self):
        """The double-up of the open final."""
        notation = "HS backroll | TS backroll + double-up HS FS 540"

        def legal(*options: str) -> bool:
            return data(FREESTYLE, notation, *options)["legal"]

        assert legal("--division", "Open", "--round", "Final")
        assert not legal("--division", "Open", "--round", "Preliminary")
        assert not legal("--division", "Novice", "--round", "Final")

    def test_boat(self, tmp_path):
        """An override for one boat only."""
        file = tmp_path / "format.toml"
        file.write_text(
            'passes.tricks_most = 2\n[[overrides]]\nwhen = {boat = "Blue"}\n'
            "set = {passes = {tricks_most = 1}}",
            "utf-8",
        )

        assert data(file, "Tantrum, TS backroll")["legal"]
        assert data(file, "Tantrum, TS backroll", "--boat", "Red")["legal"]
        assert not data(file, "Tantrum, TS backroll", "--boat", "blue")["legal"]

    DIFFERING = """
        [[rounds]]
        name = "Heats"
        [[overrides]]
        when = {division = ["Novice", "Junior men"]}
        set = {falls = {allowed = 2}}
        [[overrides]]
        when = {round = "Final", boat = "Blue"}
        set = {double_ups = [{divisions = ["Open"], rounds = ["Last ride"]}]}
    """

    @pytest.mark.parametrize(
        ("option", "value", "near"),
        [
            ("--division", "novise", "Novice"),
            ("--division", "Opens", "Open"),
            ("--round", "Finals", "Final"),
            ("--round", "Preliminary", "Final"),
            ("--boat", "Blu", "Blue"),
        ],
    )
    def test_a_misspelt_name(self, tmp_path, option, value, near):
        """No verdict by the base rules; a round that is not among the rounds is wrong too."""
        file = tmp_path / "format.toml"
        file.write_text(self.DIFFERING, "utf-8")
        sentence = f"The format has no {option[2:]} "

        with pytest.raises(CommandError, match=sentence) as error:
            run(file, "Tantrum", option, value)
        assert error.value.returncode == 2
        if value != "Preliminary":
            assert f'"{near}" may be meant' in str(error.value)

    @pytest.mark.parametrize(
        ("option", "value"),
        [("--division", "Masters"), ("--division", "Junior women"), ("--boat", "Red")],
    )
    def test_a_name_without_an_exception(self, tmp_path, option, value):
        """A format names only divisions in which something differs; others may be right."""
        file = tmp_path / "format.toml"
        file.write_text(self.DIFFERING, "utf-8")

        found = data(file, "Tantrum", option, value)["findings"]

        (said,) = [f for f in found if f["code"] == f"{option[2:]}-not-named"]
        assert said["severity"] == "warning"
        assert value in said["message"]

    def test_any_name_where_the_format_has_none(self):
        found = data(
            CLUB_DAY, LEGAL, "--division", "Novice", "--round", "Final", "--boat", "Red"
        )

        assert not [f for f in found["findings"] if f["code"].endswith("-not-named")]

    def test_a_name_left_out(self, tmp_path):
        """What differs by something that is not given is said, and names it."""
        file = tmp_path / "format.toml"
        file.write_text(self.DIFFERING, "utf-8")

        def said(*options: str) -> dict[str, str]:
            found = data(file, "Tantrum", *options)["findings"]
            return {
                f["code"]: f["message"] for f in found if f["code"].startswith("differs-by")
            }

        assert said() == {
            "differs-by-division":
                "These rules differ by division: Novice and Junior men; checked without one.",
            "differs-by-round": "These rules differ by round: Final; checked without one.",
            "differs-by-boat": "These rules differ by boat: Blue; checked without one.",
        }  # fmt: skip
        assert set(said("--division", "novice", "--round", "Heats")) == {"differs-by-boat"}

    @pytest.mark.parametrize(("option", "value"), [("--stance", "middle"), ("--side", "left")])
    def test_a_wrong_word(self, option, value):
        with pytest.raises(CommandError, match="invalid choice"):
            run(CLUB_DAY, LEGAL, option, value)


class TestText:
    def test_for_a_person(self):
        """The verdict first, then findings, passes and figures."""
        text = run(CLUB_DAY, LEGAL)[1]

        assert text.splitlines()[0] == "Legal: no rule is broken."
        assert "Pass 1: 120 m used, 400 m" in text
        assert "Clean: 16.0%, daring." in text

    def test_marked_falls(self):
        text = run(CLUB_DAY, "Tantrum x, TS backroll x | HS FS 180")[1]

        assert "With the falls that are marked: ended by falls." in text


class TestProcess:
    """As it is started: from any folder, and with nothing but the two texts."""

    def test_legal_without_a_database(self, tmp_path):
        state = tmp_path / "state"
        done = in_a_process(state, CLUB_DAY, LEGAL, "--json", folder=tmp_path)

        assert (done.returncode, done.stderr) == (0, "")
        assert json.loads(done.stdout)["legal"] is True
        assert not [path for path in state.rglob("*") if "sqlite" in path.name]

    def test_illegal(self, tmp_path):
        done = in_a_process(tmp_path, CLUB_DAY, ILLEGAL, "--json")

        assert done.returncode == 1
        assert json.loads(done.stdout)["legal"] is False

    def test_unreadable_speaks_on_stderr_alone(self, tmp_path):
        done = in_a_process(tmp_path, CLUB_DAY, "Tantrumm", "--json")

        assert (done.returncode, done.stdout) == (2, "")
        assert "Did you mean Tantrum" in done.stderr
        assert "Traceback" not in done.stderr

    def test_a_missing_argument(self, tmp_path):
        done = in_a_process(tmp_path, CLUB_DAY)

        assert (done.returncode, done.stdout) == (2, "")
        assert "NOTATION" in done.stderr


@pytest.mark.parametrize("options", [(), ("--json",)])
def test_it_speaks_english_whatever_the_language_of_the_site(
    settings, options
):
    """As all commands do: a script may read what is printed."""
    before = run(CLUB_DAY, ILLEGAL, *options)
    settings.LANGUAGE_CODE = "de"

    with translation.override("de"):
        assert run(CLUB_DAY, ILLEGAL, *options) == before
