"""Food-safety profiles and the check against them."""

from __future__ import annotations

import pytest

from costing.chilling import PROFILES, Leg, Profile, due_times, results
from costing.chilling.profiles import AMBIENT, COLD_C, COOKED, HOT_C, LUKEWARM_C, Times
from tests.each import each


def straight(start: float, per_minute: float) -> Times:
    """A point that cools by the same amount every minute, down to 0 °C."""
    return lambda limit: None if limit > start or limit < 0 else (start - limit) / per_minute


def met(code: str, start: float, per_minute: float) -> list[bool]:
    return [each.met for each in results(PROFILES[code], start, straight(start, per_minute))]


def test_the_fahrenheit_figures_are_the_food_codes_limits() -> None:
    """US Food Code 3-501.14 as enacted in 16 Del. Admin. Code: 57 °C (135 °F), 21 °C (70 °F), 5 °C (41 °F)."""
    assert pytest.approx((57.2222, 21.1111, 5.0), abs=1e-4) == (HOT_C, LUKEWARM_C, COLD_C)
    assert COLD_C == 5.0
    assert PROFILES[COOKED].legs == (Leg(HOT_C, LUKEWARM_C, 120), Leg(HOT_C, COLD_C, 360))
    assert PROFILES[AMBIENT].legs == (Leg(None, COLD_C, 240),)


def test_australias_four_hours_come_on_top_of_the_first_leg_and_americas_six_hold_it() -> None:
    """FSANZ Standard 3.2.2 cl. 7(3): 60 to 21 °C within 2 h, then to 5 °C within a further 4 h."""

    def quick_then_slow(limit: float) -> float | None:
        """60 to 21 °C in one hour, then five hours less a minute to 5 °C."""
        if limit >= 21:
            return 60 - (limit - 21) * 60 / 39
        return 60 + (21 - limit) * 299 / 16

    assert [each.met for each in results(PROFILES["au"], 60.0, quick_then_slow)] == [True, False]
    assert [each.met for each in results(PROFILES[COOKED], 60.0, quick_then_slow)] == [True, True]


def test_the_clock_starts_at_135_fahrenheit_not_at_minute_0() -> None:
    first, total = results(PROFILES[COOKED], 90.0, straight(90.0, 0.5))
    assert first.minutes == pytest.approx((HOT_C - LUKEWARM_C) / 0.5)
    assert total.minutes == pytest.approx((HOT_C - 5) / 0.5)


def test_what_begins_below_135_fahrenheit_has_its_clock_at_minute_0() -> None:
    first, total = results(PROFILES[COOKED], 50.0, straight(50.0, 0.5))
    assert first.minutes == pytest.approx((50 - LUKEWARM_C) / 0.5)
    assert total.minutes == pytest.approx(90)


def test_what_begins_cold_keeps_the_rule_and_what_never_gets_cold_breaks_it() -> None:
    assert met(AMBIENT, 4.0, 0.1) == [True]
    never = results(PROFILES[COOKED], 60.0, lambda limit: None if limit < 10 else 1.0)
    assert [each.met for each in never] == [True, False]
    assert never[1].minutes is None
    assert never[1].margin is None


def test_a_limit_reached_to_the_minute_is_met() -> None:
    (result,) = results(Profile("x", "X", (Leg(None, 5.0, 240),), 5.0, "none"), 24.0, lambda limit: 240.0)
    assert result.met
    assert result.margin == 0


@each("code", PROFILES)
def test_a_profile_says_what_it_is_and_where_it_stands(code: str) -> None:
    profile = PROFILES[code]
    assert profile.code == code
    assert profile.title
    assert profile.source
    for leg in profile.legs:
        assert leg.minutes > 0
        assert leg.from_c is None or leg.from_c > leg.to_c
    if profile.legs and profile.cold_c is not None:
        assert min(leg.to_c for leg in profile.legs) == profile.cold_c


def test_rules_without_times_check_nothing() -> None:
    """SI 2006/31 (W) Schedule 4 and Regulation (EC) 852/2004 state no minutes."""
    assert met("uk-wa", 60.0, 0.1) == met("eu", 60.0, 0.1) == []
    assert PROFILES["uk-wa"].cold_c == 8.0


def test_guidance_and_a_model_code_by_itself_bind_nobody() -> None:
    assert {code for code, profile in PROFILES.items() if not profile.binding} == {"uk-cook-chill", "ca"}


def test_new_brunswicks_six_hours_hold_the_first_two_as_the_united_states_do() -> None:
    """N.B. Reg. 2009-138 section 27(1)(c): from 60 °C to 20 °C within 2 h and to 4 °C within 6 h, not 4 h more."""

    def quick_then_slow(limit: float) -> float | None:
        """60 to 20 °C in an hour, then five hours less a minute to 4 °C."""
        return 60 - (limit - 20) * 60 / 40 if limit >= 20 else 60 + (20 - limit) * 299 / 16

    assert [each.met for each in results(PROFILES["ca-nb"], 60.0, quick_then_slow)] == [True, True]
    assert [each.met for each in results(PROFILES["ca"], 60.0, quick_then_slow)] == [True, False]


def test_new_zealand_asks_for_the_rooms_temperature_where_that_is_colder_than_21() -> None:
    """MPI template food control plan: 60 °C to room temperature or 21 °C, whichever is colder."""
    rule = PROFILES["nz"]
    assert rule.in_room(24) == rule.in_room(21) == rule
    assert rule.in_room(18).legs == (Leg(60.0, 18, 120), Leg(18, 5.0, 240))
    assert rule.in_room(2).legs == (Leg(60.0, 5.0, 120), Leg(5.0, 5.0, 240))
    assert PROFILES["au"].in_room(18) == PROFILES["au"]


def test_a_limit_of_the_house_counts_only_where_it_is_the_shorter_one() -> None:
    two_hours = PROFILES["eu"].with_house_limit(120, "our food safety plan")
    assert [(out.minutes, out.kind, out.source) for out in two_hours.times_out] == [
        (120, "house", "our food safety plan")
    ]
    assert two_hours.most_out == 120
    assert PROFILES[COOKED].with_house_limit(120, "ours").most_out == 120
    assert PROFILES[COOKED].with_house_limit(240, "ours") == PROFILES[COOKED]
    assert PROFILES["eu"].with_house_limit(None, "") == PROFILES["eu"]


def test_times_out_of_the_cold_are_those_of_the_codes() -> None:
    """US Food Code 3-501.19(B) and (C): 4 h, or 6 h never above 70 °F; NISR 2006/3 Schedule 4 paragraph 5: 4 h."""
    for code in (COOKED, AMBIENT):
        assert [(out.minutes, out.warmest_c) for out in PROFILES[code].times_out] == [(240, None), (360, LUKEWARM_C)]
    assert [out.minutes for out in PROFILES["uk-ni"].times_out] == [240]
    assert all(out.source for profile in PROFILES.values() for out in profile.times_out)


def test_limits_are_due_from_the_start_or_from_where_the_leg_before_ended() -> None:
    hot = (Leg(57.0, 21.0, 120), Leg(57.0, 5.0, 360))
    assert due_times(hot) == [(21.0, 120), (5.0, 360)]
    assert due_times((Leg(None, 5.0, 240),)) == [(5.0, 240)]
    assert due_times(()) == []
    # The second leg begins a little colder than the first ends.
    further = (Leg(60.0, 21.0, 120), Leg(20.0, 5.0, 240))
    assert due_times(further) == [(21.0, 120), (5.0, 360)]
    assert due_times(further, {20.0: 90.0}.get) == [(21.0, 120), (5.0, 330)]
