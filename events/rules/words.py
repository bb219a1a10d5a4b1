"""The fixed words of a format: each enumeration is one question and its answers."""

from enum import StrEnum


class Per(StrEnum):
    """The span in which something is counted."""

    RUN = "run"
    PASS = "pass"


class EndedBy(StrEnum):
    """What ends a pass."""

    MARKER = "marker"
    TIME = "time"
    FIRST_OF_BOTH = "first of both"


class Course(StrEnum):
    """Which way the passes go."""

    THERE_AND_BACK = "there and back"
    SAME_WAY = "same way each pass"


class NextFall(StrEnum):
    """What the fall after the last allowed one does."""

    ENDS_RUN = "ends run"
    ENDS_PASS = "ends pass"
    NOTHING_LATER_COUNTS = "nothing later counts"


class Counts(StrEnum):
    """Whether a fall in some place counts."""

    COUNTS = "counts"
    FREE = "free"


class RunIn(StrEnum):
    """Whether a fall in the run-in counts."""

    COUNTS = "counts"
    FREE = "free"
    FIRST_FREE = "first one free"


class WhichFall(StrEnum):
    """Which falls a cutoff marker speaks of."""

    FIRST = "first"
    ANY = "any"


class CutoffEffect(StrEnum):
    """What a fall past a no-pick-up marker does."""

    ENDS_RUN = "ends run"
    ENDS_PASS = "ends pass"


class BonusCondition(StrEnum):
    """When a bonus trick is on offer."""

    RUN_GOES_ON = "run still going"
    NO_FALL_IN_PASS = "no fall in the last pass"
    FEWER_FALLS = "fewer falls than stated"


class BonusMarks(StrEnum):
    """How a bonus trick is marked."""

    AS_A_TRICK = "like any trick"
    STYLE_ONLY = "for style only"
    APART = "apart from the passes"


class Repeat(StrEnum):
    """What doing a trick again means."""

    FREE = "free"
    DISCOURAGED = "discouraged"
    ONCE = "once"
    ONCE_UNLESS_NOT_LANDED = "once unless not landed"
    FIRST_COUNTS = "first counts"
    BEST_COUNTS = "best counts"
    NOT_COUNTED = "not counted"


class Attribute(StrEnum):
    """What can make two tricks different."""

    STANCE = "stance"
    APPROACH = "approach"
    DIRECTION = "direction"
    ROTATION = "rotation"
    GRAB = "grab"
    TAKEOFF = "takeoff"


class UsedBy(StrEnum):
    """Which tricks use up a limit."""

    TRIED = "tried"
    LANDED = "landed"


class Breach(StrEnum):
    """What happens when a limit is not kept."""

    NOT_COUNTED = "not counted"
    MOVED_UP = "moved up a division"
    DISQUALIFIED = "disqualified"
    JUDGES_DECIDE = "the judges decide"
    FOR_INFORMATION = "for information"


class OutOfOrder(StrEnum):
    """What a trick out of the declared order is worth."""

    NOT_COUNTED = "not counted"
    MARKED_DOWN = "marked down"
    JUDGES_DECIDE = "the judges decide"


class WhoSets(StrEnum):
    """Who decides a value of the boat."""

    FIXED = "fixed"
    BASELINE = "baseline, requests heard"
    RIDER = "rider's choice"


class RopeFrom(StrEnum):
    """Whose rope is ridden."""

    OWN = "own"
    SHARED = "shared"
    EITHER = "own or shared"


class RoundKind(StrEnum):
    """What a round is for."""

    QUALIFYING = "qualifying"
    LAST_CHANCE = "last chance"
    SEMI_FINAL = "semi-final"
    FINAL = "final"


class AdvanceFrom(StrEnum):
    """Where the riders who go on are counted."""

    EACH_HEAT = "each heat"
    ROUND = "the round"


class Ties(StrEnum):
    """What a tie for the last place that advances does."""

    ALL_ADVANCE = "all advance"
    RIDE_OFF = "ride-off"
    JUDGES_DECIDE = "the judges decide"


class RidingOrder(StrEnum):
    """How the order of riding is found."""

    ALPHABETICAL = "alphabetical"
    RANDOM = "random"
    RANKING = "ranking, best last"
    REVERSE = "reverse of the last round"
    BY_HAND = "by hand"


class RunAgain(StrEnum):
    """Whether a later round is ridden with a new run."""

    NEW = "new run"
    SAME = "same run"


class Late(StrEnum):
    """What happens to a rider who is not ready."""

    POINTS = "points off"
    LAST_IN_HEAT = "moved to last in the heat"
    NOT_RIDDEN = "not ridden"


class Sex(StrEnum):
    """Who may ride, by sex."""

    OPEN = "open"
    WOMEN = "women"
    MEN = "men"


class AgeOn(StrEnum):
    """The day on which age is taken."""

    NEW_YEAR = "1 January"
    YEAR_END = "31 December"
    FIRST_DAY = "first day"
    OWN_DATE = "own date"
    BIRTH_YEAR = "year of birth"


class Beyond(StrEnum):
    """What happens to entries beyond the limit."""

    WAITING_LIST = "waiting list"
    BY_LOT = "drawn by lot"
    REFUSED = "refused"


class Below(StrEnum):
    """What happens to a division with too few riders."""

    JOINED = "joined with another division"
    NOT_RIDDEN = "not ridden"
    ORGANISER = "the organiser decides"


class JudgePlace(StrEnum):
    """Where the judges are."""

    BOAT = "in the boat"
    SHORE = "on shore"
    BOTH = "boat and shore"


class Combine(StrEnum):
    """How the judges' marks make one."""

    MEAN = "mean"
    DROP_ENDS = "mean without highest and lowest"
    PLACINGS = "placings"
