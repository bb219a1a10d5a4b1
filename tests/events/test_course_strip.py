"""The picture of a course: true to scale, readable without colour, safe with any words."""

from itertools import pairwise
from xml.etree import ElementTree

import pytest

from events.course_strip import StripMark, StripPass, StripTick, course_strip, strip_words

SVG = "{http://www.w3.org/2000/svg}"
BUOYS = (StripMark(0, "Start", "start"), StripMark(300, "End", "end"))


def drawn(*passes: StripPass, title: str = "Course") -> ElementTree.Element:
    return ElementTree.fromstring(course_strip(passes, title=title))


def places(picture: ElementTree.Element, kind: str) -> list[float]:
    """Where the outlines of a kind lie, in per cent; those of the legend left out."""
    found = picture.iter(f"{SVG}svg")
    at = [s.get("x") for s in found if f"strip-symbol--{kind}" in s.get("class", "").split()]
    return [float(x.rstrip("%")) for x in at if x != "0.00%"]


def words(picture: ElementTree.Element, css_class: str) -> dict[str, ElementTree.Element]:
    return {t.text: t for t in picture.iter(f"{SVG}text") if t.get("class") == css_class}


class TestScale:
    def test_marks_lie_in_proportion_to_their_metres(self):
        """A marker at two thirds of the course is drawn at two thirds of the water."""
        marks = (*BUOYS, StripMark(200, "Cutoff", "cutoff"))

        picture = drawn(StripPass(1, 300, marks))

        (start,), (end,) = places(picture, "start"), places(picture, "end")
        (cutoff,) = places(picture, "cutoff")
        assert (cutoff - start) / (end - start) == pytest.approx(2 / 3, abs=1e-3)

    def test_tricks_cover_the_water_they_use(self):
        """A trick of 30 m on 300 m of water is a tenth of it wide, from where it begins."""
        picture = drawn(StripPass(1, 300, BUOYS, (StripTick(60, 90, "Raley"),)))

        (start,), (end,) = places(picture, "start"), places(picture, "end")
        (bar,) = picture.findall(f"{SVG}rect[@class='strip-tick strip-tick--planned']")
        left, width = float(bar.get("x")[:-1]), float(bar.get("width")[:-1])
        assert left == pytest.approx(start + (end - start) * 0.2, abs=0.02)
        assert width == pytest.approx((end - start) * 0.1, abs=0.02)

    def test_pass_to_the_left_is_mirrored(self):
        """There and back over the same buoys: metres count from the other side."""
        marks = (StripMark(0, "Start", "start"), StripMark(100, "Cutoff", "cutoff"))

        picture = drawn(StripPass(1, 300, marks), StripPass(2, 300, marks, direction="left"))

        there, back = places(picture, "cutoff")
        assert there + back == pytest.approx(100, abs=0.02)
        assert places(picture, "start") == [pytest.approx(4), pytest.approx(96)]

    def test_passes_share_one_scale(self):
        """A pass half as long is drawn half as long."""
        picture = drawn(StripPass(1, 300), StripPass(2, 150))

        water = picture.findall(f"{SVG}rect[@class='strip-water']")
        long, short = (float(w.get("width")[:-1]) for w in water)
        assert short == pytest.approx(long / 2, abs=0.02)

    def test_pass_longer_than_the_course_stays_in_the_picture(self):
        picture = drawn(StripPass(1, 100, BUOYS[:1], (StripTick(90, 160, "Tantrum"),)))

        bar = picture.find(f"{SVG}rect[@class='strip-tick strip-tick--planned']")
        assert float(bar.get("x")[:-1]) + float(bar.get("width")[:-1]) <= 96.01

    def test_run_in_lies_before_the_start(self):
        marks = (StripMark(-40, "Dock"), StripMark(0, "Start", "start"))

        picture = drawn(StripPass(1, 200, marks))

        assert places(picture, "marker") == [pytest.approx(4)]
        assert places(picture, "start") == [pytest.approx(4 + 92 * 40 / 240, abs=0.01)]


class TestLengthNotStated:
    def test_says_so_and_leaves_the_end_open(self):
        """Not stated is told in words and by a dashed line, never guessed."""
        picture = drawn(StripPass(1, None, BUOYS[:1]))

        assert "Pass 1: left to right, length not stated" in words(picture, "strip-head")
        assert picture.find(f"{SVG}line[@class='strip-line']").get("stroke-dasharray")

    def test_stated_length_is_a_solid_line(self):
        picture = drawn(StripPass(1, 300, BUOYS))

        assert not picture.find(f"{SVG}line[@class='strip-line']").get("stroke-dasharray")

    def test_nothing_stated_at_all(self):
        assert "length not stated" in course_strip([StripPass(1, None)], title="Course")


