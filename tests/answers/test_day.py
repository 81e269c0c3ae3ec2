"""The supply of a day: numbers worked out apart from the package, words, verdicts, laws."""

import json
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.answers.days import AT_20, US, case, cylinder, day, held
from ullage.answers import Answer, Verdict, day_supply
from ullage.answers.plan import (
    Chamber,
    Drive,
    GasSource,
    Machine,
    Phase,
    SourceKind,
    Ventilation,
)
from ullage.answers.things import ReservePolicy
from ullage.core.errors import InvalidQuantity, RuleBroken
from ullage.core.gas import C15, F70, Gas, contents_l
from ullage.reference import sources as known_sources

CLOVER = case("Clover", 630, 110)
SORREL = case("Sorrel", 810, 100)
DRAWS = 1024


def usable_l(bar, water=4.7, kept=14):
    """Litres (70 °F) between two gauge readings at 20 °C."""
    return contents_l(Gas.OXYGEN, water, 100 * bar, 293.15) - contents_l(
        Gas.OXYGEN, water, 100 * kept, 293.15
    )


def outlook(plan, name="Alder", **more):
    return day_supply(plan, draws=more.pop("draws", DRAWS), **more).source(name)


def test_it_lasts_until_the_minute_that_arithmetic_gives():
    found = outlook(day([cylinder()], [CLOVER, SORREL])).lasts_until
    # 110 min of Clover at 1.7 L/min, the rest of what is usable into Sorrel from 13:30.
    on_paper = 810 + (usable_l(71) - 110 * 1.7) / 1.7

    assert found.value == pytest.approx(on_paper, abs=0.01)
    assert found.low < found.value < found.high
    assert found.unit == "min after midnight"


def test_a_change_over_inside_a_case_reads_fit_a_full_one_before_it():
    found = outlook(day([cylinder()], [CLOVER, SORREL]))

    assert found.lasts_until.todo == "Fit a full one before Sorrel."
    assert "Fit a full one before Sorrel." in found.lasts_until.reasons
    assert ", inside Sorrel." in found.lasts_until.sentence
    assert found.lasts_until.verdict is Verdict.LOOK_AGAIN
    assert found.change_overs[0].todo == "Fit a full one before Sorrel."


def test_change_over_by_is_the_early_end_of_the_band():
    found = outlook(day([cylinder()], [CLOVER, SORREL]))
    change = found.change_overs[0]

    assert change.value == change.low == np.floor(found.lasts_until.low)
    assert change.value < found.lasts_until.value


def test_when_the_next_case_is_cut_into_it_says_stop():
    found = outlook(day([cylinder(bar=40)], [CLOVER]))

    assert found.lasts_until.verdict is Verdict.STOP
    assert found.lasts_until.todo == "Fit a full one before Clover."


def test_a_case_that_has_begun_cannot_be_fitted_before():
    running = day([cylinder(bar=40)], [CLOVER], now_min=640.0)
    todo = outlook(running).lasts_until.todo

    assert todo.startswith("Bring a full one now: change over by ")
    assert todo.endswith("inside Clover.")


def test_a_day_that_it_lasts_says_what_is_left():
    found = outlook(day([cylinder(bar=130)], [CLOVER]))
    left = contents_l(Gas.OXYGEN, 4.7, 13_000, 293.15) - 110 * 1.7

    assert found.lasts_until.value is None
    assert found.lasts_until.settles == "Not reached by today's plan."
    assert found.lasts_until.verdict is Verdict.FINE
    assert found.change_overs == ()
    # Shown at 15 °C: 0.9792 of the litres at 70 °F (supply section 8).
    assert found.left_at_end.value == pytest.approx(left * 0.9792, rel=1e-4)


def test_what_today_needs_names_each_case_and_what_is_kept_back():
    needed = outlook(day([cylinder()], [CLOVER, SORREL])).needed
    kept = contents_l(Gas.OXYGEN, 4.7, 1400, 293.15)

    assert needed.value == pytest.approx((210 * 1.7 + kept) * 0.9792, rel=1e-4)
    assert [step.what.partition(":")[0] for step in needed.steps] == [
        "Clover",
        "Sorrel",
        "Kept back",
    ]
    assert "checks and one flush" in needed.sentence


