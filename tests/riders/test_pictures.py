"""Pictures of a run: to scale, true to the route, whole counts that add up, readable aloud."""

import re
from itertools import pairwise
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest_django.asserts import assertContains

from events.rules.format import Format
from events.rules.loading import load_format
from events.rules.notation import read_run
from events.rules.run import Pass, Run
from riders.pictures.alive import alive
from riders.pictures.course import water_of
from riders.pictures.from_above import from_above, in_words
from riders.pictures.pass_picture import LEFT, SPAN
from riders.pictures.track import WAKE, Kind, Stroke, Track, lane, track_of
from riders.pictures.words import number, shorthand, side_before_moves, start_of, step_in_words
from riders.planning.check import check
from riders.planning.route import Foot, Move, Route, Side, Step, plan_route
from tests.planning.building import formats, run_of, runs, trick

SVG = "{http://www.w3.org/2000/svg}"
RULES = """
double_ups = [{after_pass = 2, cutoff_m = 300}]
pickup_cutoffs = [{at_fraction = 0.75, fall = "any", effect = "ends run"}]
[passes]
count = 2
length_m = 400
direction = "there and back"
[falls]
allowed = 1
counted_per = "run"
next_fall = "ends run"
restart_m = 60
[route]
trick_m = 60
turn_m = 15
cross_m = 25
"""
USUAL = (
    "HS backroll 90%, TS FS 180 80%, HS 180 70% | TS 360 60%, One-wake jump 90% + tantrum 50%"
)


def rules(**changes: str) -> Format:
    text = RULES
    for old, new in changes.items():
        text = re.sub(rf"(?m)^{old} = .*$", new, text)
    return load_format(text)


def route_of(run: str | Run, format: Format, foot: Foot = Foot.LEFT) -> Route:
    return plan_route(read_run(run) if isinstance(run, str) else run, format, foot)


def parsed(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)


def lines(svg: str, css_class: str) -> list[dict[str, float]]:
    """The ends of the lines of a class, x in per cent."""
    return [
        {key: float(line.get(key).rstrip("%")) for key in ("x1", "x2", "y1", "y2")}
        for line in parsed(svg).iter(f"{SVG}line")
        if css_class in line.get("class").split() and line.get("x1").endswith("%")
    ]


def numbers(svg: str) -> list[tuple[str, float, str]]:
    """(number, per cent of the width, classes) of the discs on the water."""
    return [
        (each.find(f".//{SVG}text").text, float(each.get("x").rstrip("%")), each.get("class"))
        for each in parsed(svg).iter(f"{SVG}svg")
        if "disc" in (each.get("class") or "").split() and each.find(f"{SVG}g") is None
    ]


def strokes_of(track: Track, step: Step) -> list[Stroke]:
    """The strokes of a step, its set-up first, in the order in which they are drawn."""
    return [stroke for stroke in track.strokes if stroke.position == step.position]


class TestGeometry:
    def test_positions_are_to_scale(self):
        """Without bonus tricks 400 m are the drawn width, so 100 m are a quarter of it."""
        format = rules(double_ups="double_ups = []")
        svg = from_above(route_of("HS backroll, TS FS 180", format), format, title="Run")

        strokes = lines(svg, "rider--trick")

        assert strokes[0]["x1"] == pytest.approx(LEFT)
        assert strokes[2]["x2"] == pytest.approx(LEFT + SPAN * 60 / 400, abs=0.01)
        assert strokes[-1]["x2"] == pytest.approx(LEFT + SPAN * 120 / 400, abs=0.01)
        marker = sorted(line["x1"] for line in lines(svg, "marker-line"))
        assert marker == pytest.approx([LEFT + SPAN * 0.75, LEFT + SPAN])

    def test_a_pass_that_comes_back_is_mirrored(self):
        """The second pass of a course ridden there and back starts at the right-hand edge,
        and port, on the left of the boat, then lies below."""
        format = rules(double_ups="double_ups = []")
        svg = from_above(route_of(" | TS 360", format), format, title="Run")

        cut = lines(svg, "rider--trick")[1]

        assert cut["x1"] > cut["x2"] > 80
        assert route_of(" | TS 360", format).passes[1].steps[0].before.side is Side.PORT
        assert cut["y1"] > cut["y2"]

    def test_two_passes_the_same_way_are_not_mirrored(self):
        assert not water_of(rules(direction='direction = "same way each pass"'), 2).back
        assert not water_of(rules(direction=""), 2).back
        assert water_of(rules(), 2).back

    def test_starboard_is_below_where_the_boat_goes_right(self):
        """Looking forward starboard is on the right, which is below for a boat going right."""
        format = rules(double_ups="double_ups = []")
        first = lines(
            from_above(route_of("HS backroll", format), format, title=""), "rider--trick"
        )

        assert route_of("HS backroll", format).passes[0].steps[0].before.side is Side.STARBOARD
        assert first[1]["y1"] > first[1]["y2"]

    def test_bonus_tricks_lie_past_the_end(self):
        format = rules()
        svg = from_above(route_of(USUAL, format), format, title="Run")

        end = min(line["x1"] for line in lines(svg, "marker-line"))
        plus = next(x for text, x, _ in numbers(svg) if text == "+")

        assert plus < end

    @given(runs(), formats(), st.sampled_from(Foot))
    def test_the_line_is_unbroken_and_on_the_picture(self, run, format, foot):
        """Each stroke begins where the one before it ends, and all lie within the width."""
        route = plan_route(run, format, foot)
        for each in route.passes:
            track = track_of(each, format, start_of(route, each.pass_no), 10.0)
            tricks = [step for step in each.steps if not step.planned.bonus]
            drawn = [stroke for step in tricks for stroke in strokes_of(track, step)]
            for one, other in pairwise(drawn):
                assert other.from_m == pytest.approx(one.to_m)
                assert other.from_lane == one.to_lane
        svg = from_above(route, format, title="Run")
        for line in lines(svg, "rider"):
            assert LEFT - 0.01 <= line["x1"] <= LEFT + SPAN + 0.01
            assert LEFT - 0.01 <= line["x2"] <= LEFT + SPAN + 0.01


