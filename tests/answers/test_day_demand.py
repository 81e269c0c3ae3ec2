"""What a day asks of each gas: litres on paper, line by line, before any draw."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.answers.days import case, cylinder, day
from ullage.answers.day_demand import cases_of, day_demand, factor_range
from ullage.answers.plan import Case, Chamber, Drive, Machine, Phase, Ventilation
from ullage.core.gas import Gas

WREN = Machine(name="Wren", flow_sd_share=0.05)
CLOVER = case("Clover", 630, 100, flow=1.5)


def demand(one, machine=WREN, gas=Gas.OXYGEN):
    return day_demand(day([cylinder()], [one], machines=(machine,)), machine, gas)


def litres(one, machine=WREN, gas=Gas.OXYGEN):
    found = demand(one, machine, gas)
    return 0.0 if found is None else sum(line.litres for line in found.lines)


def words(one, machine=WREN, gas=Gas.OXYGEN):
    return demand(one, machine, gas).lines[0].words


def phases(*told, **more):
    made = tuple(
        Phase(name=name, minutes=minutes, oxygen_l_min=oxygen, air_l_min=air)
        for name, minutes, oxygen, air in told
    )
    return replace(CLOVER, phases=made, **more)


def test_fresh_gas_is_flow_times_minutes():
    assert litres(CLOVER) == pytest.approx(150.0)
    assert words(CLOVER) == "Clover: 100 min"


def test_phases_add_up_gas_by_gas():
    two = phases(("prepare", 20, 3.0, 0.0), ("operate", 60, 1.0, 2.0))

    assert litres(two) == pytest.approx(20 * 3 + 60 * 1)
    assert litres(two, gas=Gas.AIR) == pytest.approx(120.0)
    assert demand(two, gas=Gas.NITROUS_OXIDE) is None


def test_checks_take_their_litres_and_one_flush_of_ten_seconds():
    unchecked = replace(CLOVER, checked=False)

    # 4 L of checks (assumed), 10 s at 55 L/min, the middle of 35 to 75 L/min (supply_S19).
    assert litres(unchecked) - litres(CLOVER) == pytest.approx(4 + 55 / 6)
    assert words(unchecked) == "Clover: 100 min, checks and one flush"


def test_checks_come_ten_minutes_before_the_first_gas():
    made = demand(replace(CLOVER, checked=False)).demand.cases[0]

    assert made.begin_min == 620.0
    assert made.exact == 1
    assert demand(CLOVER).demand.cases[0].begin_min == 630.0


def test_what_a_machine_takes_for_its_checks_may_be_entered():
    own = replace(WREN, checks_l=10.0)
    unchecked = replace(CLOVER, checked=False)

    assert litres(unchecked, own) - litres(CLOVER, own) == pytest.approx(10 + 55 / 6)


def test_a_whistle_is_sounded_at_each_check_and_only_then():
    # 7 s at 2 L/min (the least that a whistle sounds for, printed).
    whistling = replace(WREN, whistle=True)
    unchecked = replace(CLOVER, checked=False)

    assert litres(unchecked, whistling) - litres(unchecked) == pytest.approx(7 / 60 * 2)
    assert litres(CLOVER, whistling) == litres(CLOVER)


@pytest.mark.parametrize(("flushes", "said"), [(1, "1 more flush"), (3, "3 more flushes")])
def test_each_flush_takes_ten_seconds_of_it(flushes, said):
    flushed = replace(CLOVER, flushes=flushes)

    assert litres(flushed) - litres(CLOVER) == pytest.approx(flushes * 55 / 6)
    assert words(flushed) == f"Clover: 100 min, {said}"


def test_flushes_are_shared_out_over_the_phases_by_their_length():
    two = phases(("prepare", 25, 1.0, 0.0), ("operate", 75, 1.0, 0.0), flushes=4)
    made = demand(two).demand.cases[0].stretches

    assert [one.flush_min for one in made] == pytest.approx([4 / 6 / 4, 4 / 6 * 3 / 4])


def test_sampling_and_basal_flow_run_all_the_time_and_of_oxygen_alone():
    taking = replace(WREN, sampling_l_min=0.2, basal_l_min=0.3)
    mixed = phases(("operate", 60, 1.0, 2.0))

    assert litres(mixed, taking) - litres(mixed) == pytest.approx(60 * 0.5)
    assert litres(mixed, taking, Gas.AIR) == litres(mixed, gas=Gas.AIR)


DRIVEN = replace(WREN, ventilator=Drive.OXYGEN, drive_factor=0.8, control_l_min=0.5)
BREATHING = replace(CLOVER, ventilation=Ventilation(minute_volume_l_min=5.0))


def test_drive_gas_is_the_factor_times_the_minute_volume_and_the_control_gas():
    assert litres(BREATHING, DRIVEN) - litres(BREATHING) == pytest.approx(100 * (0.8 * 5 + 0.5))
    assert words(BREATHING, DRIVEN) == "Clover: 100 min, drive gas"


def test_a_ventilator_takes_its_gas_only_in_the_phases_named():
    two = phases(("prepare", 20, 1.0, 0.0), ("operate", 80, 1.0, 0.0))
    partly = replace(two, ventilation=Ventilation(minute_volume_l_min=5.0, phases=("operate",)))

    assert litres(partly, DRIVEN) - litres(two, DRIVEN) == pytest.approx(80 * 4.5)


def test_a_ventilator_driven_by_air_asks_for_air_even_where_no_air_is_breathed():
    by_air = replace(DRIVEN, ventilator=Drive.AIR)

    assert litres(BREATHING, by_air) == pytest.approx(litres(CLOVER))
    assert litres(BREATHING, by_air, Gas.AIR) == pytest.approx(450.0)


@pytest.mark.parametrize("drive", [Drive.NONE, Drive.ELECTRIC])
def test_a_ventilator_without_drive_gas_asks_for_none(drive):
    machine = replace(DRIVEN, ventilator=drive)

    assert litres(BREATHING, machine) == pytest.approx(litres(CLOVER))
    assert demand(BREATHING, machine, Gas.AIR) is None


@pytest.mark.parametrize(
    ("machine", "low", "high"),
    [
        (WREN, 0.4, 1.5),
        (replace(WREN, drive_factor=0.8), 0.8, 0.8),
        (replace(WREN, drive_factor=0.8, drive_factor_low=0.6), 0.8, 0.8),
        (replace(WREN, drive_factor=0.8, drive_factor_low=0.6, drive_factor_high=1.1), 0.6, 1.1),
        (replace(WREN, drive_factor=0.8, drive_factor_low=1.1, drive_factor_high=0.6), 0.6, 1.1),
    ],
)
def test_a_drive_factor_has_the_range_that_was_entered_or_that_is_left_open(machine, low, high):
    assert factor_range(machine) == (low, high)


def test_a_chamber_is_filled_in_the_mixture_of_the_first_phase():
    chamber = Chamber(volume_l=5.0, fills=2, purges=3, volumes=4.0)
    mixed = phases(("prepare", 20, 1.0, 3.0), ("operate", 60, 2.0, 0.0), chamber=chamber)
    plain = replace(mixed, chamber=None)

    assert litres(mixed) - litres(plain) == pytest.approx(2 * 20 / 4 + 3 * 20)
    assert litres(mixed, gas=Gas.AIR) - litres(plain, gas=Gas.AIR) == pytest.approx(2 * 20 * 3 / 4)
    assert words(mixed) == "Clover: 80 min, chamber"


def test_a_chamber_before_any_flow_is_filled_in_oxygen():
    chamber = Chamber(volume_l=5.0, fills=1, purges=0, volumes=3.0)

    assert litres(phases(("wait", 10, 0.0, 0.0), chamber=chamber)) == pytest.approx(15.0)


def test_a_case_that_asks_for_nothing_has_no_demand():
    assert demand(case("Kit", 600, 30, flow=0.0)) is None


def test_cases_of_a_machine_come_in_the_order_of_their_start():
    late, early = case("Late", 800, 10), case("Early", 600, 10)
    other = case("Other", 500, 10, machine="Heron")
    heron = replace(WREN, name="Heron")
    plan = day([cylinder()], [late, other, early], machines=(WREN, heron))

    assert [one.name for one in cases_of(plan, WREN)] == ["Early", "Late"]


def test_the_spread_of_durations_is_the_cases_own_or_the_assumed_one():
    told = demand(replace(CLOVER, minutes_sd_share=0.05)).demand.cases[0]
    untold = demand(replace(CLOVER, minutes_sd_share=None)).demand.cases[0]

    assert (told.minutes_sd_share, untold.minutes_sd_share) == (0.05, 0.15)


def test_how_well_a_flow_is_known_is_the_machines_or_goes_by_its_height():
    nobody_said = replace(WREN, flow_sd_share=None)
    low, high = (case("Kit", 600, 30, flow) for flow in (0.5, 2.0))

    assert demand(low).flow.flow_sd_share == demand(high).flow.flow_sd_share == 0.05
    # Below 1 L/min within 25 %, a limit; from there 10 %, one standard deviation (supply 5).
    assert demand(low, nobody_said).flow.flow_limit_share == 0.25
    assert demand(high, nobody_said).flow.flow_sd_share == 0.10


@settings(max_examples=30, deadline=None)
@given(st.floats(1, 300), st.floats(0, 20), st.integers(0, 10))
def test_demand_is_a_straight_line_in_minutes_and_flow(minutes, flow, flushes):
    one = replace(case("Kit", 600, minutes, flow=flow), flushes=flushes)

    assert litres(one) == pytest.approx(minutes * flow + flushes * 55 / 6, abs=1e-6)


@settings(max_examples=20, deadline=None)
@given(st.lists(st.tuples(st.floats(1, 60), st.floats(0, 5)), min_size=1, max_size=5))
def test_how_a_case_is_cut_into_phases_changes_no_total(parts):
    told = tuple(Phase(name="p", minutes=m, oxygen_l_min=f) for m, f in parts)
    one = Case(name="Kit", machine="Wren", start_min=600, phases=told, checked=True)

    assert litres(one) == pytest.approx(sum(m * f for m, f in parts), abs=1e-6)