def test_checks_and_one_flush_come_before_a_case_that_is_not_checked_yet():
    plain = outlook(day([cylinder()], [CLOVER])).needed.value
    checked = outlook(day([cylinder()], [replace(CLOVER, checked=False)])).needed
    # 4 L of checks and 10 s of flush at 55 L/min, at 70 °F.
    assert checked.value - plain == pytest.approx((4 + 55 / 6) * 0.9792, rel=1e-3)
    assert "checks and one flush" in checked.steps[0].what


def test_flushes_chambers_whistle_and_sampling_are_drawn_too():
    plain = outlook(day([cylinder()], [CLOVER])).needed.value
    machine = Machine(name="Wren", flow_sd_share=0.05, sampling_l_min=0.2, whistle=True, checks_l=0)
    much = replace(
        CLOVER, flushes=3, chamber=Chamber(volume_l=10, fills=2, purges=1), checked=False
    )
    found = outlook(day([cylinder()], [much], machines=(machine,))).needed.value
    # 4 flushes of 10 s at 55, 3 x 30 L of chamber, 7 s of 2 L/min, 110 min of 0.2 L/min.
    more = 4 * 55 / 6 + 90 + 7 / 60 * 2 + 22

    assert found - plain == pytest.approx(more * 0.9792, rel=1e-3)


def test_drive_gas_is_the_factor_times_the_minute_volume():
    machine = Machine(
        name="Wren",
        flow_sd_share=0.05,
        ventilator=Drive.OXYGEN,
        drive_factor=0.5,
        control_l_min=0.3,
    )
    driven = replace(CLOVER, ventilation=Ventilation(minute_volume_l_min=6))
    plain = outlook(day([cylinder()], [CLOVER])).needed.value
    found = outlook(day([cylinder()], [driven], machines=(machine,))).needed.value

    assert found - plain == pytest.approx(110 * (0.5 * 6 + 0.3) * 0.9792, rel=1e-3)


def test_a_drive_factor_that_nobody_entered_is_a_range_and_is_said():
    machine = Machine(name="Wren", flow_sd_share=0.0, ventilator=Drive.OXYGEN)
    driven = replace(CLOVER, ventilation=Ventilation(minute_volume_l_min=6))
    found = outlook(day([cylinder(bar=200)], [driven], machines=(machine,)))

    assert any("0.4 to 1.5 times the minute volume" in line for line in found.needed.assumptions)
    assert found.needed.high > 1.2 * found.needed.value


def test_an_electric_ventilator_draws_no_gas():
    machine = Machine(name="Wren", flow_sd_share=0.05, ventilator=Drive.ELECTRIC)
    driven = replace(CLOVER, ventilation=Ventilation(minute_volume_l_min=6))
    electric = outlook(day([cylinder()], [driven], machines=(machine,))).needed.value

    assert electric == pytest.approx(outlook(day([cylinder()], [CLOVER])).needed.value)


def test_a_leak_runs_from_the_first_check_to_the_end_of_the_last_case():
    plain = outlook(day([cylinder()], [CLOVER, SORREL])).needed.value
    leaking = outlook(day([cylinder(leak_l_min=0.1)], [CLOVER, SORREL])).needed

    assert leaking.value - plain == pytest.approx(0.1 * (910 - 630) * 0.9792, rel=1e-3)
    assert any(step.what.startswith("Leak") for step in leaking.steps)


def test_where_nothing_is_uncertain_the_draws_ask_for_what_the_plan_asks():
    exact = Machine(name="Wren", flow_sd_share=0.0)
    plan = day([cylinder(leak_l_min=1.0)], [CLOVER, SORREL], machines=(exact,))
    found = outlook(plan).needed

    assert (found.low, found.high) == pytest.approx((found.value, found.value), rel=0.004)


def test_what_was_drawn_before_the_reading_is_not_counted_again():
    late = cylinder(inside=(held(71, at=700.0),))
    found = outlook(day([late], [CLOVER])).needed
    kept = contents_l(Gas.OXYGEN, 4.7, 1400, 293.15)

    assert found.value == pytest.approx((40 * 1.7 + kept) * 0.9792, rel=1e-3)


