"""How many of a hundred runs: whole counts that add up, and pictures that say them."""

from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.rules.format import Format
from events.rules.loading import load_format
from events.rules.notation import read_run
from events.rules.run import Pass, Run
from riders.pictures.alive import (
    RARELY,
    alive,
    alive_rows,
    landed_counts,
    landed_distribution,
)
from riders.pictures.counts import out_of_hundred
from riders.planning.check import check
from riders.planning.survival import Survival
from tests.planning.building import formats, planned, run_of, runs, trick

SVG = "{http://www.w3.org/2000/svg}"
RULES = """
double_ups = []
pickup_cutoffs = []
[passes]
count = 2
length_m = 400
[falls]
allowed = 1
counted_per = "run"
next_fall = "ends run"
restart_m = 0
[route]
trick_m = 60
"""


def rules(old: str = "", new: str = "") -> Format:
    return load_format(RULES.replace(old, new))


def parsed(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)


class TestCounts:
    @given(st.lists(st.floats(0, 1), min_size=1, max_size=40))
    def test_they_add_up_and_are_near(self, shares):
        """Largest remainder (Hamilton): whole, adds up, and within one of the exact quota."""
        counts = out_of_hundred(shares)

        assert sum(counts) == (100 if sum(shares) else 0)
        if sum(shares) > 1e-6:
            for share, count in zip(shares, counts, strict=True):
                assert abs(count - 100 * share / sum(shares)) < 1

    def test_a_worked_example(self):
        """From memory: 41.5, 41.5 and 17 of 100; the spare one goes to the first of equals."""
        assert out_of_hundred([0.415, 0.415, 0.17]) == (42, 41, 17)

    def test_a_negative_share(self):
        with pytest.raises(ValueError, match="negative"):
            out_of_hundred([1.0, -0.1])


def survival_of(run: str, format: Format | None = None) -> Survival:
    return check(read_run(run), format or rules()).survival


class TestAlive:
    def test_the_numbers_are_those_of_the_figures(self):
        """Chances 0.8, 0.5, 0.5 and one fall allowed: before the second trick 20 of 100 have
        fallen once; before the third 40 have not, 50 have once, and 10 runs have ended."""
        rows = alive_rows(survival_of("Indy 80%, Indy 50%, Indy 50% | "))

        assert [row.falls for row in rows] == [(100, 0, 0), (80, 20, 0), (40, 50, 0)]
        assert [row.tried for row in rows] == [100, 100, 90]
        assert [row.absent for row in rows] == [0, 0, 10]
        assert [row.end for row in rows] == [0, 10, 25]

    def test_two_falls_and_more_are_one_kind(self):
        """Five tricks at 0.5 with three falls allowed: before the fifth 1, 4, 6 and 4 of 16 runs
        have fallen 0, 1, 2 and 3 times (Pascal's triangle), and one has ended."""
        rows = alive_rows(survival_of(", ".join(["Indy 50%"] * 5), rules("= 1", "= 3")))

        assert rows[4].falls == (6, 25, 63)
        assert rows[4].absent == 6

    @given(runs(), formats())
    def test_they_are_rounded_and_add_up(self, run, format):
        survival = check(run, format).survival
        rows = alive_rows(survival)
        if survival.alive is None:
            assert rows == ()
            return
        for row, exact in zip(rows, survival.alive, strict=True):
            assert sum(row.falls) + row.absent == 100
            for count, share in zip(row.falls, (exact[:1], exact[1:2], exact[2:]), strict=True):
                assert abs(count - 100 * sum(share)) < 1
        assert sum(row.end for row in rows) <= 100
        assert sum(landed_counts(survival)) == 100

    def test_the_picture_says_its_numbers(self):
        survival = survival_of("Indy 80%, Indy 50%, Indy 50% | ")
        svg = parsed(alive(survival, title="Still riding"))

        assert svg.get("role") == "img"
        assert svg.find(f"{SVG}title").text == "Still riding"
        words = svg.find(f"{SVG}desc").text
        assert (
            "1.3 Indy: 90 of 100 runs try it and 45 land it, 40 with no fall, 50 with one fall; 25 end here."
            in words
        )
        assert "65 of 100 runs are not ended by a fall." in words
        widths = [
            rect.get("width") for rect in svg.iter(f"{SVG}rect") if rect.get("class") == "part"
        ]
        assert widths == ["100%", "80%", "20%", "40%", "50%"]

    def test_less_than_one_run_is_not_none(self):
        rows = alive_rows(
            survival_of("Indy 0.1%, Indy 50%", rules("allowed = 1", "allowed = 0"))
        )

        assert rows[1].tried == 0
        assert rows[1].rare
        assert RARELY in alive(
            survival_of("Indy 0.1%, Indy 50%", rules("allowed = 1", "allowed = 0")), title=""
        )

    def test_no_figures_no_picture(self):
        assert alive(Survival(), title="") == ""
        assert landed_distribution(Survival(), title="") == ""

    def test_landed_is_the_distribution_of_the_figures(self):
        """Two tricks at 0.5 and one fall allowed: 0, 1, 2 landed in 25, 50, 25 of 100."""
        survival = survival_of("Indy 50%, Indy 50%")

        assert landed_counts(survival) == (25, 50, 25)
        words = parsed(landed_distribution(survival, title="")).find(f"{SVG}desc").text
        assert words == "25 of 100 runs land 0; 50 of 100 runs land 1; 25 of 100 runs land 2."

    def test_names_are_escaped(self):
        run = Run((Pass((planned(trick("<i>&"), 0.5),)),))

        assert "<i>" not in alive(check(run, rules()).survival, title="<b>")

    def test_many_tricks(self):
        run = run_of(*[[trick("Straight air")] * 12] * 4)
        format = rules("length_m = 400", "length_m = 2000")

        assert parsed(landed_distribution(check(run, format).survival, title="")) is not None