class TestSides:
    @pytest.mark.parametrize("foot", Foot)
    @given(run=runs())
    def test_sides_on_the_picture_are_those_of_the_route(self, foot, run):
        """Wake to wake the line leaves one side and ends on the other; else it stays."""
        format = rules()
        route = plan_route(run, format, foot)
        for each in route.passes:
            track = track_of(each, format, start_of(route, each.pass_no), 10.0)
            spots = [spot for spot in track.spots if spot.step]
            assert [spot.step for spot in spots] == list(each.steps)
            for step in each.steps:
                own = strokes_of(track, step)
                assert own[0].from_lane == lane(side_before_moves(step))
                assert own[-3 if step.planned.trick.changes_side else -1].from_lane in (
                    lane(step.before.side), lane(step.before.side) * WAKE)  # fmt: skip
                assert own[-1].to_lane == lane(step.after.side)

    def test_the_other_foot_forward_starts_on_the_other_side(self):
        """A heelside cut comes from starboard with the left foot forward, from port with the
        right one."""
        format = rules()
        sides = [
            route_of(" | HS backroll", format, foot).passes[1].steps[0].before.side
            for foot in Foot
        ]

        assert sides == [Side.STARBOARD, Side.PORT]
        for foot, far in zip(Foot, ("port", "starboard"), strict=True):
            words = " ".join(in_words(route_of(" | HS backroll", format, foot), format))
            assert (
                f"1 HS backroll: {'starboard' if far == 'port' else 'port'} to {far}" in words
            )

    def test_one_wake_reaches_the_near_wake_only(self):
        track = track_of(route_of("One-wake jump", rules()).passes[0], rules(), None, 10.0)

        assert {stroke.from_lane for stroke in track.strokes} == {1.0, WAKE}

    def test_moves_are_drawn(self):
        """A turn is a loop and a crossing is dotted, both before the trick that needs them."""
        route = route_of("HS 180, HS backroll", rules())
        (step,) = [step for step in route.steps() if step.moves]
        track = track_of(route.passes[0], rules(), start_of(route, 1), 10.0)

        assert step.moves == (Move.TURN, Move.CROSS)
        cross = next(stroke for stroke in track.strokes if stroke.kind is Kind.CROSS)
        assert (cross.from_m, cross.to_m) == (pytest.approx(75), pytest.approx(100))
        turn = next(spot for spot in track.spots if spot.step is None)
        assert turn.metres == pytest.approx(67.5)
        assert 'class="turn"' in from_above(route, rules(), title="Run")


