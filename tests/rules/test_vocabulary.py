"""The trick vocabulary: what the trade says of its tricks, and how names are found."""

import tomllib
from pathlib import Path

import pytest

from events.rules.trick import Air, Direction, Edge, Family, Stance, Takeoff, Trick
from events.rules.vocabulary import (
    GRABS,
    Vocabulary,
    VocabularyError,
    load_vocabulary,
    standard_vocabulary,
    trick_problems,
)

FILE = Path(__file__).parents[2] / "fixtures" / "tricks.toml"
TABLES = tomllib.loads(FILE.read_text(encoding="utf-8"))["trick"]
KNOWN = standard_vocabulary()

GOOD_TABLE = """[[trick]]
key = "a"
name = "A flip"
family = "tantrum"
approach = "heelside"
takeoff = "wake to wake"
invert = true
air = "big"
tier = 3
confidence = "memory"
source = "from memory"
"""


def trick(name: str) -> Trick:
    """The trick of that name, which the test relies on."""
    found = KNOWN.find(name)
    assert found is not None, name
    return found


def test_at_least_115_tricks_are_confirmed() -> None:
    """A rider finds the ordinary tricks without adding any."""
    assert len(KNOWN.tricks) >= 115


def test_unconfirmed_tricks_stay_hidden_until_asked_for() -> None:
    """A trick of low confidence is in the file, and is offered only on request."""
    low = {each["key"] for each in TABLES if each["confidence"] == "low"}
    assert low
    assert not low & set(KNOWN.by_key)
    assert low <= set(standard_vocabulary(include_unconfirmed=True).by_key)


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table["key"])
def test_every_trick_names_its_source(table: dict[str, str]) -> None:
    """What is confirmed names where; what is not says that it is from memory."""
    stated = table["source"]
    if table["confidence"] in ("seen", "part"):
        assert stated.startswith("http") or ".org," in stated or ".com," in stated
    elif table["confidence"] == "memory":
        assert stated in ("from memory", "common practice, no source")
    assert "metres" not in table  # the figure of the format holds


@pytest.mark.parametrize("each", KNOWN.tricks, ids=lambda each: each.key)
def test_every_name_and_alias_finds_its_trick(each: Trick) -> None:
    """Names are found whatever their case, hyphens or spacing."""
    for name in (each.name, *each.aliases):
        assert KNOWN.find(name) is each
        assert KNOWN.find(name.upper().replace(" ", "  ")) is each
        assert KNOWN.find(name.replace("-", " ")) is each


@pytest.mark.parametrize("each", KNOWN.tricks, ids=lambda each: each.key)
def test_attributes_of_every_trick_agree(each: Trick) -> None:
    """Blind is exactly the odd backside total; odd totals change the stance.

    Source for blind and the stance: "Higher learning: term proficiency",
    wakeboardingmag.com, 2 April 2000; turn about the vertical axis: from memory.
    """
    assert trick_problems(each) == []
    assert each.changes_stance == (each.rotation % 360 == 180)
    if each.direction in (Direction.FRONTSIDE, Direction.BACKSIDE) and each.rotation:
        backside_odd = each.direction is Direction.BACKSIDE and each.rotation % 360 == 180
        assert each.blind == backside_odd


