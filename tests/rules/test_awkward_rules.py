"""Awkward rules that organisers use, each on a run that keeps it and one that does not.

Common practice, no source: contests ask for such things in their announcements, and a format
must hold them without a special case.
"""

from dataclasses import dataclass, field

import pytest

from events.rules.answers import answers
from events.rules.findings import Grade
from events.rules.legality import legality
from events.rules.loading import as_toml, effective, load_format
from events.rules.notation import read_run

HEAD = """
double_ups = []
limits = []
[passes]
count = 2
tricks_most = 7
[repeats]
rule = "free"
"""


@dataclass(frozen=True)
class Rule:
    """An awkward rule: some TOML, runs that keep it, and runs that do not with the findings.

    `head` replaces the open format in front of the TOML.
    """

    name: str
    toml: str
    kept: tuple[str, ...]
    broken: dict[str, list[tuple[object, ...]]]
    where: dict[str, str] = field(default_factory=dict)
    head: str = HEAD.replace("limits = []\n", "")

    @property
    def text(self) -> str:
        """The whole format."""
        return self.head + self.toml


def found(rule: Rule, notation: str) -> list[tuple[object, ...]]:
    """What breaks a rule or is not counted, in short."""
    division, round = rule.where.get("division"), rule.where.get("round")
    format = effective(load_format(rule.text), division, round)
    return [
        (f.code, f.pass_no, f.position)
        for f in legality(read_run(notation), format, division, round)
        if f.grade in (Grade.RULE, Grade.UNCOUNTED)
    ]


def limit(lines: str) -> str:
    """One limit as TOML."""
    return f"[[limits]]\n{lines}\n"


SAME_GRAB = limit(
    'say = "The same grab only twice"\nwhen = {grabbed = true}\ndiffers_by = "grab"\n'
    'most = 2\nper = "run"'
)