class TestWords:
    def test_name_and_description_for_those_who_do_not_see_it(self):
        """The title comes first and the description says the same as the picture:
        SVG Accessibility API Mappings 1.0, names and descriptions."""
        one = StripPass(
            1, 300, BUOYS, (StripTick(20, 50, "Raley", "expected"),), bonus="double-up"
        )

        picture = drawn(one, title="Qualifying")

        assert picture.get("role") == "img"
        assert [child.tag for child in picture][:2] == [f"{SVG}title", f"{SVG}desc"]
        assert picture[0].text == "Qualifying"
        assert picture[1].text == (
            "Pass 1: left to right, 300 m. Start buoy: Start, 0 m. End buoy: End, 300 m. "
            "Expected: Raley, 20 m to 50 m. After the pass: double-up."
        )

    def test_labels_are_escaped(self):
        """Words typed by an organiser or a rider never become markup."""
        nasty = '<script>alert("1")</script> & "buoy"'
        one = StripPass(1, 90, (StripMark(9, nasty),), (StripTick(1, 2, nasty),), note=nasty)

        text = course_strip([one], title=nasty)

        assert "<script" not in text
        assert ElementTree.fromstring(text)[0].text == nasty

    def test_no_inline_style_and_no_script(self):
        """A strict content security policy blocks both."""
        text = course_strip([StripPass(1, 300, BUOYS, bonus="double-up")], title="Course")

        assert "style=" not in text
        assert " on" not in text

    def test_every_kind_has_an_outline_of_its_own(self):
        """Printed in grey, the kinds can still be told apart."""
        kinds = ("start", "end", "cutoff", "no-pickup", "anything else")
        marks = tuple(StripMark(50 * n, kind, kind) for n, kind in enumerate(kinds))

        picture = drawn(StripPass(1, 300, marks))

        symbols = [s for s in picture.iter(f"{SVG}svg") if s.get("x", "0.00%") != "0.00%"]
        outlines = {
            "".join(ElementTree.tostring(c, "unicode") for c in s)
            for s in symbols
            if "way" not in s.get("class", "")
        }
        assert len(outlines) == len(kinds)

    def test_legend_names_only_what_is_drawn(self):
        picture = drawn(StripPass(1, 300, BUOYS, (StripTick(1, 9, "", "set-up"),)))

        assert list(words(picture, "strip-key")) == ["Start buoy", "End buoy", "Set-up"]

    def test_dropped_trick_says_so(self):
        picture = drawn(StripPass(1, 300, (), (StripTick(1, 9, "Raley", "dropped"),)))

        assert list(words(picture, "strip-tick-name")) == ["Raley (dropped)"]

    def test_words_end_in_one_full_stop(self):
        assert strip_words(StripPass(2, 80.5, note="Mind the pier.")) == (
            "Pass 2: left to right, 80.5 m. Mind the pier."
        )


class TestRows:
    @pytest.mark.parametrize("css_class", ["strip-tick-name", "strip-mark-name"])
    def test_labels_in_one_row_never_overlap_on_a_telephone(self, css_class):
        """At 320 px, with 7 px for each letter of 13 px type (measured, no source)."""
        names = ["HS backroll", "TS 180 indy", "Switch HS 360", "Tantrum", "TS frontroll"]
        ticks = tuple(StripTick(20 * n, 20 * n + 15, name) for n, name in enumerate(names))
        marks = tuple(StripMark(18 * n, name) for n, name in enumerate(names))

        picture = drawn(StripPass(1, 300, marks, ticks))

        spans = []
        for label in words(picture, css_class).values():
            x = float(label.get("x")[:-1]) * 3.2 + float(label.get("dx", 0))
            width = len(label.text) * 6.9
            left = {"start": x, "middle": x - width / 2, "end": x - width}
            spans.append((float(label.get("y")), left[label.get("text-anchor")], width))
        spans.sort()
        assert len({y for y, _, _ in spans}) > 1
        for (y, left, width), (next_y, next_left, _) in pairwise(spans):
            assert y != next_y or left + width <= next_left

    def test_markers_at_one_place_do_not_hide_each_other(self):
        """No pick-up past the cutoff: both outlines are seen, the second one lower."""
        marks = (StripMark(170, "No pick-up", "no-pickup"), StripMark(172, "Cutoff", "cutoff"))

        picture = drawn(StripPass(1, 300, marks))

        first, second = (
            next(
                float(s.get("y"))
                for s in picture.iter(f"{SVG}svg")
                if kind in s.get("class", "") and s.get("x") != "0.00%"
            )
            for kind in ("no-pickup", "cutoff")
        )
        assert second - first >= 17
