"""Edges of a day: at the reserve, at the last minute, cold and hot rooms, thin air, no length."""

from dataclasses import replace
from math import floor

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.answers.days import AT_20, KEEPS_14_BAR, US, case, cylinder, day, held
from tests.answers.paper import litres, usable
from ullage.answers import Verdict, day_supply
from ullage.answers.places import place_at
from ullage.answers.plan import Chamber, Held, Machine, Phase
from ullage.answers.things import Place, ReservePolicy
from ullage.core.errors import InvalidQuantity, RuleBroken
from ullage.core.gas import Gas

FINE, LOOK, STOP = Verdict.FINE, Verdict.LOOK_AGAIN, Verdict.STOP
CLOVER, SORREL = case("Clover", 630, 110), case("Sorrel", 810, 100)
EXACT = Machine(name="Wren", flow_sd_share=0.0, oxygen_alarm=True)
PSI = 6.894757293168361


def outlook(plan, name="Alder", draws=512, **more):
    return day_supply(plan, draws=draws, **more).source(name)


def sure(bar, water=4.7, at=472.0, kelvin=293.15):
    """A cylinder about which nothing is in doubt but a degree of warmth."""
    exact = held(bar, water=water, at=at, gauge_error_share=0.0, water_capacity_share=0.0)
    return cylinder(inside=(replace(exact, reading=replace(exact.reading, temperature_k=kelvin)),))


# --- at the reserve -------------------------------------------------------------------------


def test_a_reading_exactly_at_what_is_kept_back_is_a_stop_at_the_minute_it_was_read():
    found = outlook(day([cylinder(bar=14)], [CLOVER])).lasts_until

    assert found.verdict is STOP
    assert found.value == 472.0
    assert found.sentence == "Alder has reached what is kept back."


@pytest.mark.parametrize(("bar", "verdict"), [(13.9, STOP), (14, STOP), (16, STOP), (40, FINE)])
def test_near_what_is_kept_back_the_error_of_the_gauge_decides(bar, verdict):
    # The gauge is known to 2.5 % of 250 bar, 6.25 bar: 16 bar may be 9.75.
    short = case("Kit", 600, 5, flow=0.5)

    assert outlook(day([cylinder(bar=bar)], [short])).lasts_until.verdict is verdict


def test_an_empty_cylinder_answers_without_a_breath():
    found = outlook(day([cylinder(bar=0)], [CLOVER]))

    assert found.lasts_until.verdict is STOP
    assert found.left.value == pytest.approx(litres(4.7, 0) * 0.97924, rel=2e-3)
    assert found.left_at_end.value == 0.0
    assert "less than what is kept back" in found.left_at_end.sentence


def test_where_nothing_is_kept_back_the_last_litre_is_counted():
    nothing = ReservePolicy(pressure_kpa=0.0)
    long = case("Long", 480, 900, 2.0)
    plan = day([cylinder()], [long], policy=nothing, machines=(EXACT,))
    found = outlook(plan).lasts_until

    # Down to zero gauge: the last atmosphere stays in the cylinder.
    assert found.value == pytest.approx(480 + usable(4.7, 7100, 0) / 2, abs=0.2)


# --- the change-over in time ----------------------------------------------------------------


def test_a_change_over_in_the_last_minute_of_a_case_still_asks_before_it():
    minutes = (usable(4.7, 7100, 1400) + 0.5) / 1.7
    found = outlook(day([cylinder()], [case("Clover", 630, minutes)], machines=(EXACT,)))

    assert found.lasts_until.value == pytest.approx(630 + minutes, abs=1.0)
    assert found.lasts_until.todo == "Fit a full one before Clover."


def test_gas_that_ends_with_the_case_asks_as_often_as_the_gauge_reads_too_much():
    minutes = usable(4.7, 7100, 1400) / 1.7
    plan = day([cylinder()], [case("Clover", 630, minutes)], machines=(EXACT,))
    chance = outlook(plan, draws=4096).chances[0].answer.value

    assert chance == pytest.approx(50.0, abs=4.0)


def test_what_is_exactly_known_is_reached_or_not_and_nothing_between():
    enough = usable(4.7, 7100, 1400) / 1.7
    for minutes, verdict, chance in ((enough - 5, FINE, 0.0), (enough + 5, STOP, 100.0)):
        plan = day([sure(71)], [case("Clover", 630, minutes)], machines=(EXACT,))
        found = outlook(plan)
        assert found.lasts_until.verdict is verdict
        assert found.chances[0].answer.value == chance


