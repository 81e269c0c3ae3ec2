"""Each kind of source on a day: its numbers on paper, its verdicts and its sentences."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.answers.days import US, case, cylinder, day, held
from tests.answers.paper import C15_K, litres, litres_per_kg, usable
from ullage.answers import Verdict, day_supply
from ullage.answers.plan import (
    Drive,
    GasSource,
    Held,
    Machine,
    Phase,
    SourceKind,
    Ventilation,
)
from ullage.answers.things import Cylinder, Reading, ReservePolicy
from ullage.core.gas import Gas

FINE, LOOK, STOP = Verdict.FINE, Verdict.LOOK_AGAIN, Verdict.STOP
CLOVER, SORREL = case("Clover", 630, 110), case("Sorrel", 810, 100)
EXACT = Machine(name="Wren", flow_sd_share=0.0, oxygen_alarm=True)
TO_15C = 0.97924
PSI = 6.894757293168361


def outlook(plan, name="Alder", draws=512, **more):
    return day_supply(plan, draws=draws, **more).source(name)


def sequence(*bars, **more):
    return cylinder(kind=SourceKind.SEQUENCE, inside=tuple(map(held, bars)), **more)


def manifold(duty, standby, **more):
    banks = (held(duty, water=47.2, count=2), held(standby, water=47.2, count=2))
    return cylinder(kind=SourceKind.MANIFOLD, inside=banks, **more)


def wall(**more):
    return GasSource(name="Wall", kind=SourceKind.PIPELINE, **{"feeds": ("Wren",), **more})


def box(**more):
    told = {"feeds": ("Wren",), "flow_limit_l_min": 5.0, **more}
    return GasSource(name="Box", kind=SourceKind.CONCENTRATOR, **told)


def frost(liquid_l=1.0, **more):
    return GasSource(
        name="Frost", kind=SourceKind.LIQUID, feeds=("Wren",), liquid_l=liquid_l, **more
    )


# --- cylinders in sequence ------------------------------------------------------------------


def test_two_cylinders_last_the_sum_of_what_each_can_give():
    long = case("Long", 480, 900, flow=2.0)
    found = outlook(day([sequence(71, 60)], [long], machines=(EXACT,))).lasts_until
    both = usable(4.7, 7100, 1400) + usable(4.7, 6000, 1400)

    assert found.value == pytest.approx(480 + both / 2.0, abs=0.5)


def test_each_cylinder_of_a_sequence_has_its_own_time_to_act_by():
    long = case("Long", 480, 1200, flow=2.0)
    found = outlook(day([sequence(71, 60, 50)], [long], machines=(EXACT,)))
    times = [one.value for one in found.change_overs]
    on_paper = np.cumsum([usable(4.7, 100 * bar, 1400) for bar in (71, 60, 50)]) / 2.0 + 480

    assert len(times) == 3
    assert times == sorted(times)
    assert all(early <= best for early, best in zip(times, on_paper, strict=True))
    assert [one.question for one in found.change_overs] == [
        f"By when must cylinder {place} of Alder be changed?" for place in (1, 2, 3)
    ]


def test_a_label_of_a_cylinder_is_named_where_it_must_be_changed():
    named = held(71)
    named = replace(named, cylinder=replace(named.cylinder, label="No 7"))
    two = cylinder(kind=SourceKind.SEQUENCE, inside=(named, held(130)))
    found = outlook(day([two], [CLOVER, SORREL]))

    assert found.change_overs[0].sentence.startswith("Cylinder 1 of Alder (No 7) must be changed")


def test_an_empty_first_cylinder_makes_the_second_one_do_the_day():
    found = outlook(day([sequence(0, 130)], [CLOVER], machines=(EXACT,)))
    left = litres(4.7, 13_000) + litres(4.7, 0) - 110 * 1.7

    assert found.lasts_until.verdict is FINE
    assert found.left_at_end.value == pytest.approx(left * TO_15C, rel=2e-3)
    assert found.may_begin.sentence.endswith("; the next cylinder of Alder is the second source.")


def test_two_empty_cylinders_are_a_stop():
    found = outlook(day([sequence(5, 9)], [CLOVER]))

    assert (found.lasts_until.verdict, found.lasts_until.todo) == (
        STOP,
        "Change Alder before you begin.",
    )
    assert found.may_begin.verdict is LOOK
    assert found.may_begin.todo == "Bring a full one into the room before you begin."


@settings(max_examples=8, deadline=None)
@given(st.permutations([40, 71, 110]))
def test_the_order_of_a_sequence_changes_no_total(bars):
    long = case("Long", 480, 2000, flow=1.5)
    found = outlook(day([sequence(*bars)], [long], machines=(EXACT,)), draws=64).lasts_until
    total = sum(usable(4.7, 100 * bar, 1400) for bar in bars)

    assert found.value == pytest.approx(480 + total / 1.5, abs=0.5)


# --- manifolds ------------------------------------------------------------------------------


def test_a_manifold_with_an_empty_duty_bank_stands_on_the_other_one():
    found = outlook(day([manifold(0, 130)], [CLOVER]))

    assert found.lasts_until.verdict is FINE
    assert found.may_begin.verdict is FINE
    assert found.may_begin.reasons == ("The standby bank of Alder is the second source.",)


def test_a_manifold_with_an_empty_standby_bank_has_no_second_source():
    found = outlook(day([manifold(50, 0)], [CLOVER]))

    assert found.may_begin.verdict is LOOK
    assert found.may_begin.reasons == ("No second source stands behind Alder.",)


def test_a_manifold_with_both_banks_empty_is_a_stop():
    assert outlook(day([manifold(3, 5)], [CLOVER])).lasts_until.verdict is STOP


def test_the_duty_bank_counts_down_to_the_change_over_and_the_standby_bank_to_the_reserve():
    long = case("Mice", 480, 2000, flow=8.0)
    plan = day([manifold(60, 40, change_over_kpa=800.0)], [long], machines=(EXACT,))
    found = outlook(plan)
    duty, standby = 2 * usable(47.2, 6000, 800), 2 * usable(47.2, 4000, 1400)

    assert found.change_overs[0].low < 480 + duty / 8 < found.change_overs[0].high
    assert found.lasts_until.value == pytest.approx(480 + (duty + standby) / 8, abs=0.7)


def test_without_a_pressure_of_its_own_the_change_over_is_at_what_the_site_keeps():
    long = case("Mice", 480, 2000, flow=8.0)
    plain, told = (
        outlook(day([one], [long], machines=(EXACT,))).lasts_until.value
        for one in (manifold(60, 40), manifold(60, 40, change_over_kpa=1400.0))
    )

    assert plain == pytest.approx(told)


def test_a_standby_bank_used_up_inside_a_case_is_filled_while_it_runs():
    long = case("Mice", 480, 900, flow=8.0)
    plan = day([manifold(20, 60)], [long], now_min=600.0)
    todo = outlook(plan).lasts_until.todo

    assert todo.startswith("Have full ones on the standby bank by ")
    assert todo.endswith(", inside Mice.")


def test_cylinders_on_one_gauge_hold_as_much_as_so_many():
    one, four = (
        outlook(day([cylinder(inside=(held(71, count=count),))], [CLOVER])).left for count in (1, 4)
    )

    assert four.value == pytest.approx(4 * one.value)
    assert "4 on one gauge" in four.reasons[0]


# --- pipelines and their reserves -----------------------------------------------------------


def test_the_worst_minute_of_two_cases_at_once_is_that_of_both():
    machines = (EXACT, Machine(name="Heron", flow_sd_share=0.0))
    cases = [case("Clover", 600, 120, 2.0), case("Kit", 660, 120, 3.0, machine="Heron")]
    reserve = cylinder("Rowan", bar=60, feeds=(), reserve_of="Wall")
    plan = day([wall(feeds=("Wren", "Heron")), reserve], cases, machines=machines)
    found = outlook(plan, "Wall").if_it_fails

    # From 11:00 both draw, 5 L/min together; what is usable does not last until Clover ends.
    assert usable(4.7, 6000, 1400) < 60 * 5
    assert found.value == pytest.approx(usable(4.7, 6000, 1400) / 5, rel=2e-3)
    assert "If Wall fails at 11:00, the worst minute" in found.sentence


def test_of_two_reserves_the_one_that_lasts_shorter_is_told():
    reserves = [
        cylinder("Rowan", bar=50, feeds=(), reserve_of="Wall"),
        cylinder("Elm", bar=30, feeds=(), reserve_of="Wall"),
    ]
    found = outlook(day([wall(), *reserves], [case("Clover", 630, 300, 2.0)]), "Wall")

    assert found.if_it_fails.question.endswith("how long does Elm last?")


def test_a_reserve_keeps_its_pressure_and_not_its_minutes():
    rule = ReservePolicy(pressure_kpa=1400.0, minutes=60.0)
    reserve = cylinder("Rowan", bar=60, feeds=(), reserve_of="Wall")
    found = outlook(
        day([wall(), reserve], [case("Clover", 630, 600, 2.0)], policy=rule, machines=(EXACT,)),
        "Rowan",
    ).if_it_fails

    assert found.value == pytest.approx(usable(4.7, 6000, 1400) / 2, rel=2e-3)
    assert found.reasons[0].endswith("can be used, down to 14 bar.")


def test_the_site_says_how_many_minutes_a_reserve_must_last():
    rule = ReservePolicy(pressure_kpa=1400.0, minutes=200.0)
    reserve = cylinder("Rowan", bar=60, feeds=(), reserve_of="Wall")
    found = outlook(day([wall(), reserve], [case("Clover", 630, 600, 2.0)], policy=rule), "Rowan")

    assert found.lasts_until.verdict is LOOK
    assert found.lasts_until.todo == "Fit a full one as Rowan: at least 200 min are wanted."


def test_an_empty_reserve_is_a_stop_and_says_what_to_change():
    reserve = cylinder("Rowan", bar=12, feeds=(), reserve_of="Wall")
    found = outlook(day([wall(), reserve], [CLOVER]), "Rowan").lasts_until

    assert (found.verdict, found.todo) == (STOP, "Change Rowan.")
    assert found.settles == "Not drawn on while Wall holds."


def test_a_reserve_behind_a_pipeline_that_nobody_uses_is_fine():
    reserve = cylinder("Rowan", bar=130, feeds=(), reserve_of="Wall")
    other = cylinder(bar=150, feeds=("Heron",))
    plan = day(
        [wall(), reserve, other],
        [case("Kit", 600, 30, machine="Heron")],
        machines=("Wren", "Heron"),
    )
    found = outlook(plan, "Rowan")

    assert found.lasts_until.verdict is FINE
    assert found.if_it_fails is None
    assert found.lasts_until.sentence.endswith("L.")


def test_a_pipeline_says_what_today_asks_and_whom_to_ask():
    reserve = cylinder("Rowan", bar=150, feeds=(), reserve_of="Wall")
    found = outlook(day([wall(), reserve], [CLOVER], machines=(EXACT,)), "Wall").lasts_until

    assert "today asks for 183 L" in found.sentence  # 110 x 1.7 L at 70 °F, shown at 15 °C
    assert found.settles == "Those who keep the pipeline know what stands behind it: ask them."
    assert "disconnect it first" in found.cautions[0]
    assert found.verdict is FINE


@settings(max_examples=8, deadline=None)
@given(st.floats(20, 190), st.floats(20, 190))
def test_a_fuller_reserve_never_lasts_shorter(one, other):
    lasts = [
        outlook(
            day(
                [wall(), cylinder("Rowan", bar=bar, feeds=(), reserve_of="Wall")],
                [case("Clover", 630, 600, 4.0)],
            ),
            "Rowan",
            draws=64,
        ).if_it_fails.value
        for bar in sorted((one, other))
    ]

    assert lasts[0] <= lasts[1]


# --- concentrators --------------------------------------------------------------------------


def driven(drive):
    machine = Machine(name="Wren", flow_sd_share=0.0, ventilator=drive, drive_factor=1.0)
    breathing = replace(case("Kit", 600, 30, 1.0), ventilation=Ventilation(minute_volume_l_min=2))
    return machine, breathing


def test_a_concentrator_cannot_drive_a_ventilator_by_oxygen():
    machine, breathing = driven(Drive.OXYGEN)
    found = outlook(day([box()], [breathing], machines=(machine,)), "Box").lasts_until

    assert found.verdict is STOP
    assert "cannot drive the ventilator of Wren: its pressure is too low" in found.todo


@pytest.mark.parametrize("drive", [Drive.ELECTRIC, Drive.NONE])
def test_a_concentrator_serves_a_ventilator_that_asks_for_no_pressure(drive):
    machine, breathing = driven(drive)
    found = outlook(day([box()], [breathing], machines=(machine,)), "Box").lasts_until

    assert found.todo == "Put a full cylinder behind Box for Wren: power can fail."


def test_an_outlet_with_the_pressure_of_a_pipeline_drives_a_ventilator():
    machine, breathing = driven(Drive.OXYGEN)
    strong = box(outlet_kpa=345.0)
    found = outlook(day([strong], [breathing], machines=(machine,)), "Box").lasts_until

    assert found.verdict is LOOK
    assert "power can fail" in found.todo


def test_two_cases_at_once_are_asked_of_a_concentrator_together():
    machines = (EXACT, Machine(name="Heron", flow_sd_share=0.0))
    both = [case("Clover", 600, 60, 3.0), case("Kit", 630, 60, 3.0, machine="Heron")]
    after = [case("Clover", 600, 60, 3.0), case("Kit", 700, 60, 3.0, machine="Heron")]
    feeds = box(feeds=("Wren", "Heron"))
    at_once, in_turn = (
        outlook(day([feeds], cases, machines=machines), "Box").lasts_until
        for cases in (both, after)
    )

    assert at_once.verdict is STOP
    assert at_once.todo == "The plan asks for 1 L/min more than it gives."
    assert in_turn.verdict is LOOK


def test_a_concentrator_at_its_very_limit_serves():
    elm = cylinder("Elm", bar=130, feeds=(), reserve_of="Box")
    plan = day([box(flow_limit_l_min=2.0), elm], [case("Clover", 600, 60, 2.0)], machines=(EXACT,))
    found = outlook(plan, "Box").lasts_until

    assert found.verdict is FINE
    assert found.reasons == ("2 L/min are within 2 L/min.",)


def test_the_oxygen_of_a_concentrator_is_told_as_entered_or_as_printed():
    as_entered = outlook(day([box(oxygen_fraction=0.9)], [CLOVER]), "Box").lasts_until
    as_printed = outlook(day([box()], [CLOVER]), "Box").lasts_until

    assert "at about 90 % oxygen" in as_entered.sentence
    assert "at about 95 % oxygen" in as_printed.sentence
    assert any("argon builds up" in line for line in as_printed.cautions)


# --- liquid oxygen --------------------------------------------------------------------------


@pytest.mark.comparison
def test_a_litre_of_liquid_gives_about_860_litres_of_gas():
    # 1141 g of liquid at its boiling point (CoolProp) over 1.326 g/L at 70 °F: 860 L.
    from CoolProp.CoolProp import PropsSI

    liquid_g, gas_g = (
        PropsSI("D", "P", 101_325, state, at, "Oxygen") for state, at in (("Q", 0), ("T", 294.2611))
    )
    left = outlook(day([frost()], [CLOVER], place=US), "Frost").left

    assert left.value == pytest.approx(liquid_g / gas_g, rel=2e-3)
    assert (left.high - left.low) / left.value == pytest.approx(2 * 0.9 * 0.1, abs=0.01)


def test_a_vessel_keeps_minutes_back_and_no_pressure():
    rule = ReservePolicy(pressure_kpa=1400.0, minutes=30.0)
    long = case("Long", 480, 2000, 2.0)
    plan = day([frost()], [long], policy=rule, machines=(EXACT,), place=US)
    found = outlook(plan, "Frost")

    assert found.lasts_until.value == pytest.approx(480 + found.left.value / 2 - 30, abs=0.01)


def test_what_boils_off_is_counted_from_the_reading():
    still, losing = (
        outlook(day([frost(daily_loss_share=share, read_at_min=0.0)], [CLOVER], place=US), "Frost")
        for share in (0.0, 0.5)
    )
    # Half of it in a day: a day counted from the reading takes half of the litres.
    lost = losing.needed.value - still.needed.value

    assert lost == pytest.approx(still.left.value / 2, rel=1e-3)


def test_a_vessel_is_filled_and_has_no_gauge_to_begin_by():
    long = case("Long", 480, 900, 2.0)
    found = outlook(day([frost()], [long], machines=(EXACT,)), "Frost")

    assert found.lasts_until.todo.startswith("Have Frost filled before Long, or by ")
    assert found.may_begin is None
    assert found.next_reading is None
    assert found.by_linear_rule is None
    assert found.reading_times_min == ()


@settings(max_examples=8, deadline=None)
@given(st.floats(0.2, 3.0))
def test_twice_the_liquid_holds_twice_the_gas(liquid_l):
    one, two = (
        outlook(day([frost(size)], [CLOVER]), "Frost", draws=64).left.value
        for size in (liquid_l, 2 * liquid_l)
    )

    assert two == pytest.approx(2 * one)


# --- nitrous oxide --------------------------------------------------------------------------

MIXED = replace(
    case("Kit", 600, 60),
    phases=(Phase(name="all", minutes=60, oxygen_l_min=1, nitrous_oxide_l_min=2),),
)


def blue(reading, tare_kg=6.2, count=1):
    inside = Cylinder(gas=Gas.NITROUS_OXIDE, water_capacity_l=4.7, tare_kg=tare_kg)
    held_by_weight = Held(cylinder=inside, reading=reading, count=count)
    return cylinder("Juniper", gas=Gas.NITROUS_OXIDE, inside=(held_by_weight,))


def juniper(source):
    return outlook(day([cylinder(bar=130), source], [MIXED]), "Juniper")


@pytest.mark.comparison
def test_nitrous_oxide_is_planned_by_its_weight():
    # 1.7 kg by the density of the gas at 15 °C and 1 atm (CoolProp).
    found = juniper(blue(Reading(at_min=472, weight_kg=7.9)))

    assert found.left.value == pytest.approx(1.7 * litres_per_kg("nitrous oxide", C15_K), rel=3e-3)
    assert found.lasts_until.verdict is FINE
    assert found.next_reading.sentence.startswith("Weigh Juniper again by")
    assert found.next_reading.question == "When is Juniper to be weighed next?"
    assert found.by_linear_rule is None
    assert found.may_begin is None


def test_a_gauge_at_saturation_leaves_the_day_open_and_below_it_the_vapour_is_planned():
    full = juniper(blue(Reading(at_min=472, gauge_kpa=4950.0, temperature_k=293.15)))
    vapour = juniper(blue(Reading(at_min=472, gauge_kpa=2500.0, temperature_k=293.15)))

    assert full.lasts_until.value is None
    assert full.lasts_until.todo.startswith("Weigh Juniper: gross weight less the tare")
    assert vapour.left.value < 4.7 * 60  # a few hundred litres at most of vapour
    assert vapour.left.low < vapour.left.value < vapour.left.high


def test_a_weight_without_a_tare_leaves_the_day_open():
    found = juniper(blue(Reading(at_min=472, weight_kg=7.9), tare_kg=None)).lasts_until

    assert found.settles == "What does Juniper weigh, and what is its tare?"
    assert found.verdict is LOOK


def test_two_cylinders_on_one_scale_reading_each_hold_the_same():
    one, two = (
        juniper(blue(Reading(at_min=472, weight_kg=7.9), count=count)).left for count in (1, 2)
    )

    assert two.value == pytest.approx(2 * one.value)


def test_nitrous_oxide_takes_no_part_in_checks_and_flushes():
    weighed = blue(Reading(at_min=472, weight_kg=7.9))
    flushed = replace(MIXED, checked=False, flushes=4)
    plain, checked = (
        outlook(day([cylinder(bar=130), weighed], [one]), "Juniper") for one in (MIXED, flushed)
    )

    assert plain.needed.value == pytest.approx(checked.needed.value)
