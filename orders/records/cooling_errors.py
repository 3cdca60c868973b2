"""Why what is measured while food cools, or is said to be, cannot be recorded."""

from orders.records.errors import OrderError


class MeasureMissing(OrderError):
    """An override of the cooling rule says what is measured instead."""

    code = "measure_missing"


class MeasurerMissing(OrderError):
    """An override of the cooling rule says who measures."""

    code = "measurer_missing"


class SaysNothing(OrderError):
    """What lifts a mark or a block is written in real words: a dot says nothing."""

    code = "says_nothing"


class SourceUnshown(OrderError):
    """A recipe counts as safe at room temperature by words that do not show it; ``lacks`` says why."""

    code = "source_unshown"


class HoldingContradicts(OrderError):
    """A product's own text says to keep out of the cold what the quote says to keep cold."""

    code = "holding_contradicts"


class HourNotInTime(OrderError):
    """A limit is read within its time.

    ``limit_c`` is None where the rule has no times; ``minutes`` are the most after the heat.
    """

    code = "hour_not_in_time"


class BrokenTogether(OrderError):
    """A batch breaks the cooling rule as it is made for several orders at once, and the owner has not said why it may.

    ``items`` are their names, ``orders`` the numbers of the orders.
    """

    code = "broken_together"


class BrokenWithThis(BrokenTogether):
    """The same at an approval: the order that it would make has no number yet."""

    code = "broken_with_this"


class StartWaits(OrderError):
    """Production starts once the owner has recorded what is measured of what breaks the cooling rule by today's steps.

    ``items`` are the names of what does.
    """

    code = "start_waits"


class StartNever(OrderError):
    """Production does not start of what may never get cold where it chills: the catalog is changed first.

    ``items`` are the names of what may not.
    """

    code = "start_never"


class StartUnjudged(OrderError):
    """Nobody can judge how something cools while the catalog has an error there, and the owner gave no reason."""

    code = "start_unjudged"


class StartLate(OrderError):
    """What an order shares with others is not cold before it leaves so, and the owner gave no reason.

    ``items`` are the names of these batches, ``orders`` the numbers of the orders they are made for at once.
    """

    code = "start_late"


class StartTooEarly(OrderError):
    """Nothing of an order can be made yet: all would be older than it keeps.

    Its plan begins at ``planned``; ``first`` is when something may be made.
    """

    code = "start_too_early"


class StartEarly(OrderError):
    """Production would start before its plan, and ``items`` may not be made yet, as they would be too old."""

    code = "start_early"


class NamesNobody(OrderError):
    """Who measures has a name."""

    code = "names_nobody"


class ReadingMissing(OrderError):
    """A cooling record has at least one reading."""

    code = "reading_missing"


class ReadingInFuture(OrderError):
    """A reading, or the start of cooling, is later than now."""

    code = "reading_in_future"


class ReadingBeforeStart(OrderError):
    """A reading is earlier than the start of cooling."""

    code = "reading_before_start"


class NotMadeYet(OrderError):
    """Cooling began, or a reading was taken, before the thing can have been made for this order."""

    code = "not_made_yet"


class NamesNothingServed(OrderError):
    """What did not keep the cooling rule, or was discarded, is handed over without a word on what is served instead."""

    code = "names_nothing_served"


class NotNamed(OrderError):
    """One note is for matters that differ, and does not name each of them."""

    code = "not_named"


class EarlierBatch(OrderError):
    """Something was made before its planned day or its order, and nobody says that the order is made from it."""

    code = "earlier_batch"


class BeforeProduction(OrderError):
    """Something began before production of the order was started, and nobody says that the order is made from it."""

    code = "before_production"


class BeforePlannedDay(OrderError):
    """Something began before its planned day, in production too, and nobody says that the order is made from it."""

    code = "before_planned_day"


class DismissalUnfounded(OrderError):
    """The mark of a broken cooling rule is dismissed with the reason why it concerns nothing that was made."""

    code = "dismissal_unfounded"


class BreachStands(OrderError):
    """A mark is dismissed that is another one by now: today's steps break the rule, or something was measured."""

    code = "breach_stands"


class PartMissing(OrderError):
    """What stands in several vessels is measured vessel by vessel: the record names which."""

    code = "part_missing"