def test_a_case_of_half_a_minute_is_answered():
    found = outlook(day([cylinder()], [case("Kit", 600, 0.5)]))

    assert found.lasts_until.verdict is FINE
    assert found.chances[0].answer.value == 0.0


def test_a_case_without_any_length_is_refused_at_once():
    with pytest.raises(InvalidQuantity, match="minutes is 0; it must be a number above 0"):
        case("Kit", 600, 0)


def test_a_day_without_cases_says_what_is_in_it():
    found = outlook(day([cylinder()], []))

    assert found.lasts_until.sentence.startswith("Alder is not used today: about ")
    assert (found.change_overs, found.chances, found.lasts) == ((), (), None)
    assert found.next_reading is None


def test_a_case_that_draws_nothing_leaves_the_cylinder_as_it_was():
    found = outlook(day([cylinder()], [case("Kit", 600, 60, flow=0.0)]))

    assert found.left_at_end.value == pytest.approx(found.left.value)
    assert found.lasts is None


# --- two cases ------------------------------------------------------------------------------


def test_two_cases_at_once_draw_together():
    machines = (EXACT, replace(EXACT, name="Heron"))
    cases = [case("Clover", 600, 100, 1.0), case("Kit", 600, 100, 2.0, machine="Heron")]
    plan = day([cylinder(feeds=("Wren", "Heron"))], cases, machines=machines)
    found = outlook(plan).lasts_until

    assert found.value == pytest.approx(600 + usable(4.7, 7100, 1400) / 3, abs=0.2)


def test_on_one_machine_the_second_case_waits_for_the_first():
    overlapping = [case("Clover", 600, 100, 1.7), case("Sorrel", 650, 300, 1.7)]
    found = outlook(day([cylinder()], overlapping, machines=(EXACT,)))

    assert found.lasts_until.value == pytest.approx(600 + usable(4.7, 7100, 1400) / 1.7, abs=0.2)
    assert [one.case for one in found.chances] == ["Clover", "Sorrel"]


def test_minutes_in_which_two_cases_run_are_counted_once():
    machines = (EXACT, replace(EXACT, name="Heron"))
    cases = [case("Clover", 600, 100, 1.0), case("Kit", 650, 100, 1.0, machine="Heron")]
    plan = day([cylinder(feeds=("Wren", "Heron"))], cases, machines=machines)
    # 200 L in the 150 min from 10:00 to 12:30.
    assert outlook(plan).lasts.question == "How long does Alder last at 1.33 L/min?"


def test_cases_that_ended_are_kept_in_the_sums_and_get_no_chance():
    plan = day([cylinder()], [CLOVER, SORREL], now_min=750.0)
    found = outlook(plan)

    assert [one.case for one in found.chances] == ["Sorrel"]
    assert found.needed.value == pytest.approx(
        outlook(day([cylinder()], [CLOVER, SORREL])).needed.value
    )


def test_a_case_on_the_next_day_is_named_so():
    found = outlook(day([cylinder(bar=40)], [case("Owl", 1500, 200)])).lasts_until

    assert "next day" in found.sentence
    assert found.value > 1500


# --- the early end --------------------------------------------------------------------------


@settings(max_examples=12, deadline=None)
@given(st.floats(30, 120), st.floats(0.5, 6.0))
def test_the_band_holds_the_value_and_the_time_to_act_by_is_its_early_end(bar, flow):
    found = outlook(day([cylinder(bar=bar)], [case("Long", 480, 2000, flow)]), draws=256)
    lasts = found.lasts_until

    if lasts.value is not None:
        assert lasts.low <= lasts.value <= lasts.high
        assert lasts.low == floor(lasts.low)
    for change in found.change_overs:
        assert change.value == change.low == floor(change.value)
        assert change.value <= lasts.low


@settings(max_examples=12, deadline=None)
@given(st.floats(30, 190), st.floats(500, 1000))
def test_the_next_reading_is_due_after_now_and_no_later_than_half_of_it_may_be_gone(bar, now):
    plan = day([cylinder(bar=bar)], [CLOVER, SORREL], machines=(EXACT,), now_min=now)
    found = outlook(plan, draws=256).next_reading
    half = 630 + usable(4.7, 100 * bar, 1400) / 2 / 1.7

    if found is not None:
        assert now - 1 < found.value
        assert found.value <= max(half, 630, now) or found.value == 810.0


