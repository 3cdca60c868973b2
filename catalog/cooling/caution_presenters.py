"""The cautions that go with every estimate of cooling, in words, and the width of its range."""

from typing import Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.cooling.words import thick_words
from catalog.web import display
from costing.chilling import HOT_C, LATER, SOONER

#: In the order they matter.
_CAUTIONS: Final = (
    marked(
        "This is an estimate by heat conduction. It has a range: typically %(band)s. In a full or warm refrigerator"
        " it is later still. Check with a calibrated probe at the warmest point; on wood or card that is the base."
    ),
    marked(
        "The local food code governs, not this estimate. By the US Food Code the clock starts when the probe shows"
        " %(hot)s. Food that is not cold in time has to be smaller or shallower, or needs a blast chiller or an ice"
        " bath."
    ),
    marked(
        "The estimate does not hold for freezing air, or for warm food stacked or boxed before it is cold. Thick"
        " fillings left standing in pots and buckets were measured at %(thick)s the estimate: divide them over shallow"
        " pans, or stir them in an ice bath."
    ),
    marked("The outside warms within seconds of leaving the cold. The food code says how long food may be out."),
    marked(
        "Whether a dessert needs time and temperature control depends on its acidity and water activity. That takes a"
        " product assessment, not this tool."
    ),
)


def band_words() -> str:
    """Write how wide the range of an estimate typically is, as a part of a sentence."""
    return gettext(
        "food without a lid is cold %(sooner_least)s to %(sooner_most)s sooner than the likely time at the fastest, and"
        " %(later_least)s to %(later_most)s later at the slowest; under a lid the range is wider"
    ) % {
        "sooner_least": SOONER[0],
        "sooner_most": display.percent(SOONER[1] / 100, digits=0),
        "later_least": LATER[0],
        "later_most": display.percent(LATER[1] / 100, digits=0),
    }


def cautions_shown() -> tuple[str, ...]:
    """Write the cautions, in the order they matter."""
    values = {"band": band_words(), "hot": display.temperature(HOT_C), "thick": thick_words()}
    return tuple(gettext(caution) % values for caution in _CAUTIONS)