def test_the_chance_of_a_case_is_that_of_quadrature():
    from scipy.stats import norm

    plan = day([cylinder()], [CLOVER, replace(SORREL, start_min=800.0)])
    machine = Machine(name="Wren", flow_sd_share=0.10)
    chances = outlook(replace(plan, machines=(machine,)), draws=20_000).chances
    # Gauge ± 2.5 % of 250 bar, 20 ± 1 °C, capacity ± 1 %, flow normal with 10 %.
    nodes, weights = np.polynomial.legendre.leggauss(16)
    chance = 0.0
    for gauge, first in zip(nodes, weights / 2, strict=True):
        for water, second in zip(nodes, weights / 2, strict=True):
            held_l = (1 + 0.01 * water) * usable_l(71 + 6.25 * gauge)
            chance += first * second * norm.sf((held_l / (110 * 1.7) - 1) / 0.10)

    assert chances[0].case == "Clover"
    assert chances[0].answer.value == pytest.approx(100 * chance, abs=0.5)


def test_cylinders_in_sequence_are_changed_one_after_the_other():
    two = cylinder(kind=SourceKind.SEQUENCE, inside=(held(71), held(130)))
    found = outlook(day([two], [CLOVER, SORREL, case("Yarrow", 920, 100)]))
    first = 810 + (usable_l(71) - 110 * 1.7) / 1.7

    assert len(found.change_overs) == 1
    assert found.change_overs[0].sentence.startswith("Cylinder 1 of Alder must be changed by")
    assert found.change_overs[0].low < first < found.change_overs[0].high
    assert found.lasts_until.value is None
    assert found.may_begin.verdict is Verdict.FINE


def test_a_manifold_changes_over_by_itself_and_lasts_with_both_banks():
    banks = cylinder(
        name="Birches",
        kind=SourceKind.MANIFOLD,
        inside=(held(30, water=47.2, count=2), held(130, water=47.2, count=2)),
        change_over_kpa=1000.0,
    )
    long = case("Mice", 480, 500, flow=5)
    found = outlook(day([banks], [long]), "Birches")
    first = 480 + 2 * usable_l(30, 47.2, kept=10) / 5

    assert found.change_overs[0].sentence.startswith(
        "The duty bank of Birches changes over by itself"
    )
    assert found.change_overs[0].low < first < found.change_overs[0].high
    assert found.change_overs[0].verdict is Verdict.FINE
    assert "full cylinders on the empty bank" in found.change_overs[0].todo
    assert found.lasts_until.verdict is Verdict.FINE


def wall(**more):
    return GasSource(name="Wall", kind=SourceKind.PIPELINE, feeds=("Wren",), **more)


def test_a_pipeline_with_a_reserve_says_how_long_the_reserve_lasts_at_the_worst_minute():
    two = replace(
        CLOVER,
        phases=(
            Phase(name="prepare", minutes=60, oxygen_l_min=1),
            Phase(name="operate", minutes=60, oxygen_l_min=5),
        ),
    )
    reserve = cylinder(name="Rowan", bar=60, feeds=(), reserve_of="Wall")
    plan = day([wall(), reserve], [two])
    found = outlook(plan, "Wall")

    # Worst when it fails as the higher flow begins: all that is usable at 5 L/min.
    assert usable_l(60) < 60 * 5
    assert found.if_it_fails.value == pytest.approx(usable_l(60) / 5, rel=1e-3)
    assert "11:30, the worst minute" in found.if_it_fails.sentence
    assert found.lasts_until.value is None
    assert "Rowan lasts" in found.lasts_until.sentence
    assert outlook(plan, "Rowan").reserve_of == "Wall"


def test_a_reserve_that_outlasts_the_day_is_told_at_the_highest_flow():
    reserve = cylinder(name="Rowan", bar=200, feeds=("Wren",), reserve_of="Wall")
    found = outlook(day([wall(), reserve], [CLOVER]), "Rowan")

    assert found.if_it_fails.value == pytest.approx(usable_l(200) / 1.7, rel=1e-3)
    assert "highest flow planned, 1.7 L/min" in found.if_it_fails.sentence


def test_a_reserve_of_less_than_15_minutes_asks_for_a_full_one():
    reserve = cylinder(name="Rowan", bar=20, feeds=("Wren",), reserve_of="Wall")
    found = outlook(day([wall(), reserve], [case("Clover", 630, 110, flow=8)]), "Rowan")

    assert found.if_it_fails.verdict is Verdict.LOOK_AGAIN
    assert "at least 15 min" in found.if_it_fails.todo


