"""What tests of papers share: an invented round with its heats and riders."""

from dataclasses import replace
from datetime import UTC, datetime

from events.rules.loading import load_format
from events.rules.notation import read_run
from riders.planning.route import Foot
from runsheets.papers.facts import HeatFacts, RiderFacts, RoundFacts

AT = datetime(2026, 6, 6, 8, 5, tzinfo=UTC)
RULES = """
[passes]
count = 2
length_m = [400]
ended_by = "marker"
tricks_expected = 3
[falls]
allowed = 1
counted_per = "run"
next_fall = "ends run"
[[double_ups]]
after_pass = 2
cutoff_m = 320
[boat]
description = "The club boat"
speed_rule = "baseline, requests heard"
speed = "36 km/h"
rope = "20 m"
rope_from = "shared"
crew = "driver and observer"
warm_up_laps = 1
pickup = "slowly, engine in neutral"
[[boat.ballast]]
position = "bow"
amount = "150 kg"
[[boat.ballast]]
position = "rear lockers"
amount = "300 kg"

[[judging.criteria]]
name = "Execution"
weight = 60
[[judging.criteria]]
name = "Variety"
weight = 40
[clock]
ready_min = 30
"""
ADA = RiderFacts(
    "11", 1, "Ada Moreau", Foot.LEFT, "12", "Reedlake Riders", needs_guardian=True,
    wishes="22 m rope, please",
    run=read_run("HS backroll, TS FS 180, HS FS 360 | Tantrum, Half cab + double-up HS backroll"),
)  # fmt: skip
BEN = RiderFacts(
    "12", 2, "Ben Ostrander", Foot.RIGHT, "7", "Far Shore Club", needs_guardian=False,
    run=read_run("Ollie | Indy + double-up HS backroll"), is_checked_in=True,
)  # fmt: skip
CLEO = RiderFacts("13", 3, "Cleo Varga", Foot.LEFT, "9", scratched=True)
DAN = RiderFacts("14", 4, "Dan Øst", Foot.RIGHT)
HEAT = HeatFacts(1, (ADA, BEN, CLEO, DAN), "Heat 1", datetime(2026, 6, 6, 10, 0, tzinfo=UTC))


def round_of(*heats: HeatFacts, rules: str = RULES, **changes) -> RoundFacts:
    values = {
        "event": "Reed Cup", "venue": "Long Reed", "division_key": 5, "division": "Advanced",
        "round": "Qualifying", "rules": load_format(rules), "edition_no": 3,
        "published_at": None, "heats": heats or (HEAT,), "printed_at": AT,
    }  # fmt: skip
    return RoundFacts(**(values | changes))


def heat_with(*riders: RiderFacts, **changes) -> HeatFacts:
    return replace(HEAT, riders=riders, **changes)
