"""The table of cooling rules against the figures each of them prints; and walls of molds against a standard's table.

How each was seen stands beside it. The figures are written out here, apart from the product's table.
"""

import pytest

from costing.chilling import PROFILES, WALLS
from costing.chilling.profiles import celsius

#: code: (from °C, to °C, minutes) of each leg; the warmest that cold food may be [°C].
RULES = {
    # US Food Code 3-501.14(A), 3-501.16, as enacted in 16 Del. Admin. Code: 135 °F to 70 °F within 2 hours, and within
    # a total of 6 hours to 41 °F (read in a stored copy).
    "us-cooked": ([(celsius(135), celsius(70), 2 * 60), (celsius(135), celsius(41), 6 * 60)], celsius(41)),
    # The same, 3-501.14(B): made from ingredients at ambient temperature, to 41 °F within 4 hours.
    "us-ambient": ([(None, celsius(41), 4 * 60)], celsius(41)),
    # FSANZ Standard 3.2.2 clause 7(3) and cold food at 5 °C: 60 to 21 °C within 2 hours, to 5 °C within a further 4
    # (the clause as quoted on a stored page).
    "anz": ([(60, 21, 2 * 60), (21, 5, 4 * 60)], 5),
    # Food Retail and Food Services Code, 2016: 60 to 20 °C within 2 hours, 20 to 4 °C within 4 (a secondary page only).
    "ca": ([(60, 20, 2 * 60), (20, 4, 4 * 60)], 4),
    # UK cook-chill guideline: a layer of 50 mm from 70 to 3 °C within 90 minutes (as quoted on a stored page).
    "uk-cook-chill": ([(70, 3, 90)], 3),
    # SI 2006/31 (Wales) and NISR 2006/3, Schedule 4: 8 °C; as quickly as possible (read on legislation.gov.uk).
    "uk": ([], 8),
    # Regulation (EC) 852/2004 Annex II chapter IX: as quickly as possible, no figures (from memory).
    "eu": ([], None),
}


@pytest.mark.parametrize("code", PROFILES)
def test_a_rule_has_the_temperatures_and_minutes_it_prints(code: str) -> None:
    legs, cold = RULES[code]
    assert [(leg.from_c, leg.to_c, leg.minutes) for leg in PROFILES[code].legs] == legs
    assert PROFILES[code].cold_c == cold


def test_fahrenheit_is_that_of_nist() -> None:
    """NIST SP 811 B.9: t/°C = (t/°F − 32) / 1.8; 41 °F is exactly 5 °C."""
    assert celsius(41) == 5
    assert celsius(135) == pytest.approx((135 - 32) / 1.8)


#: EN ISO 10077-2:2003, table of conductivities [W/m K], read in a stored copy of the table.
EN_ISO_10077 = {"metal": 50.0, "glass": 1.0, "silicone": 0.35, "plastic": 0.22}


@pytest.mark.parametrize(("wall", "agrees"), [("metal", 0.0), ("glass", 0.0), ("plastic", 0.1)])
def test_a_molds_wall_conducts_as_the_standard_says(wall: str, agrees: float) -> None:
    """Steel 50, soda-lime glass 1.0, solid polypropylene 0.22; plastic is several things, so a tenth is allowed."""
    assert WALLS[wall].conductivity == pytest.approx(EN_ISO_10077[wall], rel=agrees)


@pytest.mark.parametrize("wall", EN_ISO_10077)
def test_no_wall_lets_more_cold_through_than_the_standard_says(wall: str) -> None:
    """Pure silicone has 0.35 there; ours is less, so that a mold of it is not promised to cool sooner than it does."""
    assert EN_ISO_10077[wall] / 2 < WALLS[wall].conductivity <= EN_ISO_10077[wall]


def test_no_card_lets_more_cold_through_than_a_table_says() -> None:
    """Cardboard, about 0.14 W/m K at 0 to 20 °C: a table of non-metallic solids for pipework, read in a stored copy."""
    assert 0.14 / 2 < WALLS["card"].conductivity <= 0.14