def test_a_pipeline_without_a_reserve_asks_for_one():
    found = outlook(day([wall()], [CLOVER]), "Wall")

    assert found.verdict is Verdict.LOOK_AGAIN
    assert "reserve cylinder behind Wall for Wren" in found.lasts_until.todo


def test_a_pipeline_that_nobody_uses_today_asks_for_nothing():
    plan = day(
        [wall(), cylinder(bar=150, feeds=("Heron",))],
        [case("Kit", 600, 30, machine="Heron")],
        machines=("Wren", "Heron"),
    )

    assert outlook(plan, "Wall").verdict is Verdict.FINE


def test_a_machine_without_a_reserve_of_its_own_is_named():
    both = GasSource(name="Wall", kind=SourceKind.PIPELINE, feeds=("Wren", "Heron"))
    reserve = cylinder(name="Rowan", bar=150, feeds=("Heron",), reserve_of="Wall")
    cases = [CLOVER, case("Kit", 600, 30, machine="Heron")]
    found = outlook(day([both, reserve], cases, machines=("Wren", "Heron")), "Wall")

    assert found.lasts_until.verdict is Verdict.LOOK_AGAIN
    assert found.lasts_until.todo == "Put a full reserve cylinder behind Wall for Wren."


def test_what_may_have_been_reached_already_asks_for_a_reading_now():
    late = day([cylinder(bar=30)], [CLOVER], now_min=735.0)

    assert outlook(late).lasts_until.todo.startswith("Read Alder now")


def test_a_reading_of_the_day_before_says_so():
    found = outlook(day([cylinder(inside=(held(71, at=-440.0),))], [CLOVER])).lasts_until

    assert any("16:40 the day before" in one.text for one in found.where_from)


def concentrator(**more):
    return GasSource(name="Box", kind=SourceKind.CONCENTRATOR, feeds=("Wren",), **more)


@pytest.mark.parametrize(
    ("flow", "limit", "verdict", "words"),
    [
        (2.0, 5.0, Verdict.LOOK_AGAIN, "power can fail"),
        (6.0, 5.0, Verdict.STOP, "1 L/min more than it gives"),
        (2.0, None, Verdict.LOOK_AGAIN, "Find out the flow limit"),
    ],
)
def test_a_concentrator_has_a_flow_limit(flow, limit, verdict, words):
    found = outlook(
        day([concentrator(flow_limit_l_min=limit)], [case("Kit", 600, 60, flow)]), "Box"
    )

    assert found.lasts_until.verdict is verdict
    assert words in found.lasts_until.todo


def test_a_concentrator_cannot_drive_a_ventilator():
    machine = Machine(name="Wren", ventilator=Drive.OXYGEN, drive_factor=0.5)
    driven = replace(CLOVER, ventilation=Ventilation(minute_volume_l_min=2))
    found = outlook(day([concentrator(flow_limit_l_min=10)], [driven], machines=(machine,)), "Box")

    assert found.lasts_until.verdict is Verdict.STOP
    assert "cannot drive the ventilator of Wren" in found.lasts_until.todo


def test_liquid_oxygen_gives_its_gas_less_what_it_loses():
    frost = GasSource(
        name="Frost",
        kind=SourceKind.LIQUID,
        feeds=("Wren",),
        liquid_l=1.0,
        liquid_band_share=0.0,
        daily_loss_share=0.02,
        read_at_min=480.0,
    )
    found = outlook(day([frost], [CLOVER], policy=ReservePolicy(minutes=15)), "Frost")
    # 1 L of liquid: 860.5 L at 70 °F (supply section 6, computed).
    assert found.left.value == pytest.approx(860.5 * 0.9792, rel=1e-3)
    loss = 860.5 * 0.02
    assert found.left_at_end.value == pytest.approx((860.5 - loss - 187) * 0.9792, rel=2e-3)