GRAVE = {FINE: 0, LOOK: 1, STOP: 2}


@settings(max_examples=12, deadline=None)
@given(st.floats(0, 200), st.floats(0, 200))
def test_a_fuller_cylinder_is_never_judged_more_gravely(one, other):
    low, high = (
        outlook(day([cylinder(bar=bar)], [CLOVER, SORREL], machines=(EXACT,)), draws=128)
        for bar in sorted((one, other))
    )

    assert GRAVE[low.lasts_until.verdict] >= GRAVE[high.lasts_until.verdict]
    assert low.left.value <= high.left.value
    assert low.left_at_end.value <= high.left_at_end.value


@settings(max_examples=12, deadline=None)
@given(st.floats(0.2, 8.0), st.floats(0.2, 8.0))
def test_more_flow_never_lasts_longer_nor_leaves_more(one, other):
    less, more = (
        outlook(day([cylinder(bar=100)], [case("Clover", 630, 110, flow)]), draws=128)
        for flow in sorted((one, other))
    )

    assert less.left_at_end.value >= more.left_at_end.value
    assert less.needed.value <= more.needed.value
    assert less.chances[0].answer.value <= more.chances[0].answer.value


@settings(max_examples=10, deadline=None)
@given(st.floats(0.5, 40.0))
def test_everything_twice_as_large_lasts_as_long(size):
    one, two = (
        outlook(
            day(
                [cylinder(inside=(held(71, water=scale * size),))],
                [case("Long", 480, 2000, flow=scale * size / 4.0)],
                machines=(EXACT,),
            ),
            draws=128,
        ).lasts_until
        for scale in (1.0, 2.0)
    )

    assert one.value == pytest.approx(two.value)
    assert one.low == pytest.approx(two.low, abs=1)


def test_a_gauge_that_is_better_known_narrows_the_band():
    plan = [case("Long", 480, 900, 2.0)]
    wide, narrow = (
        outlook(day([cylinder(inside=(held(71, gauge_error_share=share),))], plan)).lasts_until
        for share in (0.025, 0.01)
    )

    assert narrow.high - narrow.low < wide.high - wide.low
    assert narrow.value == wide.value


# --- rooms and mountains --------------------------------------------------------------------


@pytest.mark.comparison
@pytest.mark.parametrize("celsius", [0, 20, 40])
def test_a_cold_and_a_hot_room_change_what_the_same_gauge_means(celsius):
    kelvin = 273.15 + celsius
    place = replace(AT_20, temperature_k=kelvin)
    long = case("Long", 480, 2000, 2.0)
    found = outlook(day([cylinder()], [long], place=place, machines=(EXACT,))).lasts_until

    assert found.value == pytest.approx(480 + usable(4.7, 7100, 1400, kelvin) / 2, abs=0.2)


def test_the_colder_the_room_the_more_the_same_reading_lasts():
    long = case("Long", 480, 2000, 2.0)
    lasts = [
        outlook(
            day([cylinder()], [long], place=replace(AT_20, temperature_k=kelvin))
        ).lasts_until.value
        for kelvin in (273.15, 293.15, 313.15)
    ]

    assert lasts == sorted(lasts, reverse=True)


@pytest.mark.comparison
def test_at_1900_metres_a_gauge_counts_from_thinner_air():
    high = replace(place_at(elevation_m=1900.0), temperature_given=True, temperature_band_k=1.0)
    found = outlook(day([cylinder()], [CLOVER], place=high))
    # ISO 2533: 80.5 kPa; what is left counts the last atmosphere, here a thinner one.
    assert found.left.value == pytest.approx(litres(4.7, 7100, 293.15, 80.5) * 0.97924, rel=2e-3)


def test_a_warmth_read_at_the_cylinder_comes_before_that_of_the_room():
    hot = replace(held(71).reading, temperature_k=313.15)
    source = cylinder(inside=(replace(held(71), reading=hot),))
    found = outlook(day([source], [CLOVER]))

    assert found.left.value == pytest.approx(litres(4.7, 7100, 313.15) * 0.97924, rel=2e-3)
    assert any("40 ± 1 °C" in one.text for one in found.left.where_from)


