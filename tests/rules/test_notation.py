"""The one-line notation of a run: what it reads, what it refuses, and exact round trips."""

import pytest

from events.rules.notation import (
    NotationError,
    read_run,
    read_trick,
    write_run,
    write_trick,
)
from events.rules.run import Pass, PlannedTrick, Run
from events.rules.trick import Direction, Edge, Family, Stance, Takeoff, Trick
from events.rules.vocabulary import standard_vocabulary

KNOWN = standard_vocabulary()


def entry(name: str) -> Trick:
    """The vocabulary's trick of that name."""
    found = KNOWN.find(name)
    assert found is not None
    return found


def faults(text: str) -> NotationError:
    """What reading the text complains of."""
    with pytest.raises(NotationError) as caught:
        read_run(text)
    return caught.value


EXAMPLE = "HS backroll, TS 180 indy, switch HS 360 | Tantrum 4/5 + double-up tantrum 60%"


def test_worked_example() -> None:
    """Passes, modifiers, a record, a chance and a double-up are read as they are meant."""
    first, second = read_run(EXAMPLE).passes
    assert first.tricks == (
        PlannedTrick(entry("HS backroll")),
        PlannedTrick(entry("TS FS 180"), grab="indy"),
        PlannedTrick(entry("HS FS 360"), stance=Stance.SWITCH),
    )
    assert second.tricks == (PlannedTrick(entry("Tantrum"), landed=4, tried=5),)
    assert second.bonus == (
        PlannedTrick(entry("Tantrum"), takeoff=Takeoff.DOUBLE_UP, chance=0.6,
                     bonus="double-up"),
    )  # fmt: skip
    assert write_run(read_run(EXAMPLE)) == (
        "HS backroll, TS FS 180 indy, switch HS FS 360 | Tantrum 4/5 + double-up Tantrum 60%"
    )


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("heelside BACK-roll", "HS backroll"),
        ("sw toe frontside 540 nose-grab", "switch TS FS 540 nose"),
        ("backroll hs 540 front", "HS backroll FS 540"),
        ("back 5, cab 5, front 3", "BS 540, Cab 540, FS 360"),
        ("180, 360", "FS 180, FS 360"),
        ("1 wake HS 180", "One-wake HS FS 180"),
        ("w2w tantrum", "Tantrum"),
        ("double up tantrum", "double-up Tantrum"),
        ("DU tantrum", "double-up Tantrum"),
        ("inside-out indy", "one wake Indy"),
        ("inside out 360 mute", "Inside-out FS 360 mute"),
        ("indy TS", "TS Indy"),
        ("indy 360", "FS 360 indy"),
        ("melon TS back 3", "TS BS 360 melan"),
        ("own tantrum", "Tantrum"),
        ("switch half cab", "Half cab"),
        ("HS FS 180 but 360", "HS FS 360"),
        ("HS FS 180 but TS", "TS FS 180"),
        ("Tantrum TS", "TS Tantrum"),
        ("one wake inside-out tantrum", "one wake Tantrum"),
        ("HS tantrum roast beef", "Tantrum roast beef"),
        ("cab 540 but 1080", "Cab 540 but 1080"),
        ("switch cab 1080", "Cab 1080"),
        ("cab", "Cab 360"),
        ("HS backside roll indy", "HS backroll indy"),
        ("HS roll BS 180", "HS backroll BS 180"),
        ("frontside roll", "TS backroll"),
        ("Tootsie roll", "TS front roll"),
        ("HS BS 180 to blind", "HS BS 180"),
        ("TS 180 to fakie; half cab to revert", "TS FS 180, Half cab"),
        ("mobe(4/5), raley ( 60 % ) x; krypt (0/3)", "Mobe 4/5, Raley 60% x, Krypt 0/3"),
        ("HS 720° tail", "HS FS 720 tail"),
    ],
)
def test_forgiving_reading(text: str, written: str) -> None:
    """Case, order, hyphens and the trade's short words do not matter."""
    assert write_run(read_run(text)) == written


def test_modifier_equal_to_the_entry_is_dropped() -> None:
    """Saying what the name says already changes nothing."""
    assert read_trick("regular HS wake to wake tantrum") == PlannedTrick(entry("Tantrum"))


def test_a_turn_on_a_roll_is_kept_beside_it() -> None:
    """The entry stays, with degrees and direction said beside it."""
    planned = read_trick("HS backroll FS 540")
    assert (planned.entry, planned.rotation, planned.direction) == (
        entry("HS backroll"), 540, Direction.FRONTSIDE)  # fmt: skip
    assert planned.trick.changes_stance