def test_a_liquefied_gas_planned_by_its_gauge_has_no_number_and_a_question():
    blue = replace(
        cylinder(name="Juniper"),
        gas=Gas.NITROUS_OXIDE,
        cylinders=(held(49, gas=Gas.NITROUS_OXIDE),),
    )
    mixed = replace(
        CLOVER, phases=(Phase(name="all", minutes=60, oxygen_l_min=1, nitrous_oxide_l_min=1),)
    )
    found = outlook(day([cylinder(bar=130), blue], [mixed]), "Juniper")

    assert found.lasts_until.value is None
    assert "weigh Juniper" in found.lasts_until.sentence
    assert found.lasts_until.settles == "What does Juniper weigh, and what is its tare?"
    assert found.verdict is Verdict.LOOK_AGAIN


def test_a_demand_that_nothing_feeds_stops_the_day():
    mixed = replace(CLOVER, phases=(Phase(name="all", minutes=60, oxygen_l_min=1, air_l_min=1),))
    found = day_supply(day([cylinder(bar=130)], [mixed]), draws=64)

    assert found.verdict is Verdict.STOP
    assert found.unfed[0].sentence == "No source feeds air to Wren."


def test_below_half_without_a_second_source_look_again():
    low = outlook(day([cylinder(bar=60)], [case("Kit", 600, 10)])).may_begin
    behind = cylinder(name="Elm", bar=130, reserve_of="Alder")
    second = outlook(day([cylinder(bar=60), behind], [case("Kit", 600, 10)])).may_begin

    assert low.verdict is Verdict.LOOK_AGAIN
    assert "without a second source" in low.sentence
    assert second.verdict is Verdict.FINE
    assert second.reasons == ("Behind Alder stands Elm.",)
    assert "behind Alder stands Elm" in second.sentence


def test_at_or_below_what_is_kept_back_it_says_stop():
    found = outlook(day([cylinder(bar=13)], [CLOVER])).lasts_until

    assert found.verdict is Verdict.STOP
    assert found.todo == "Change Alder before you begin."


def test_the_common_linear_rule_stands_beside_with_its_error():
    us = cylinder(inside=(held(69, water=4.76),))
    found = outlook(day([us], [CLOVER, SORREL], place=US)).by_linear_rule
    # (1000.8 - 200) psi x 0.28 L/psi = 224 L against 273 to 14 bar.
    assert "0.28 L/psi, 224 L can be used (-18 %" in found.sentence
    assert found.value == pytest.approx(810 + (224.2 - 187) / 1.7, abs=1)


def test_readings_are_asked_for_where_no_alarm_is_known_and_by_half_where_it_is():
    silent = outlook(day([cylinder(bar=130)], [CLOVER]))
    alarmed = outlook(
        day([cylinder(bar=130)], [CLOVER], machines=(Machine(name="Wren", oxygen_alarm=True),))
    )

    assert silent.reading_times_min == (630.0, 660.0, 690.0, 720.0)
    assert silent.next_reading.value == 630.0
    assert any("no oxygen failure alarm" in line for line in silent.lasts_until.cautions)
    assert alarmed.reading_times_min == ()
    assert "checks before Clover" in alarmed.next_reading.reasons[0]


def test_the_next_reading_is_due_at_the_early_end_of_half_of_it():
    machine = Machine(name="Wren", oxygen_alarm=True, flow_sd_share=0.05)
    plan = day([cylinder(bar=71)], [CLOVER, SORREL], machines=(machine,), now_min=640.0)
    found = outlook(plan).next_reading

    assert found.value < 630 + usable_l(71) / 2 / 1.7
    assert found.value > 630 + 0.7 * usable_l(71) / 2 / 1.7


def test_the_same_seed_gives_the_same_answer_and_another_one_nearly():
    plan = day([cylinder()], [CLOVER, SORREL])
    one, again = (day_supply(plan, draws=512, seed=7).as_dict() for _ in range(2))
    other = day_supply(plan, draws=512, seed=8).as_dict()

    assert one == again
    assert one != other
    assert one["sources"][0]["lasts_until"]["low"] == pytest.approx(
        other["sources"][0]["lasts_until"]["low"], abs=8
    )


@settings(max_examples=15, deadline=None)
@given(st.floats(40, 200), st.floats(0.3, 6))
def test_twice_the_flow_is_reached_half_as_late(bar, flow):
    once, twice = (
        outlook(day([cylinder(bar=bar)], [case("Long", 480, 2000, one)]), draws=256).lasts_until
        for one in (flow, 2 * flow)
    )
    if once.value is not None and once.value < 2400:
        assert twice.value - 480 == pytest.approx((once.value - 480) / 2, rel=1e-6)