def test_a_room_nobody_measured_is_assumed_aloud():
    found = outlook(day([cylinder()], [CLOVER], place=Place())).lasts_until

    assert "No temperature was given: 20 ± 5 °C (assumed)." in found.assumptions


# --- a thousand psi -------------------------------------------------------------------------


def at_psi(psi, **more):
    inside = held(0, water=4.76)
    read = replace(inside.reading, gauge_kpa=psi * PSI)
    source = cylinder(inside=(replace(inside, reading=read),))
    return outlook(day([source, *more.pop("behind", ())], [case("Kit", 600, 5, 0.5)], place=US))


@pytest.mark.parametrize(
    ("psi", "verdict"), [(999, LOOK), (1000.01, FINE), (1001, FINE), (500, LOOK)]
)
def test_below_a_thousand_psi_nobody_begins_on_one_source(psi, verdict):
    assert at_psi(psi).may_begin.verdict is verdict


def test_a_full_one_behind_lets_one_begin_below_and_an_empty_one_does_not():
    full = cylinder("Elm", bar=130, reserve_of="Alder")
    empty = cylinder("Elm", bar=10, reserve_of="Alder")

    assert at_psi(900, behind=(full,)).may_begin.verdict is FINE
    assert at_psi(900, behind=(empty,)).may_begin.verdict is LOOK


def test_the_site_may_begin_lower_by_its_own_rule():
    rule = ReservePolicy(pressure_kpa=1400.0, begin_kpa=3000.0)
    found = outlook(day([cylinder(bar=40)], [case("Kit", 600, 5)], policy=rule)).may_begin

    assert found.verdict is FINE
    assert "about 30 bar or more are asked for" in found.sentence
    assert (found.value, found.unit) == (pytest.approx(40.0), "bar")
    assert (found.low, found.high) == (pytest.approx(33.75), pytest.approx(46.25))


# --- policies -------------------------------------------------------------------------------


def test_minutes_kept_back_are_minutes_of_the_highest_demand_with_its_leak():
    rule = ReservePolicy(minutes=30.0)
    long = case("Long", 480, 2000, 2.0)
    source = cylinder(leak_l_min=0.5)
    found = outlook(day([source], [long], policy=rule, machines=(EXACT,))).lasts_until
    # 30 min of 2.5 L/min are 75 L above zero gauge.
    on_paper = 480 + (usable(4.7, 7100, 0) - 75) / 2.5

    assert found.value == pytest.approx(on_paper, abs=0.3)


def test_of_several_rules_the_one_that_keeps_most_holds():
    long = case("Long", 480, 2000, 2.0)
    rules = {
        "pressure": ReservePolicy(pressure_kpa=2500.0),
        "volume": ReservePolicy(volume_l=60.0),
        "all": ReservePolicy(pressure_kpa=2500.0, volume_l=60.0, minutes=5.0),
    }
    lasts = {
        name: outlook(day([cylinder()], [long], policy=rule, machines=(EXACT,))).lasts_until.value
        for name, rule in rules.items()
    }

    assert lasts["all"] == pytest.approx(min(lasts.values()))
    assert lasts["pressure"] < lasts["volume"]


def test_without_a_rule_the_proposal_is_assumed_aloud():
    found = outlook(day([cylinder()], [CLOVER], policy=ReservePolicy())).lasts_until

    assert any(line.startswith("No reserve rule is set") for line in found.assumptions)


# --- readings -------------------------------------------------------------------------------


def test_what_the_readings_together_say_is_used_instead_of_the_gauge():
    told = Held(
        cylinder=held(71).cylinder,
        reading=held(71).reading,
        estimate_l=(250.0, 300.0, 350.0),
    )
    long = case("Long", 480, 2000, 2.0)
    found = outlook(day([cylinder(inside=(told,))], [long], machines=(EXACT,)), draws=4096)
    kept = litres(4.7, 1400)

    assert found.lasts_until.value == pytest.approx(480 + (300 - kept) / 2, abs=0.1)
    assert found.left.low == pytest.approx(250 * 0.97924, rel=0.02)
    assert found.left.high == pytest.approx(350 * 0.97924, rel=0.02)


def test_readings_come_at_the_interval_of_the_site():
    silent = day([cylinder(bar=130)], [CLOVER], reading_interval_min=45.0)

    assert outlook(silent).reading_times_min == (630.0, 675.0, 720.0)


