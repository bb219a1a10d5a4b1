"""The notation for any run and any text: exact round trips, and no error but its own."""

from hypothesis import given
from hypothesis import strategies as st

from events.rules.notation import (
    NotationError,
    normalise,
    normalise_run,
    read_run,
    read_trick,
    write_run,
    write_trick,
)
from events.rules.notation_words import GRABS, ROTATIONS
from events.rules.run import Pass, PlannedTrick, Run
from events.rules.trick import Direction, Edge, Stance, Takeoff
from events.rules.vocabulary import standard_vocabulary
from tests.rules.test_notation import entry

KNOWN = standard_vocabulary()

records = st.integers(1, 500).flatmap(
    lambda tried: st.tuples(st.integers(0, tried), st.just(tried))
)
likelihoods = st.one_of(
    st.fixed_dictionaries({}),
    records.map(lambda pair: {"landed": pair[0], "tried": pair[1]}),
    st.floats(0, 1).map(lambda chance: {"chance": chance}),
)
modifiers = st.fixed_dictionaries({}, optional={
    "stance": st.sampled_from(Stance),
    "approach": st.sampled_from(Edge),
    "direction": st.sampled_from(Direction),
    "takeoff": st.sampled_from(Takeoff),
    "rotation": st.sampled_from((0, *ROTATIONS)),
    "grab": st.sampled_from(("", *GRABS)),
})  # fmt: skip
planned_tricks = st.builds(
    lambda entry, said, likely, fell: PlannedTrick(entry, fell=fell, **said, **likely),
    st.sampled_from(KNOWN.tricks), modifiers, likelihoods, st.booleans(),
)  # fmt: skip
bonus_names = st.one_of(
    st.just("double-up"),
    st.text(st.characters(exclude_characters=",;|+:"), min_size=1, max_size=20).filter(
        lambda name: name.strip()
    ),
)
bonuses = st.builds(
    lambda planned, bonus: PlannedTrick(**{**vars(planned), "bonus": bonus}),
    planned_tricks, bonus_names,
)  # fmt: skip
passes = st.builds(
    lambda tricks, bonus, run_in, turn: Pass(tuple(tricks), tuple(bonus), run_in, turn),
    st.lists(planned_tricks, max_size=5), st.lists(bonuses, max_size=2),
    st.integers(0, 2), st.integers(0, 2),
)  # fmt: skip
runs = st.lists(passes, max_size=4).map(lambda each: Run(tuple(each)))


@given(runs)
def test_exact_round_trip(run: Run) -> None:
    """A normalised run is written as a text that reads back as the same run."""
    normal = normalise_run(run)
    assert read_run(write_run(normal)) == normal
    assert normalise_run(normal) == normal


@given(planned_tricks)
def test_normalising_keeps_what_is_ridden(planned: PlannedTrick) -> None:
    """Edge, stance, take-off, degrees and grab stay; only a turn whose direction was left
    open may gain one."""
    before, after = planned.trick, normalise(planned).trick
    for name in ("stance", "approach", "takeoff", "rotation", "grab"):
        assert getattr(before, name) == getattr(after, name)
    if before.direction is not Direction.NONE:
        assert after.direction is before.direction


@given(st.floats(0, 1))
def test_chances_are_written_exactly(chance: float) -> None:
    """The percentage has just the digits that give the same number again."""
    planned = PlannedTrick(entry("Tantrum"), chance=chance)
    assert read_trick(write_trick(planned)).chance == chance


def test_third_is_exact_and_tenths_are_short() -> None:
    """One third comes back as one third; 80 % is written as such."""
    third = PlannedTrick(entry("Tantrum"), chance=1 / 3)
    assert read_trick(write_trick(third)).chance == 1 / 3
    assert write_trick(PlannedTrick(entry("Tantrum"), chance=0.8)) == "Tantrum 80%"
    assert write_trick(PlannedTrick(entry("Tantrum"), chance=0.285)) == "Tantrum 28.5%"


WORDS = ["HS", "switch", "backroll", "tantrum", "360", "3", "indy", "tail", "FS", "back",
         "one wake", "inside-out", "double-up", "no spin", "no grab", "mobe", "cab", "roll",
         "4/5", "80%", "x", ",", "|", "+", ":", "turn x", "run-in x", "to blind", "ollie",
         "raley", "jump", "overhead", "off axis", "rail", "313", "%", "/", "-",
         "half", "but", ";", "\n", "(4/5)", "(80%)"]  # fmt: skip


@given(st.one_of(st.text(max_size=200), st.lists(st.sampled_from(WORDS)).map(" ".join)))
def test_any_text_is_read_or_refused(text: str) -> None:
    """No text raises anything but NotationError; what was read is written stably."""
    run, problems = Run(), ()
    try:
        run = read_run(text)
    except NotationError as error:
        problems = error.problems
    for problem in problems:
        assert problem.message
        assert text[problem.start :].startswith(problem.word)
    assert read_run(write_run(run)) == run