# Trade name, edge, degrees, direction, invert, handle pass, blind; sources as in the file.
FACTS = [
    ("HS backroll", Edge.HEELSIDE, 0, Direction.NONE, True, False, False),
    ("TS backroll", Edge.TOESIDE, 0, Direction.NONE, True, False, False),
    ("Tantrum", Edge.HEELSIDE, 0, Direction.NONE, True, False, False),
    ("Roll to blind", Edge.HEELSIDE, 180, Direction.BACKSIDE, True, False, True),
    ("Half cab roll", Edge.HEELSIDE, 180, Direction.FRONTSIDE, True, False, False),
    ("Mobe", Edge.HEELSIDE, 360, Direction.FRONTSIDE, True, True, False),
    ("TS mobe", Edge.TOESIDE, 360, Direction.FRONTSIDE, True, True, False),
    ("Whirlybird", Edge.HEELSIDE, 360, Direction.BACKSIDE, True, False, False),
    ("Scarecrow", Edge.TOESIDE, 180, Direction.FRONTSIDE, True, False, False),
    ("Blind judge", Edge.HEELSIDE, 180, Direction.BACKSIDE, True, False, True),
    ("S-bend", Edge.HEELSIDE, 360, Direction.OVERHEAD, True, False, False),
    ("Ole 360", Edge.HEELSIDE, 360, Direction.OVERHEAD, False, False, False),
    ("HS BS 180", Edge.HEELSIDE, 180, Direction.BACKSIDE, False, False, True),
    ("HS FS 360", Edge.HEELSIDE, 360, Direction.FRONTSIDE, False, True, False),
    ("TS off-axis 540", Edge.TOESIDE, 540, Direction.FRONTSIDE, False, True, False),
    ("Ollie BS 180", Edge.EITHER, 180, Direction.BACKSIDE, False, True, True),
]


@pytest.mark.parametrize("fact", FACTS, ids=lambda fact: fact[0])
def test_trade_facts(fact: tuple[str, Edge, int, Direction, bool, bool, bool]) -> None:
    """What the trade's how-to pages say of these tricks (pages named in the fixture)."""
    name, *said = fact
    one = trick(name)
    assert said == [one.approach, one.rotation, one.direction, one.invert,
                    one.handle_pass, one.blind]  # fmt: skip


def test_no_two_tricks_share_every_attribute() -> None:
    """Two names for one thing would be a repeat that no rule sees as such, or the reverse."""
    ridden: dict[tuple[object, ...], str] = {}
    for each in KNOWN.tricks:
        what = (each.family, each.form, each.approach, each.takeoff, each.stance, each.invert,
                each.rotation, each.direction, each.handle_pass, each.grab)  # fmt: skip
        assert what not in ridden, (each.name, ridden.get(what))
        ridden[what] = each.name


# Stance before and after, worked out by hand from the rule that an odd total of half turns
# changes the stance. No published table.
CHAINS = [
    (["Tantrum", "Scarecrow"], Stance.SWITCH),
    (["HS FS 180", "Half cab", "HS backroll", "TS FS 360"], Stance.REGULAR),
    (["Roll to revert"], Stance.SWITCH),
    (["Roll to blind", "Half cab roll", "Mobe", "TS mobe"], Stance.REGULAR),
    (["TS FS 540"], Stance.SWITCH),
    (["Cab 360"], Stance.SWITCH),
    (["Cab 540"], Stance.REGULAR),
    (["X-mobe"], Stance.REGULAR),
]


@pytest.mark.parametrize(("names", "ends"), CHAINS)
def test_net_stance_of_chains(names: list[str], ends: Stance) -> None:
    """Half turns add up to the stance at the end; a cab leaves switch."""
    stance = trick(names[0]).stance
    for name in names:
        if trick(name).switch_only:
            assert stance is Stance.SWITCH
        stance = stance.other if trick(name).changes_stance else stance
    assert stance is ends


def test_one_wake_and_flat_tricks_stay_on_their_side() -> None:
    """Only tricks from wake to wake or off the double-up change the side (from memory)."""
    assert trick("HS backroll").changes_side
    for name in ("Surface 180", "Ollie", "One-wake HS 180", "Inside-out 360", "FS boardslide"):
        assert not trick(name).changes_side


def test_every_edge_and_direction_has_its_spins() -> None:
    """Both edges, both directions and the edge left open, from 180 to 1080 degrees."""
    for degrees in range(180, 1081, 180):
        for direction in ("FS", "BS"):
            for edge in ("HS ", "TS ", ""):
                assert trick(f"{edge}{direction} {degrees}").rotation == degrees


