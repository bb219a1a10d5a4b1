"""The rows of a dock card: the run, its set-up moves, and what to remember between passes."""

from hypothesis import given
from hypothesis import strategies as st

from events.rules.format import Format
from events.rules.loading import load_format
from events.rules.notation import read_run
from events.rules.run import Run
from riders.planning.route import Foot, Side, plan_route
from runsheets.card import EMPTY, CardHead, DockCard, card_rows
from tests.planning.building import formats, runs

RULES = """
double_ups = [{after_pass = 2, condition = "run still going", cutoff_m = 300}]
pickup_cutoffs = [{at_fraction = 0.75, fall = "any", effect = "ends run"}]
[passes]
count = 2
length_m = 400
[falls]
allowed = 1
counted_per = "run"
next_fall = "ends run"
[route]
trick_m = 60
turn_m = 15
cross_m = 25
"""
HEAD = CardHead(
    "Ilka Moorfield", "Reed Cup", "Open", "Final", "Declared run 2", 3, "6 June, 08:00."
)


def card(
    run: str | Run, rules: str | Format = RULES, foot: Foot = Foot.LEFT, **more
) -> DockCard:
    format = load_format(rules) if isinstance(rules, str) else rules
    planned = read_run(run) if isinstance(run, str) else run
    return card_rows(
        plan_route(planned, format, foot, more.pop("side", Side.STARBOARD)),
        format,
        HEAD,
        **more,
    )


def test_tricks_are_numbered_in_each_pass():
    found = card("HS backroll 4/5, TS 360 60% | Indy + tantrum")

    assert [each.heading for each in found.passes] == ["Pass 1", "Pass 2"]
    assert [(line.label, line.text) for line in found.passes[0].lines] == [
        ("1", "HS backroll"), ("2", "TS FS 360"),
    ]  # fmt: skip
    bonus = found.passes[1].lines[-1]
    assert (bonus.label, bonus.text, bonus.is_bonus) == ("Double-up", "Tantrum", True)


def test_moves_are_small_words():
    """After a 180 to port landed switch, a backroll from starboard needs a turn and a crossing."""
    lines = card("HS 180, HS backroll").passes[0].lines

    assert [line.moves for line in lines] == ["", "turn, cross"]


def test_the_start_of_each_pass():
    """The first pass starts on the side chosen; the others as their first trick wants."""
    found = card("HS backroll | switch TS 180", side=Side.PORT)

    assert found.passes[0].start == "port, own stance"
    assert found.passes[0].lines[0].moves == "cross"
    assert found.passes[1].start == "starboard, switch"
    assert card("Indy | switch TS 180", foot=Foot.RIGHT).passes[1].start == "port, switch"


def test_reminders():
    """Falls both ways, what keeps and loses the double-up, where there is no pick-up."""
    said = dict_of(card("Indy"))

    assert said["Falls"] == ["One fall allowed: the second ends your run."]
    assert said["Double-up"] == [
        "There is a double-up after pass 2. You get it if your run is still going."
    ]
    assert said["Cutoff"] == [
        "A fall past 300 m in pass 2 loses the double-up.",
        "A fall past 300 m in a pass: no pick-up, your run ends.",
    ]
    assert said["Declare by"] == ["6 June, 08:00."]


def dict_of(found: DockCard) -> dict[str, list[str]]:
    said: dict[str, list[str]] = {}
    for label, text in found.reminders:
        said.setdefault(label, []).append(text)
    return said


def test_only_the_first_fall_and_only_the_pass():
    rules = RULES.replace(
        '{at_fraction = 0.75, fall = "any", effect = "ends run"}',
        '{pass = 1, at_m = 250, fall = "first", effect = "ends pass"}',
    )

    assert (
        "Your first fall, if past 250 m in pass 1: no pick-up, the pass ends."
        in dict_of(card("Indy", rules))["Cutoff"]
    )


def test_passes_of_different_length_have_no_one_place():
    """Three quarters of 400 m and of 300 m are two places: the words of the rules stand."""
    rules = RULES.replace("length_m = 400", "length_m = [400, 300]")

    assert any("three quarters" in text for text in dict_of(card("Indy", rules))["Cutoff"])


def test_what_is_not_stated_is_said():
    said = dict_of(card("Indy", "[passes]\ncount = 1"))

    assert all(
        "ask the organiser" in text
        for label in ("Falls", "Double-up", "Cutoff")
        for text in said[label]
    )


def test_which_run_it_is():
    assert card("Indy").head.which == "Declared run 2  ·  Edition 3"
    assert card("Indy").head.contest == "Reed Cup, Open, Final"


def test_back_ups_stand_at_their_tricks():
    found = card("Indy, HS backroll", back_ups={(1, 2): "TS Indy"})

    assert [line.back_up for line in found.passes[0].lines] == ["", "TS Indy"]
    assert "Back-up" in dict_of(found)
    assert "Back-up" not in dict_of(card("Indy"))


def test_what_no_longer_fits_is_marked():
    lines = card(", ".join(["Indy"] * 7)).passes[0].lines

    assert [line.fits for line in lines] == [True] * 6 + [False]


def test_an_empty_run():
    assert card("").note == EMPTY
    assert card("", notes=["1 row cannot be read."]).note == f"1 row cannot be read. {EMPTY}"


@given(runs(), formats(), st.sampled_from(Foot))
def test_every_trick_is_on_the_card_once(run, format, foot):
    """Whatever the format: nothing is left out, and no record or chance is printed."""
    found = card(run, format, foot)

    lines = [line for each in found.passes for line in each.lines]
    assert len(lines) == len(run)
    assert not any("%" in line.text or "/" in line.text for line in lines)