class NoSuchPart(OrderError):
    """A number is named of what is one vessel or load: it would stand for another one."""

    code = "no_such_part"


class WarmestMissing(OrderError):
    """Several pieces of one load are measured at the warmest, and the record says so: one does not stand for others."""

    code = "warmest_missing"


class CountUnknown(OrderError):
    """Nothing states in how many vessels or loads it is: the record says that its readings are of the warmest."""

    code = "count_unknown"


class LoadMissing(OrderError):
    """What is made in several loads is measured load by load: the record names which."""

    code = "load_missing"


class LoadsApart(OrderError):
    """Loads that leave the heat one after the other are measured one by one: no reading stands for all of them."""

    code = "loads_apart"


class LoadsApartPlanned(OrderError):
    """The same, with when the first and the last of them leave as planned."""

    code = "loads_apart_planned"


class BeganBeforeDone(OrderError):
    """A new cooling begins after what was done with the one before: it was thrown away, or reheated, by then."""

    code = "began_before_done"


class ReheatingTakes(OrderError):
    """A second cooling begins once it was reheated, and that takes some minutes after the last reading before."""

    code = "reheating_takes"


class ReadingContradicts(OrderError):
    """Another reading of the same minute was recorded for the same load or vessel."""

    code = "reading_contradicts"


class ReadingOfOther(OrderError):
    """The reading was recorded of another cooling of the same item: each that breaks its rule has its own."""

    code = "reading_of_other"


class BatchMissing(OrderError):
    """Several orders may have been made as one batch: the record says whether it is of that, or of this order's own."""

    code = "batch_missing"


class StartMissing(OrderError):
    """Whether a rule with times was kept cannot be told without the start of cooling."""

    code = "start_missing"


class ReadingUnlikely(OrderError):
    """A reading is far below freezing: food that cools is not, so it was read in the other unit, or is not food."""

    code = "reading_unlikely"


class ReadingTooSoon(OrderError):
    """The last reading was taken as soon as cooling began: it shows nothing of how long it took."""

    code = "reading_too_soon"


class WarmerAgain(OrderError):
    """A later reading is warmer than one before: what cools does not warm up."""

    code = "warmer_again"


class StillTooWarm(OrderError):
    """The last reading is warmer than the rule allows, so the rule was not kept, or it still cools."""

    code = "still_too_warm"


class NotShownInTime(OrderError):
    """No reading shows that a limit was reached in time."""

    code = "not_shown_in_time"


class BrokenAlready(OrderError):
    """A reading shows that a limit was missed: it does not cool on as if nothing were, and is recorded as not met."""

    code = "broken_already"


class RuleWasNotMet(OrderError):
    """What was recorded not to have kept the cooling rule does not go out without a word on what does."""

    code = "was_not_kept"


class DiscardedGoesOut(OrderError):
    """What was recorded as discarded does not go out: whoever hands over ticks so for each."""

    code = "discarded_goes_out"


class DiscardedWithoutNote(OrderError):
    """The same, where no note says what goes out instead either: both are asked for at once."""

    code = "discarded_without_note"


class WaitsForOwner(OrderError):
    """What is still to be measured is handed over by the owner alone, with a reason."""

    code = "waits_for_owner"


class TooOldWaits(OrderError):
    """What was cold in time and is older than it keeps is handed over by the owner alone, with a reason."""

    code = "too_old_waits"


class TooOld(OrderError):
    """What was cold in time and is older than it keeps does not go out without a reason."""

    code = "too_old"


class CoolingOpen(OrderError):
    """What is still marked to be measured does not go out without a record, or its core temperature and a reason."""

    code = "cooling_open"


class TooWarmToGo(OrderError):
    """What is measured at the hand-over is cold: warmer than the rule holds it, it does not go out."""

    code = "too_warm_to_go"


class ActionMissing(OrderError):
    """Where the rule was not kept, it is recorded what was done."""

    code = "action_missing"


class ReheatedBefore(OrderError):
    """Food that was reheated and cooled once more is not reheated again."""

    code = "reheated_before"


class NeverHotUnseen(OrderError):
    """A recipe of milk, egg or cream counts as never hot by the owner's word, and that was not seen."""

    code = "never_hot_unseen"


class StepsUnanswered(OrderError):
    """A step of a recipe changed, and nobody has said since whether it is cold."""

    code = "steps_unanswered"