@pytest.mark.parametrize(
    ("said", "name"),
    [
        ("backroll", "HS backroll"),
        ("hs BACK-ROLL", "HS backroll"),
        ("backside roll", "HS backroll"),  # the old name means the edge
        ("Heelside frontside 180", "HS FS 180"),
        ("360 backside toeside", "TS BS 360"),
        ("front 3 HS", "HS FS 360"),
        ("back 5", "BS 540"),
        ("HS 180", "HS FS 180"),
        ("360", "FS 360"),
        ("cab 5", "Cab 540"),
        ("cab", "Cab 360"),  # common practice, no source
        ("HS backside roll", "HS backroll"),
        ("frontside roll", "TS backroll"),  # from memory
        ("tootsie roll", "TS front roll"),  # from memory
        ("crow 5", "Crow mobe 540"),
        ("toeside mobe", "TS mobe"),
        ("half-cab", "Half cab"),
        ("raley to revert", "Krypt"),
        ("i/o 3", "Inside-out FS 360"),
        ("indy grab", "Indy"),
        ("stale", "Stalefish"),
    ],
)
def test_spellings(said: str, name: str) -> None:
    """Riders' spellings and short names mean the trick of the trade's name."""
    assert trick(said).name == name


def test_grabs_are_those_of_the_grab_airs() -> None:
    """A grab can be added to a trick exactly when there is a grab air of that name."""
    airs = [each.grab for each in KNOWN.tricks
            if each.family is Family.STRAIGHT_AIR and each.grab]  # fmt: skip
    assert sorted(airs) == sorted(GRABS)


def test_big_air_is_grabbed_airs_tantrums_and_raleys() -> None:
    """Our reading of "big air" (common practice, no source)."""
    for each in KNOWN.tricks:
        grabbed = each.family is Family.STRAIGHT_AIR and bool(each.grab)
        big = grabbed or each.family in (Family.TANTRUM, Family.RALEY)
        assert (each.air is Air.BIG) == big
        if each.family in (Family.SURFACE, Family.OLLIE, Family.RAIL):
            assert each.air is Air.SMALL


@pytest.mark.parametrize(
    ("typed", "name"),
    [("HS bakroll", "HS backroll"), ("tantrm", "Tantrum"), ("scarcrow", "Scarecrow"),
     ("toeside bakroll", "TS backroll"), ("blind juge", "Blind judge")],
)  # fmt: skip
def test_nearest_names(typed: str, name: str) -> None:
    """A slip of the finger is met with the name that was meant, first of three at most."""
    assert KNOWN.find(typed) is None
    near = KNOWN.nearest(typed)
    assert near[0] == name
    assert len(near) <= 3


def test_nothing_is_near_to_nonsense() -> None:
    """No suggestion is better than a silly one."""
    assert KNOWN.nearest("qqqq zzzz") == ()


def custom(key: str, name: str, *aliases: str) -> Trick:
    """A rider's own trick."""
    return Trick(key, name, Family.TANTRUM, Edge.HEELSIDE, invert=True, aliases=aliases)


def test_custom_tricks_extend_a_copy() -> None:
    """A rider's own trick is found in the new vocabulary and not in the old one."""
    mine = custom("mine", "Barn door")
    wider = KNOWN.with_tricks([mine])
    assert wider.find("barn-door") is mine
    assert KNOWN.find("barn-door") is None


def test_custom_trick_takes_the_place_of_its_key() -> None:
    """The same key means the same trick, described anew."""
    wider = KNOWN.with_tricks([custom("tantrum", "Tantrum").changed(tier=7)])
    assert wider.by_key["tantrum"].tier == 7
    assert len(wider.tricks) == len(KNOWN.tricks)