class TestWords:
    def test_each_step_is_in_the_description(self):
        format = rules()
        route = route_of(USUAL, format)
        described = parsed(from_above(route, format, title="Run")).find(f"{SVG}desc").text

        assert "1 HS backroll: starboard to port, own stance." in described
        assert "2 TS FS 180: port to starboard, own stance, lands switch." in described
        assert "2 One-wake jump: stays on starboard, own stance." in described
        assert "+ Double-up: Tantrum: starboard to port, own stance." in described
        assert "No pick-up past 300 m." in described

    @given(runs(), formats())
    def test_words_list_every_step_once_in_order(self, run, format):
        route = plan_route(run, format)
        said = in_words(route, format)

        assert [
            s for s in said if s in {f"{step_in_words(step)}." for step in route.steps()}
        ] == [f"{step_in_words(step)}." for step in route.steps()]

    def test_records_and_chances_are_not_shown(self):
        assert shorthand(read_run("HS backroll 4/5").passes[0].tricks[0]) == "HS backroll"

    def test_filled_is_own_stance_and_hollow_is_switch(self):
        format = rules()
        svg = from_above(route_of("HS 180, switch HS 360", format), format, title="Run")

        assert [(text, kind) for text, _, kind in numbers(svg)] == [
            ("1", "disc disc--own"), ("2", "disc disc--switch"),
        ]  # fmt: skip

    def test_names_are_escaped(self):
        run = run_of([trick('<script>"&')])
        svg = from_above(plan_route(run, rules()), rules(), title="A & <b>")

        assert "<script" not in svg
        assert parsed(svg).find(f"{SVG}title").text == "A & <b>"
        assert '1 <script>"&:' in parsed(svg).find(f"{SVG}desc").text


class TestHardCases:
    def test_a_run_without_passes(self):
        assert (
            parsed(from_above(Route(Foot.LEFT, Side.PORT, ()), rules(), title="Run"))
            is not None
        )

    def test_passes_without_tricks_say_so(self):
        empty = plan_route(Run((Pass(), Pass())), rules())

        assert "No tricks planned." in from_above(empty, rules(), title="Run")

    def test_a_long_run_keeps_its_numbers_apart(self):
        """Four passes of twelve tricks: no disc covers another at the narrowest width."""
        format = rules(trick_m="trick_m = 15", count="count = 4")
        run = run_of(*[[trick("Straight air")] * 12] * 4)
        svg = from_above(plan_route(run, format), format, title="Run")
        found = [
            (float(each.get("x").rstrip("%")) * 3.2, float(each.get("y")))
            for each in parsed(svg).iter(f"{SVG}svg")
            if "disc" in (each.get("class") or "").split() and each.find(f"{SVG}g") is None
        ]

        assert len(found) == 48
        for at, one in enumerate(found):
            for other in found[at + 1 :]:
                assert max(abs(one[0] - other[0]), abs(one[1] - other[1])) >= 17

    def test_what_no_longer_fits_is_dashed_and_said(self):
        format = rules(trick_m="trick_m = 150")
        route = route_of("HS backroll, TS 360, HS 180", format)
        svg = from_above(route, format, title="Run")

        assert [step.fits for step in route.steps()] == [True, True, False]
        assert [kind for _, _, kind in numbers(svg)][-1] == "disc disc--own disc--dropped"
        assert 'class="rider rider--dropped"' in svg
        assert (
            "3 HS FS 180: starboard to port, own stance, lands switch, no longer fits the pass."
            in svg
        )

    def test_more_passes_than_the_format_has(self):
        format = rules(count="count = 1", double_ups="double_ups = []")

        assert "Pass 3" in from_above(
            route_of("Indy | Indy | Indy", format), format, title="Run"
        )

    def test_a_length_that_is_not_stated(self):
        format = rules(length_m="")

        assert "length not stated" in from_above(route_of("Indy", format), format, title="Run")


def test_numbers_are_those_of_the_planner():
    """A bonus trick has no row number, so it is a plus sign."""
    assert [number(step) for step in route_of(USUAL, rules()).steps()] == [
        "1",
        "2",
        "3",
        "1",
        "2",
        "+",
    ]


def test_no_inline_style():
    """A strict content security policy blocks it."""
    route, survival = route_of(USUAL, rules()), check(read_run(USUAL), rules()).survival
    for svg in (from_above(route, rules(), title=""), alive(survival, title="")):
        assert "style=" not in svg
        assert "<style" not in svg


class TestOnThePage:
    def test_the_planner_shows_all_three(self, desk):
        page = desk.post("HS backroll 80%", "Indy 50%")

        for picture in ("from-above", "alive", "landed"):
            assertContains(page, f'class="picture {picture}"', count=1)

    def test_without_chances_only_the_view_from_above(self, desk):
        page = desk.post("HS backroll", "Indy").content.decode()

        assert 'class="picture from-above"' in page
        assert 'class="picture alive"' not in page