def test_two_names_for_one_ride_have_one_text() -> None:
    """A heelside 180 off a rail is written one way, whichever name it was read from."""
    off_rail = read_trick("HS rail FS 180")
    assert off_rail == read_trick("rail HS 180") == read_trick("Rail 180 HS")
    assert off_rail.trick.takeoff is Takeoff.RAIL
    assert read_trick(write_trick(off_rail)) == off_rail


def test_empty_places() -> None:
    """Nothing is no pass; a bar makes two; empty places between commas are skipped."""
    assert read_run("") == read_run(" \n") == Run()
    assert read_run("| HS backroll").passes == (Pass(), Pass((read_trick("backroll"),)))
    assert read_run(", tantrum,, ,").passes == (Pass((read_trick("tantrum"),)),)
    assert read_run(",") == Run((Pass(),))
    assert write_run(Run((Pass(),))) == ","


def test_bonus_tricks() -> None:
    """Several bonus tricks may follow, with or without commas, under another name too."""
    (only,) = read_run("mobe, + tantrum + style  trick: HS 180 indy").passes
    assert [each.bonus for each in only.bonus] == ["double-up", "style trick"]
    assert only.bonus[0].takeoff is Takeoff.DOUBLE_UP
    assert only.bonus[1].trick.takeoff is Takeoff.WAKE_TO_WAKE
    assert write_run(Run((only,))) == ("Mobe + double-up Tantrum + style trick: HS FS 180 indy")
    assert read_run("+ Double-Up: 1260") == read_run("+ 1260") == read_run("+ DU 1260")


def test_falls_for_a_what_if_run() -> None:
    """A fall on a trick, in the run-in and in the turn."""
    (only,) = read_run("run-in x, Run in X, backroll 4/5 x, tantrum x 50 %, turn x").passes
    assert (only.run_in_falls, only.turn_falls) == (2, 1)
    assert [each.fell for each in only.tricks] == [True, True]
    assert only.tricks[0].tried == 5
    assert only.tricks[1].chance == 0.5
    text = "run-in x, run-in x, HS backroll 4/5 x, Tantrum 50% x, turn x"
    assert write_run(Run((only,))) == text


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("tantrum 6/5", "Landed 6 of 5: landed cannot be more than tried."),
        ("tantrum 0/0", "Landed 0 of 0"),
        ("tantrum 1/9999999999", "more landings than anybody counts"),
        ("tantrum 120%", "A chance lies between 0 % and 100 %."),
        ("tantrum -5%", "A chance lies between 0 % and 100 %."),
        ("tantrum 4/5 80%", "Give the landings or a chance, not both."),
        ("4/5", "There is no trick before “4/5”."),
        ("switch", "“switch” does not name a trick."),
        ("HS TS backroll", "Two edges are given, HS and TS: is a comma missing"),
        ("switch regular mobe", "Two stances are given, switch and regular: is a comma"),
        ("tantrum indy mute", "Two grabs are given, indy and mute: is a comma"),
        ("tantrum, run-in x", "“run-in x” stands before the first trick"),
        ("turn x, tantrum", "“turn x” stands after the last trick"),
        ("mobe + tantrum, raley", "“raley” stands after a bonus trick"),
        ("+ : raley", "Write the name of the bonus trick"),
        ("style trick: raley", "A colon only follows the name of a bonus trick"),
        ("+ one wake raley", "A trick on the double-up leaves from it: drop “one wake”"),
        ("+ one-wake jump", "A trick on the double-up leaves from it: drop “one wake”"),
        ("+ style trick:", "There is no trick here."),
        ("HS 360 + double-up", "The trick of the double-up is missing"),
        ("HS 360 + DU:", "The trick of the double-up is missing"),
        ("HS 360 90% tantrum 80%", "is followed by more: is a comma missing after it?"),
        ("4/5 tantrum", "is followed by more: there is no trick before it."),
        ("mobe but", "“but” is not understood."),
        ("TS raley but HS TS", "Two edges are given, HS and TS"),
        ("HS FS 180 to blind", "is not understood."),
    ],
)
def test_refusals(text: str, sentence: str) -> None:
    """What cannot be meant is answered with a sentence that says what to do."""
    assert sentence in str(faults(text))


def test_all_problems_are_collected_with_their_places() -> None:
    """Each problem has its word, where it begins in the whole text, and like names."""
    text = "mobe, switch HS bakroll indy 4/5 | tantrm + floop"
    problems = faults(text).problems
    assert [each.word for each in problems] == ["bakroll", "tantrm", "floop"]
    assert [text[each.start :].startswith(each.word) for each in problems] == [True] * 3
    assert problems[0].suggestions[0] == "HS backroll"
    assert problems[1].suggestions[0] == "Tantrum"
    assert "“bakroll” is not understood. Did you mean HS backroll" in str(faults(text))