@pytest.mark.parametrize(
    ("name", "part"),
    [
        ("hs back roll", "already stands for HS backroll"),
        ("Flip, twice", "may not hold"),
        ("Flip x", "meaning of its own"),
        ("Turn", "meaning of its own"),
        ("Run-in", "meaning of its own"),
        ("switch HS", "needs a word of its own"),
        ("Barn but door", "meaning of its own"),
        ("Barn; door", "may not hold"),
        ("HS heelside barn door", "says one thing twice"),
        ("TS barn door", "says approach toeside, but the trick has heelside"),
        ("3 doors", "may not begin with a figure"),
        ("  ", "needs a name"),
        ("Barn " * 20, "longer than 60"),
    ],
)
def test_names_that_cannot_be_told_apart_are_refused(name: str, part: str) -> None:
    """A clash, or a name that the notation could not read back, is said in a sentence."""
    with pytest.raises(VocabularyError, match=part):
        KNOWN.with_tricks([custom("mine", name)])


def test_keys_are_unique() -> None:
    """Two tricks cannot share a key."""
    with pytest.raises(VocabularyError, match="used twice"):
        Vocabulary([custom("a", "Barn door"), custom("a", "Cellar door")])


@pytest.mark.parametrize(
    ("old", "new", "part"),
    [
        ('"tantrum"', '"somersault"', "family must be one of"),
        ("tier = 3", "tier = 11", "tier must be from 1 to 10"),
        ("tier = 3", 'tier = "3"', "tier must be of type int"),
        ("tier = 3\n", "", "“tier” is missing"),
        ("invert = true\n", "", "invert does not fit the family"),
        ("tier = 3", "tier = 3\nrotation = 90", "multiple of 180"),
        ("tier = 3", "tier = 3\nrotation = 180", "needs a direction"),
        ("tier = 3", 'tier = 3\nrotation = 180\ndirection = "backside"', "blind after an odd"),
        ("tier = 3", "tier = 3\nhandle_pass = true", "a handle pass needs a turn"),
        ("tier = 3", 'tier = 3\ngrab = "elbow"', "the grab “elbow” is not known"),
        ("tier = 3", 'tier = 3\nstance_only = "regular"', "stance_only can only be"),
        ("tier = 3", 'tier = 3\naliases = "B"', "aliases must be a list"),
        ("tier = 3", "tier = 3\nmood = 1", "“mood” is not a known attribute"),
        ('"memory"', '"sure"', "confidence must be one of"),
        ('"wake to wake"', '"rail"', "a rail trick takes off from a rail"),
    ],
)
def test_faults_in_the_file_are_named(old: str, new: str, part: str) -> None:
    """Every fault is a sentence with the number and key of its table."""
    load_vocabulary(GOOD_TABLE)
    assert old in GOOD_TABLE
    with pytest.raises(VocabularyError, match=part) as caught:
        load_vocabulary(GOOD_TABLE.replace(old, new))
    assert caught.value.problems[0].startswith("Trick 1 (a)")


def test_all_faults_are_listed_at_once() -> None:
    """Whoever edits the file sees every fault, not only the first."""
    bad = GOOD_TABLE.replace("tier = 3", "tier = 0")
    with pytest.raises(VocabularyError) as caught:
        load_vocabulary(bad + bad.replace('"a"', '"b"').replace("A flip", "B flip"))
    assert len(caught.value.problems) == 2


@pytest.mark.parametrize("text", ["key = ", "trick = 3", "trick = [1]"])
def test_a_broken_file_is_refused(text: str) -> None:
    """Text that is no list of tables is refused with a sentence."""
    with pytest.raises(VocabularyError):
        load_vocabulary(text)


def test_takeoffs_follow_the_names() -> None:
    """The take-off that a name states is the trick's own."""
    assert trick("One-wake jump").takeoff is Takeoff.ONE_WAKE
    assert trick("Ollie").takeoff is Takeoff.FLATS
    assert trick("Rail 180").takeoff is Takeoff.RAIL