RULES = (
    Rule(
        "a grab in each pass",
        limit('when = {grabbed = true}\nleast = 1\nper = "pass"'),
        ("Indy, Tantrum | HS backroll indy",),
        {"Indy, Method | HS backroll": [("limit-least", 2, None)]},
    ),
    Rule(
        "no handle passes for juniors",
        '[[overrides]]\nwhen = {division = "Juniors"}\n'
        "set = {limits = [{when = {handle_pass = true}, most = 0}]}",
        ("HS FS 180, Tantrum | HS backroll",),
        {"HS BS 360 | Mobe": [("limit-most", 1, 1), ("limit-most", 2, 1)]},
        {"division": "juniors"},
        HEAD,
    ),
    Rule(
        "handle passes for everybody else",
        '[[overrides]]\nwhen = {division = "Juniors"}\n'
        "set = {limits = [{when = {handle_pass = true}, most = 0}]}",
        ("HS BS 360 | Mobe",),
        {},
        {"division": "Open"},
        HEAD,
    ),
    Rule(
        "two switch tricks",
        limit('when = {stance = "switch"}\nleast = 2\nper = "run"'),
        ("switch HS FS 180, Tantrum | Half cab",),
        {"switch HS FS 180 | Tantrum": [("limit-least", None, None)]},
    ),
    Rule(
        "one trick of the raley family",
        limit('when = {family = "raley"}\nmost = 1\nper = "run"'),
        ("Raley, Tantrum | HS backroll",),
        {"Raley | S-bend": [("limit-most", 2, 1)]},
    ),
    Rule(
        "both edges shown",
        limit('when = {approach = "heelside"}\nleast = 1\nper = "run"')
        + limit('when = {approach = "toeside"}\nleast = 1\nper = "run"'),
        ("HS backroll | TS FS 180",),
        {"HS backroll | Tantrum": [("limit-least", None, None)]},
    ),
    Rule(
        "no double inverts",
        limit('when = {form = "double", invert = true}\nmost = 0'),
        ("HS backroll | Tantrum, Front flip",),
        {"Double tantrum | Double half cab roll": [("limit-most", 1, 1), ("limit-most", 2, 1)]},
    ),
    Rule(
        "turns up to 360, further only off the double-up",
        "[[double_ups]]\nafter_pass = 2\nlimits_bind = true\n"
        + limit('when = {rotation_over = 360, unless = {takeoff = "double-up"}}\nmost = 0'),
        ("HS FS 360 | Tantrum + double-up HS FS 540",),
        {"HS FS 360 | HS FS 540 + double-up HS FS 540": [("limit-most", 2, 1)]},
        head=HEAD.replace("limits = []\n", "").replace("double_ups = []\n", ""),
    ),
    Rule(
        "inverts in pass 2 only",
        limit("when = {invert = true}\nmost = 0\npass = 1"),
        ("Indy, HS FS 180 | HS backroll, Tantrum",),
        {"Indy, HS backroll | Tantrum": [("limit-most", 1, 2)]},
    ),
    Rule(
        "three tricks of a difficulty over 6",
        limit('when = {tier_over = 6}\nmost = 3\nper = "run"'),
        ("Mobe, Back mobe, Krypt | HS backroll",),
        {"HS FS 720, HS BS 720, TS FS 720 | TS BS 720": [("limit-most", 2, 1)]},
    ),
    Rule(
        "one-wake tricks, but for one from wake to wake",
        limit('when = {unless = {takeoff = ["one wake", "wake to wake"]}}\nmost = 0')
        + limit('when = {takeoff = "wake to wake"}\nmost = 1\nper = "run"'),
        ("One-wake jump, HS wake jump | One-wake HS FS 180",),
        {
            "One-wake jump, HS wake jump | TS wake jump": [("limit-most", 2, 1)],
            "Surface FS 180 | HS wake jump": [("limit-most", 1, 1)],
        },
    ),
    Rule(
        "named tricks banned, by any of their names",
        limit('when = {trick = ["raley", "TANTRUM TO FAKIE"]}\nmost = 0'),
        ("S-bend | Tantrum",),
        {"Raley | Tantrum to revert": [("limit-most", 1, 1), ("limit-most", 2, 1)]},
    ),
    Rule(
        "only these tricks",
        limit('when = {unless = {trick = ["HS backroll", "Tantrum", "Indy"]}}\nmost = 0'),
        ("HS backroll, Indy | Tantrum",),
        {"HS backroll, Method | Tantrum": [("limit-most", 1, 2)]},
    ),
    Rule(
        "the same grab only twice",
        SAME_GRAB,
        ("Indy, HS backroll indy, Method | Mute, Tantrum, TS FS 180, HS FS 180",),
        {"Indy, HS backroll indy, Method | Tantrum indy, Mute": [("limit-most", 2, 1)]},
    ),
    Rule(
        "three different grabs",
        limit('when = {grabbed = true}\ndiffers_by = "grab"\nleast = 3\nper = "run"'),
        ("Indy, Mute | Method",),
        {"Indy, Mute | HS backroll indy, Mute": [("limit-least", None, None)]},
    ),
    Rule(
        "at most ten tricks in all",
        limit('most = 10\nper = "run"'),
        ("HS backroll, Raley, Indy, Mute, Method | HS backroll, Raley, Indy, Mute, Method",),
        {
            "HS backroll, Raley, Indy, Mute, Method | HS backroll, Raley, Indy, Mute, Method,"
            " Krypt": [("limit-most", 2, 6)]
        },
    ),
    Rule(
        "inverts and big turns share one limit, front rolls apart",
        limit(
            'most = 2\nper = "run"\n[limits.when]\n'
            'any_of = [{invert = true}, {rotation_over = 360}]\nunless = {family = "frontroll"}'
        ),
        ("HS backroll, HS FS 540 | Front flip, HS FS 360",),
        {"HS backroll, HS FS 540 | Front flip, Mobe": [("limit-most", 2, 2)]},
    ),
    Rule(
        "other limits in the final",
        limit('when = {invert = true}\nmost = 1\nper = "run"')
        + '[[overrides]]\nwhen = {round = "Final"}\n'
        'set = {limits = [{when = {invert = true}, least = 2, most = 3, per = "run"}]}',
        ("HS backroll | Tantrum",),
        {"HS backroll | Indy": [("limit-least", None, None)]},
        {"round": "final"},
    ),
    Rule(
        "the limits of the first round",
        limit('when = {invert = true}\nmost = 1\nper = "run"')
        + '[[overrides]]\nwhen = {round = "Final"}\nset = {limits = []}',
        ("HS backroll | Indy",),
        {"HS backroll | Tantrum": [("limit-most", 2, 1)]},
        {"round": "Qualifying"},
    ),
    Rule(
        "obstacles only in pass 2, and none in pass 1",
        limit('when = {unless = {takeoff = "rail"}}\nmost = 0\npass = 2')
        + limit('when = {takeoff = "rail"}\nmost = 0\npass = 1'),
        ("HS backroll | 50-50, FS boardslide",),
        {"50-50 | FS boardslide, Tantrum": [("limit-most", 2, 2), ("limit-most", 1, 1)]},
    ),
    Rule(
        "six different tricks, where a grab makes another trick",
        "",
        ("HS backroll, HS backroll indy, Tantrum | Raley, Indy, Mute",),
        {"HS backroll, HS backroll, Tantrum | Raley, Indy, Mute": [
            ("too-few-different", None, None)]},
        head=HEAD.replace("tricks_most = 7", "tricks_most = 7\ndifferent_least = 6")
        + 'differs_by = ["stance", "approach", "grab", "rotation"]\n',
    ),
    Rule(
        "a back-up of a trick uses no limit",
        limit('when = {invert = true}\nmost = 1\nper = "run"'),
        ("HS backroll | HS backroll, Indy",),
        {"HS backroll | Tantrum": [("limit-most", 2, 1)]},
        head=HEAD.replace("limits = []\n", "").replace(
            'rule = "free"',
            'rule = "once unless not landed"\nper = "run"\nuses_limit = false\n'
            'differs_by = ["stance", "approach", "rotation"]',
        ),
    ),
    Rule(
        "the same trick only once, but switch is another trick",
        "",
        ("HS backroll | switch HS backroll",),
        {"HS backroll | HS backroll indy": [("repeat", 2, 1)]},
        head=HEAD.replace('rule = "free"', 'rule = "once"\nper = "run"\ndiffers_by = "stance"'),
    ),
    Rule(
        "no blind landings and nothing off axis by name",
        limit('when = {any_of = [{blind = true}, {trick = "TS off-axis 540"}]}\nmost = 0'),
        ("HS backroll | TS FS 540",),
        {"Roll to blind | TS off-axis 540": [("limit-most", 1, 1), ("limit-most", 2, 1)]},
    ),
    Rule(
        "a spinning invert counts as a spin too",
        limit('when = {family = "spin"}\nmost = 1\nper = "run"\ninverted_spins = true')
        + limit('when = {invert = true}\nmost = 1\nper = "run"'),
        ("HS FS 360 | HS backroll", "Mobe | Indy"),
        {"HS FS 360 | Mobe": [("limit-most", 2, 1)], "HS backroll | Mobe": [("limit-most", 2, 1)]},
    ),
    Rule(
        "too many inverts are not counted, too many spins move up a division",
        limit('when = {invert = true}\nmost = 1\nper = "run"\nbreach = "not counted"')
        + limit('when = {family = "spin"}\nmost = 0\nbreach = "moved up a division"'),
        ("HS backroll | Indy",),
        {"HS backroll, HS FS 180 | Tantrum": [("limit-most", 2, 1), ("limit-most", 1, 2)]},
    ),
    Rule(
        "an extra with a name of its own that counts as a trick",
        '[[double_ups]]\nname = "judges\' choice"\nafter_pass = 1\ncounts_as_trick = true\n'
        "limits_bind = true\n" + limit("when = {invert = true}\nmost = 0"),
        ("Indy + judges' choice: Method | Mute",),
        {
            "Indy + judges' choice: Tantrum | Mute": [("limit-most", 1, 2)],
            "Indy | Mute + judges' choice: Method": [("double-up-not-offered", 2, 2)],
        },
        head=HEAD.replace("limits = []\n", "").replace("double_ups = []\n", ""),
    ),
)  # fmt: skip


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
class TestAwkwardRules:
    def test_kept(self, rule):
        """A run that keeps to the rule is clear."""
        for notation in rule.kept:
            assert found(rule, notation) == []

    def test_broken(self, rule):
        """A run that does not is found, in the right place."""
        for notation, wanted in rule.broken.items():
            assert found(rule, notation) == wanted

    def test_written_and_told(self, rule):
        """The rule round-trips, and riders are told something that they are not told without."""
        format = load_format(rule.text)
        division, round = rule.where.get("division"), rule.where.get("round")
        here = effective(format, division, round)
        plain = load_format(HEAD)

        assert load_format(as_toml(format)) == format
        if here != plain:
            assert [each.sentences for each in answers(here)] != [
                each.sentences for each in answers(plain)
            ]