def test_readings_that_are_over_are_not_asked_for_again():
    plan = day([cylinder(bar=130)], [CLOVER], now_min=661.0)

    assert outlook(plan).reading_times_min == (690.0, 720.0)


def test_a_reserve_is_not_read_by_the_clock():
    behind = cylinder("Elm", bar=130, reserve_of="Alder")

    assert outlook(day([cylinder(bar=130), behind], [CLOVER]), "Elm").reading_times_min == ()


def test_a_reading_taken_after_the_last_case_leaves_nothing_to_do():
    late = cylinder(inside=(held(50, at=1100.0),))
    found = outlook(day([late], [CLOVER, SORREL], machines=(EXACT,)))

    assert found.chances == ()
    assert found.lasts_until.verdict is FINE
    assert found.left_at_end.value == pytest.approx(found.left.value)


def test_a_gauge_above_the_test_pressure_stops_the_whole_plan():
    tested = held(140, test_pressure_kpa=13_000.0)

    with pytest.raises(RuleBroken, match="no more than 130 bar is allowed here"):
        outlook(day([cylinder(inside=(tested,))], [CLOVER]))


@pytest.mark.parametrize("seed", [-1, -20_260_609])
def test_a_seed_below_nothing_is_refused(seed):
    with pytest.raises(InvalidQuantity, match="seed is "):
        outlook(day([cylinder()], [CLOVER]), seed=seed)


def test_more_draws_tell_the_same_day_more_finely():
    plan = day([cylinder()], [CLOVER, SORREL])
    few, many = (outlook(plan, draws=count).lasts_until for count in (256, 8192))

    assert few.value == many.value
    assert few.low == pytest.approx(many.low, abs=12)


# --- chambers, phases, leaks ----------------------------------------------------------------


def test_a_chamber_is_filled_in_the_mixture_and_purged_in_oxygen():
    phase = Phase(name="all", minutes=60, oxygen_l_min=1, air_l_min=3)
    chamber = Chamber(volume_l=8.0, fills=2, purges=1, volumes=3.0)
    mixed = replace(case("Mice", 600, 60), phases=(phase,), chamber=chamber)
    air = cylinder("Thorn", gas=Gas.AIR, inside=(held(130, gas=Gas.AIR),))
    plan = day([cylinder(bar=130), air], [mixed], machines=(EXACT,), policy=KEEPS_14_BAR)
    oxygen, thorn = (outlook(plan, name).needed.value for name in ("Alder", "Thorn"))
    kept = {name: outlook(plan, name).needed.steps[-1] for name in ("Alder", "Thorn")}

    # Fills 2 x 24 L, a quarter of them oxygen; one purge of 24 L of oxygen.
    assert litres_of(kept["Alder"]) == pytest.approx(litres(4.7, 1400) * 0.97924, abs=0.06)
    assert oxygen - litres(4.7, 1400) * 0.97924 == pytest.approx((60 + 12 + 24) * 0.97924, rel=0.01)
    assert thorn - litres(4.7, 1400, gas="air") * 0.97924 == pytest.approx(
        (180 + 36) * 0.97924, rel=0.01
    )


def litres_of(step):
    return float(step.result.removesuffix(" L"))


def test_a_leak_of_known_hours_runs_only_in_them():
    leaking = cylinder(leak_l_min=0.2, opens_min=480.0, closes_min=600.0)
    plain = outlook(day([cylinder()], [CLOVER], machines=(EXACT,))).needed.value
    found = outlook(day([leaking], [CLOVER], machines=(EXACT,))).needed.value

    assert found - plain == pytest.approx(0.2 * 120 * 0.97924, rel=2e-3)


def test_a_leak_alone_empties_a_cylinder_that_no_case_uses():
    leaking = cylinder(feeds=(), leak_l_min=0.5, opens_min=472.0, closes_min=1440.0)
    found = outlook(day([leaking], [CLOVER, case("Kit", 600, 5)])).lasts_until

    assert found.value == pytest.approx(472 + usable(4.7, 7100, 1400) / 0.5, abs=0.5)


def test_a_leak_that_is_not_well_known_widens_the_band():
    long = [case("Long", 480, 900, 1.0)]
    sharp, vague = (
        outlook(day([cylinder(leak_l_min=0.5, leak_band_l_min=band)], long)).lasts_until
        for band in (0.0, 0.5)
    )

    assert vague.high - vague.low > sharp.high - sharp.low
    assert vague.value == sharp.value