def test_error_speaks_of_its_first_problem() -> None:
    """The attributes of the error are those of the first problem."""
    error = faults("  tantrm, bakroll")
    assert (error.word, error.start, error.text) == ("tantrm", 2, "  tantrm, bakroll")
    assert error.suggestions == error.problems[0].suggestions


def test_first_strange_word_is_pointed_at() -> None:
    """Two names in one place: the second is the one that does not belong."""
    assert faults("tantrum scarecrow").word == "scarecrow"


@pytest.mark.parametrize(
    ("text", "second"),
    [
        ("HS 360 TS 180 | TS 180 80%", "TS"),
        ("HS backroll TS 180", "TS"),
        ("HS backroll HS 180", "HS"),
        ("HS FS 180 TS", "TS"),
        ("HS 360 540", "540"),
        ("indy mute 180", "mute"),
        ("HS 180 indy mute", "mute"),
        ("switch mobe own", "own"),
        ("FS 180 indy BS", "BS"),
        ("rail 180 one wake", "one wake"),
        ("Tantrum Raley", "Raley"),
        ("tantrum HS backroll", "backroll"),
        ("HS 360 90% TS 180 80%", "TS"),
    ],
)
def test_a_forgotten_comma_loses_no_trick(text: str, second: str) -> None:
    """Two words of one kind, or two names, in one place: the second is pointed at."""
    (problem,) = faults(text).problems
    assert (problem.word, problem.start) == (second, text.rindex(second, 1, problem.start + 9))
    assert "comma missing" in problem.message


@pytest.mark.parametrize("end", ["\n", "\r\n", ";", ",\n", "\n\n \n"])
def test_a_line_break_separates_tricks(end: str) -> None:
    """A new line or a semicolon is read as a comma, and an empty line ends no pass."""
    run = read_run("HS 360, TS 180 | mobe, raley + tantrum")
    assert read_run(f"HS 360{end}TS 180\n|\nmobe{end}raley\n+\ntantrum\n") == run


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("HS 180 indi", ("indy", "tindy")),
        ("HS 180 tailgrab", ("tail grab",)),
        ("tailgrab", ("Tail grab",)),
        ("HS 270", ("180", "360")),
        ("swich HS 180", ("switch",)),
        ("HS bakroll indy", ("HS backroll",)),
        ("HS 9999999", ()),
    ],
)
def test_what_may_have_been_meant(text: str, meant: tuple[str, ...]) -> None:
    """A slip is met with the trick, the grab or the other word that it resembles."""
    (problem,) = faults(text).problems
    assert problem.suggestions[: len(meant)] == meant
    assert text.startswith("HS 9") <= (problem.suggestions == ())


def test_each_of_several_faults_says_where_it_is() -> None:
    """Pass and trick are named, a bonus trick counting on; a single fault stands alone."""
    problems = faults("mobe, tantrm | run-in x, floop, raley + bakroll").problems
    assert [each.where for each in problems] == [
        "Pass 1, trick 2", "Pass 2, trick 1", "Pass 2, trick 3"]  # fmt: skip
    assert problems[1].sentence == "Pass 2, trick 1: “floop” is not understood."
    assert str(faults("mobe, floop")) == "“floop” is not understood."


def test_a_text_full_of_faults_is_answered_briefly() -> None:
    """Ten faults are named and the rest counted; all of them are kept."""
    error = faults(", ".join(["floop"] * 300))
    assert len(error.problems) == 300
    assert str(error).count("floop") == 10
    assert str(error).endswith("And 290 more.")
    assert "more" not in str(faults(", ".join(["floop"] * 10)))


@pytest.mark.parametrize("text", ["a" * 20_001, "mobe," * 401, "|" * 40])
def test_oversize_texts_are_refused(text: str) -> None:
    """No text is so long that reading it takes a while."""
    assert "at most" in str(faults(text))


def test_custom_tricks_are_ordinary_entries() -> None:
    """A rider's own trick is read, written and suggested like any other."""
    mine = Trick("mine", "Barn door", Family.TANTRUM, Edge.HEELSIDE, invert=True)
    wider = KNOWN.with_tricks([mine])
    run = read_run("switch barn-door indy 1/3", wider)
    assert run.passes[0].tricks[0].entry is mine
    assert read_run(write_run(run), wider) == run
    assert "barn" in faults(write_run(run)).word.casefold()