@settings(max_examples=15, deadline=None)
@given(st.floats(30, 200), st.floats(2, 25), st.floats(2, 25))
def test_keeping_back_more_never_lasts_longer(bar, one, other):
    less, more = sorted((one, other))
    ends = [
        outlook(
            day(
                [cylinder(bar=bar)], [CLOVER, SORREL], policy=ReservePolicy(pressure_kpa=100 * kept)
            ),
            draws=256,
        ).lasts_until.value
        or 10_000.0
        for kept in (less, more)
    ]

    assert ends[1] <= ends[0]


@settings(max_examples=10, deadline=None)
@given(st.floats(30, 90))
def test_chances_rise_from_case_to_case(bar):
    chances = [
        one.answer.value for one in outlook(day([cylinder(bar=bar)], [CLOVER, SORREL])).chances
    ]

    assert chances == sorted(chances)


def rich_plan():
    machines = (
        Machine(name="Wren"),
        Machine(name="Heron", oxygen_alarm=True, ventilator=Drive.OXYGEN),
        Machine(name="Dunlin"),
        Machine(name="Plover"),
    )
    sources = [
        cylinder(),
        GasSource(name="Wall", kind=SourceKind.PIPELINE, feeds=("Heron",)),
        cylinder(name="Rowan", bar=100, feeds=(), reserve_of="Wall"),
        cylinder(
            name="Birches",
            kind=SourceKind.MANIFOLD,
            feeds=("Dunlin",),
            leak_l_min=0.05,
            inside=(held(30, water=47.2), held(130, water=47.2, count=2)),
        ),
        GasSource(name="Box", kind=SourceKind.CONCENTRATOR, feeds=("Plover",), flow_limit_l_min=5),
        GasSource(name="Frost", kind=SourceKind.LIQUID, feeds=(), liquid_l=20.0),
    ]
    cases = [
        replace(CLOVER, checked=False),
        SORREL,
        replace(
            case("Bracken", 500, 100, 1.2, "Heron"), ventilation=Ventilation(minute_volume_l_min=6)
        ),
        case("Mice", 500, 300, 5, "Dunlin"),
        case("Kit", 500, 30, 2, "Plover"),
    ]
    return day(sources, cases, machines=machines)


def every_answer():
    found = day_supply(rich_plan(), draws=128)
    return [answer for one in found.sources for answer in one.answers]


@pytest.mark.parametrize("answer", every_answer(), ids=lambda one: one.question)
def test_every_answer_of_a_day_is_whole(answer):
    lines = (*answer.reasons, *answer.cautions, *answer.assumptions, answer.sentence)
    told = (
        *lines,
        *(one.text for one in answer.where_from),
        *([answer.todo] if answer.todo else []),
    )

    assert answer.question.endswith("?")
    assert answer.reasons
    assert set(answer.sources) <= set(known_sources())
    assert all(line[0].isupper() or line[0].isdigit() for line in told)
    assert all(line.endswith(".") for line in told)
    assert answer.value is not None or answer.settles or answer.low is not None
    assert answer.draws == 128
    assert Answer.from_dict(json.loads(json.dumps(answer.as_dict()))) == answer


def test_litres_follow_the_condition_and_times_do_not():
    uk, us = (
        outlook(day([cylinder()], [CLOVER, SORREL], place=replace(AT_20, condition=one)))
        for one in (C15, F70)
    )

    assert uk.lasts_until.value == us.lasts_until.value
    assert uk.left.value == pytest.approx(us.left.value * 0.9792, rel=1e-4)


@pytest.mark.parametrize("draws", [0, 15, 10_000_000])
def test_a_number_of_draws_beyond_reason_is_refused(draws):
    with pytest.raises(InvalidQuantity, match="draws is"):
        day_supply(day([cylinder()], [CLOVER]), draws=draws)


def test_a_reading_that_cannot_be_is_refused():
    with pytest.raises(RuleBroken, match="past the end of its scale"):
        day_supply(day([cylinder(bar=270)], [CLOVER]), draws=64)
