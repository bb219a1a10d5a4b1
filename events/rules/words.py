"""The fixed words of a format: each enumeration is one question and its answers."""

from enum import StrEnum

from events.rules.language import mark_in


class Per(StrEnum):
    """The span in which something is counted."""

    RUN = mark_in("value", "run")
    PASS = mark_in("value", "pass")


class EndedBy(StrEnum):
    """What ends a pass."""

    MARKER = mark_in("value", "marker")
    TIME = mark_in("value", "time")
    FIRST_OF_BOTH = mark_in("value", "first of both")


class Course(StrEnum):
    """Which way the passes go."""

    THERE_AND_BACK = mark_in("value", "there and back")
    SAME_WAY = mark_in("value", "same way each pass")


class NextFall(StrEnum):
    """What the fall after the last allowed one does."""

    ENDS_RUN = mark_in("value", "ends run")
    ENDS_PASS = mark_in("value", "ends pass")
    NOTHING_LATER_COUNTS = mark_in("value", "nothing later counts")


class Counts(StrEnum):
    """Whether a fall in some place counts."""

    COUNTS = mark_in("value", "counts")
    FREE = mark_in("value", "free")


class RunIn(StrEnum):
    """Whether a fall in the run-in counts."""

    COUNTS = mark_in("value", "counts")
    FREE = mark_in("value", "free")
    FIRST_FREE = mark_in("value", "first one free")


class WhichFall(StrEnum):
    """Which falls a cutoff marker speaks of."""

    FIRST = mark_in("value", "first")
    ANY = mark_in("value", "any")


class CutoffEffect(StrEnum):
    """What a fall past a no-pick-up marker does."""

    ENDS_RUN = mark_in("value", "ends run")
    ENDS_PASS = mark_in("value", "ends pass")


class BonusCondition(StrEnum):
    """When a bonus trick is on offer."""

    RUN_GOES_ON = mark_in("value", "run still going")
    NO_FALL_IN_PASS = mark_in("value", "no fall in the last pass")
    FEWER_FALLS = mark_in("value", "fewer falls than stated")


class BonusMarks(StrEnum):
    """How a bonus trick is marked."""

    AS_A_TRICK = mark_in("value", "like any trick")
    STYLE_ONLY = mark_in("value", "for style only")
    APART = mark_in("value", "apart from the passes")


class Repeat(StrEnum):
    """What doing a trick again means."""

    FREE = mark_in("value", "free")
    DISCOURAGED = mark_in("value", "discouraged")
    ONCE = mark_in("value", "once")
    ONCE_UNLESS_NOT_LANDED = mark_in("value", "once unless not landed")
    FIRST_COUNTS = mark_in("value", "first counts")
    BEST_COUNTS = mark_in("value", "best counts")
    NOT_COUNTED = mark_in("value", "not counted")


class Attribute(StrEnum):
    """What can make two tricks different."""

    STANCE = mark_in("value", "stance")
    APPROACH = mark_in("value", "approach")
    DIRECTION = mark_in("value", "direction")
    ROTATION = mark_in("value", "rotation")
    GRAB = mark_in("value", "grab")
    TAKEOFF = mark_in("value", "takeoff")


class UsedBy(StrEnum):
    """Which tricks use up a limit."""

    TRIED = mark_in("value", "tried")
    LANDED = mark_in("value", "landed")


class Breach(StrEnum):
    """What happens when a limit is not kept."""

    NOT_COUNTED = mark_in("value", "not counted")
    MOVED_UP = mark_in("value", "moved up a division")
    DISQUALIFIED = mark_in("value", "disqualified")
    JUDGES_DECIDE = mark_in("value", "the judges decide")
    FOR_INFORMATION = mark_in("value", "for information")


class OutOfOrder(StrEnum):
    """What a trick out of the declared order is worth."""

    NOT_COUNTED = mark_in("value", "not counted")
    MARKED_DOWN = mark_in("value", "marked down")
    JUDGES_DECIDE = mark_in("value", "the judges decide")


class WhoSets(StrEnum):
    """Who decides a value of the boat."""

    FIXED = mark_in("value", "fixed")
    BASELINE = mark_in("value", "baseline, requests heard")
    RIDER = mark_in("value", "rider's choice")


class RopeFrom(StrEnum):
    """Whose rope is ridden."""

    OWN = mark_in("value", "own")
    SHARED = mark_in("value", "shared")
    EITHER = mark_in("value", "own or shared")


class RoundKind(StrEnum):
    """What a round is for."""

    QUALIFYING = mark_in("value", "qualifying")
    LAST_CHANCE = mark_in("value", "last chance")
    SEMI_FINAL = mark_in("value", "semi-final")
    FINAL = mark_in("value", "final")


class AdvanceFrom(StrEnum):
    """Where the riders who go on are counted."""

    EACH_HEAT = mark_in("value", "each heat")
    ROUND = mark_in("value", "the round")


class Ties(StrEnum):
    """What a tie for the last place that advances does."""

    ALL_ADVANCE = mark_in("value", "all advance")
    RIDE_OFF = mark_in("value", "ride-off")
    JUDGES_DECIDE = mark_in("value", "the judges decide")


class RidingOrder(StrEnum):
    """How the order of riding is found."""

    ALPHABETICAL = mark_in("value", "alphabetical")
    RANDOM = mark_in("value", "random")
    RANKING = mark_in("value", "ranking, best last")
    REVERSE = mark_in("value", "reverse of the last round")
    BY_HAND = mark_in("value", "by hand")


class RunAgain(StrEnum):
    """Whether a later round is ridden with a new run."""

    NEW = mark_in("value", "new run")
    SAME = mark_in("value", "same run")


class Late(StrEnum):
    """What happens to a rider who is not ready."""

    POINTS = mark_in("value", "points off")
    LAST_IN_HEAT = mark_in("value", "moved to last in the heat")
    NOT_RIDDEN = mark_in("value", "not ridden")


class Sex(StrEnum):
    """Who may ride, by sex."""

    OPEN = mark_in("value", "open")
    WOMEN = mark_in("value", "women")
    MEN = mark_in("value", "men")


class AgeOn(StrEnum):
    """The day on which age is taken."""

    NEW_YEAR = mark_in("value", "1 January")
    YEAR_END = mark_in("value", "31 December")
    FIRST_DAY = mark_in("value", "first day")
    OWN_DATE = mark_in("value", "own date")
    BIRTH_YEAR = mark_in("value", "year of birth")


class Beyond(StrEnum):
    """What happens to entries beyond the limit."""

    WAITING_LIST = mark_in("value", "waiting list")
    BY_LOT = mark_in("value", "drawn by lot")
    REFUSED = mark_in("value", "refused")


class Below(StrEnum):
    """What happens to a division with too few riders."""

    JOINED = mark_in("value", "joined with another division")
    NOT_RIDDEN = mark_in("value", "not ridden")
    ORGANISER = mark_in("value", "the organiser decides")


class JudgePlace(StrEnum):
    """Where the judges are."""

    BOAT = mark_in("value", "in the boat")
    SHORE = mark_in("value", "on shore")
    BOTH = mark_in("value", "boat and shore")


class Combine(StrEnum):
    """How the judges' marks make one."""

    MEAN = mark_in("value", "mean")
    DROP_ENDS = mark_in("value", "mean without highest and lowest")
    PLACINGS = mark_in("value", "placings")
