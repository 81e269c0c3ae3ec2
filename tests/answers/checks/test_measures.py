"""Every other measurement of a check: passed, failed, open, absent, and read by slip."""

import pytest

from tests.answers.checks.entered import GOOD, LIMITS, the_step
from ullage.answers import Verdict
from ullage.answers.checks import (
    MeasureKind,
    limit_choices,
    shipped_lists,
    step_result,
)
from ullage.answers.checks.fields import FIELDS
from ullage.core.errors import UnreadableQuantity
from ullage.reference import sources

FINE, LOOK, STOP, NOT_YET = (
    *(Verdict.FINE, Verdict.LOOK_AGAIN),
    *(Verdict.STOP, Verdict.NOT_YET),
)
STEPS = {step.kind: step for one in shipped_lists() for step in one.steps}
K = MeasureKind


def result(kind, limits=LIMITS, **given):
    return step_result(STEPS[kind], given, limits)


def good_but(kind, **otherwise):
    return step_result(STEPS[kind], {**GOOD[kind], **otherwise}, LIMITS)


@pytest.mark.parametrize("kind", MeasureKind)
def test_every_kind_passes_with_good_entries_and_says_on_whose_word(kind):
    found = step_result(STEPS[kind], GOOD[kind], LIMITS)

    assert found.verdict is FINE
    assert not found.todo
    assert found.unit
    assert found.question.endswith("?")
    assert set(found.sources) <= set(sources())
    assert sum(one.chosen for one in found.views) == (1 if found.views else 0)
    assert all(line.endswith(".") for line in (*found.reasons, *found.cautions, found.sentence))


@pytest.mark.parametrize("kind", MeasureKind)
def test_every_kind_is_open_and_asks_while_nothing_is_entered(kind):
    found = step_result(STEPS[kind], {}, LIMITS)

    assert found.verdict is NOT_YET
    assert found.settles.endswith("?")
    assert found.value is None


@pytest.mark.parametrize("kind", [one for one in MeasureKind if one is not K.LEAK])
def test_every_required_field_keeps_a_step_open_until_it_is_entered(kind):
    for one in FIELDS[kind]:
        if one.required:
            rest = {name: value for name, value in GOOD[kind].items() if name != one.name}
            assert step_result(STEPS[kind], rest, LIMITS).verdict is NOT_YET, one.name


@pytest.mark.parametrize(
    ("kind", "otherwise", "verdict", "says"),
    [
        (K.YES_NO, {"good": False}, STOP, "Not as described"),
        (K.YES_NO, {"good": "no"}, STOP, "Not as described"),
        (K.SUCTION_BULB, {"flat_on_min": "6 s"}, STOP, "each vaporizer on it stayed flat 6 s"),
        (K.SUCTION_BULB, {"flat_off_min": "9.9 s"}, STOP, "vaporizers off it stayed flat 9.9 s"),
        (K.SUCTION_BULB, {"flat_on_min": "10 s"}, FINE, "10 s"),
        (K.RESERVE, {"gauge_kpa": "999 psi"}, STOP, "68.9 bar or more"),
        (K.RESERVE, {"gauge_kpa": "1000 psi"}, FINE, "68.9 bar or more"),
        (K.RESERVE, {"closed_again": False}, LOOK, "Its valve is open"),
        (K.REGULATOR, {"flowing_kpa": "44 psi"}, LOOK, "At working flow"),
        (K.REGULATOR, {"flowing_kpa": "45 psi"}, LOOK, "droops"),
        (K.REGULATOR, {"flowing_kpa": "38 psi"}, STOP, "At working flow"),
        (K.REGULATOR, {"later_kpa": "52 psi"}, STOP, "climbs while nothing flows"),
        (K.REGULATOR, {"later_kpa": "70 psi"}, STOP, "With no flow the outlet reads 4.83 bar"),
        (K.REGULATOR, {"later_kpa": "50.9 psi"}, FINE, "right, still and flowing"),
        (K.REGULATOR, {"elapsed_min": 0.0}, NOT_YET, "Nobody has answered"),
        (K.PIPELINE_ALARM, {"alarm_sounded": False}, STOP, "did not sound"),
        (K.PIPELINE_ALARM, {"alarm_kpa": "19 psi"}, STOP, "The alarm sounds at"),
        (K.PIPELINE_ALARM, {"alarm_kpa": "50 psi"}, LOOK, "at or above the line pressure"),
        (K.PIPELINE_ALARM, {"alarm_kpa": None}, NOT_YET, "line pressure when it sounded"),
        (K.PIPELINE_ALARM, {"line_kpa": "58 psi"}, LOOK, "The line reads"),
        (K.PIPELINE_ALARM, {"line_kpa": "30 psi"}, STOP, "The line reads"),
        (K.FLUSH, {"elapsed_min": "2 s"}, LOOK, "The flush gives 90 L/min"),
        (K.FLUSH, {"elapsed_min": "1 s"}, STOP, "The flush gives 180 L/min"),
        (K.FLUSH, {"elapsed_min": "12 s"}, STOP, "The flush gives 15 L/min"),
        (K.FLUSH, {"bag_l": "0.5 L", "elapsed_min": "0.4 s"}, LOOK, "too short to time"),
        (K.FLUSH, {"elapsed_min": 0.0}, LOOK, "too short to time"),
        (K.FLUSH, {"bag_l": 0.0}, LOOK, "too short to time"),
        (K.OXYGEN_ANALYSER, {"air_fraction": "25 %"}, LOOK, "In room air it reads 25 %"),
        (K.OXYGEN_ANALYSER, {"air_fraction": "23 %"}, FINE, "In room air it reads 23 %"),
        (K.OXYGEN_ANALYSER, {"oxygen_fraction": "90 %"}, STOP, "this is not oxygen"),
        (K.OXYGEN_ANALYSER, {"oxygen_fraction": "90.1 %"}, FINE, "above 90 %"),
        (K.RELIEF_VALVE, {"fell_at_once": False}, STOP, "did not fall at once"),
        (K.RELIEF_VALVE, {"open_kpa": "10 cmH2O"}, STOP, "below 10 cmH2O is wanted"),
        (K.ONE_WAY_VALVES, {"expiratory_moves": False}, STOP, "expiratory valve"),
        (K.COAXIAL, {"as_expected": False}, STOP, "not as expected"),
        (K.SCAVENGING, {"still_kpa": "-2 cmH2O"}, STOP, "the suction is too strong"),
        (K.SCAVENGING, {"still_kpa": "-0.5 cmH2O"}, FINE, "-0.5 cmH2O"),
        (K.SCAVENGING, {"still_kpa": "2 cmH2O"}, STOP, "holds the gas back"),
        (K.SCAVENGING, {"flush_kpa": "10 cmH2O"}, STOP, "On flush it reads 10 cmH2O"),
        (K.HIGH_PRESSURE_FALL, {"ended_kpa": "1790 psi"}, STOP, "It fell by"),
        (K.HIGH_PRESSURE_FALL, {"ended_kpa": "1800 psi"}, FINE, "It fell by"),
        (K.HIGH_PRESSURE_FALL, {"ended_kpa": "2000 psi"}, LOOK, "The gauge rose by"),
        (K.HIGH_PRESSURE_FALL, {"elapsed_min": "6 min"}, NOT_YET, "not long enough yet"),
        (K.HIGH_PRESSURE_FALL, {"elapsed_min": 0.0}, LOOK, "No time has passed"),
    ],
)
def test_one_entry_that_is_otherwise_decides(kind, otherwise, verdict, says):
    found = good_but(kind, **otherwise)

    assert found.verdict is verdict
    assert says in " ".join((found.sentence, *found.reasons))
    assert found.verdict in {FINE, NOT_YET} or found.todo


def test_both_readings_of_an_analyser_swapped_are_guessed():
    found = good_but(K.OXYGEN_ANALYSER, air_fraction="99 %", oxygen_fraction="21 %")

    assert found.verdict is STOP
    assert "may be swapped" in found.sentence


# Pipeline table: small 100 psi in 5 min, large in 7 min, one maker 725 psi in 1 min (K-12).
@pytest.mark.parametrize(
    ("cylinder", "psi", "minutes", "verdict"),
    [
        ("small", 100, 5, FINE),
        ("small", 101, 5, STOP),
        ("large", 100, 5, NOT_YET),
        ("large", 101, 5, STOP),
        (None, 100, 5, NOT_YET),
        ("small", 190, 10, FINE),
        ("small", 210, 10, STOP),
    ],
)
def test_a_fall_goes_by_the_size_of_the_cylinder_and_the_stricter_one_if_nobody_says(
    cylinder, psi, minutes, verdict
):
    found = result(
        K.HIGH_PRESSURE_FALL,
        started_kpa="1900 psi",
        ended_kpa=f"{1900 - psi} psi",
        elapsed_min=f"{minutes} min",
        cylinder=cylinder,
    )

    assert found.verdict is verdict


def test_a_fall_is_a_flow_only_where_the_trapped_volume_is_known():
    without = step_result(STEPS[K.HIGH_PRESSURE_FALL], GOOD[K.HIGH_PRESSURE_FALL])
    known = good_but(K.HIGH_PRESSURE_FALL, trapped_l="100 mL")

    assert without.value is None
    assert "cannot be told as a flow" in " ".join(without.reasons)
    # 100 mL x 20 psi / 14.696 psi / 7 min.
    assert known.value == pytest.approx(100.0 * 20.0 / 14.6959 / 7.0, rel=1e-4)
    assert known.low <= known.value <= known.high


def test_a_limit_that_the_site_has_chosen_counts():
    maker = limit_choices("high_pressure")[2]
    given = {"started_kpa": "1900 psi", "ended_kpa": "1300 psi", "elapsed_min": "1 min"}

    assert result(K.HIGH_PRESSURE_FALL, {"high_pressure": maker}, **given).verdict is FINE
    assert result(K.HIGH_PRESSURE_FALL, {}, **given).verdict is STOP


@pytest.mark.parametrize(
    ("key", "psi", "verdict"),
    [
        ("half_full", 999, STOP),
        ("laboratory", 500, STOP),
        ("laboratory", 501, FINE),
        ("firm", 200, STOP),
        ("firm", 201, FINE),
    ],
)
def test_a_reserve_goes_by_the_limit_of_the_site(key, psi, verdict):
    chosen = next(one for one in limit_choices("reserve") if one.key == key)
    found = result(K.RESERVE, {"reserve": chosen}, gauge_kpa=f"{psi} psi", closed_again=True)

    assert found.verdict is verdict
    assert [one.label for one in found.views if one.chosen] == [chosen.label.split(", ")[0]]


def test_a_regulator_goes_by_the_pressures_that_the_site_has_chosen():
    given = {**GOOD[K.REGULATOR], "still_kpa": "450 kPa", "later_kpa": "450 kPa"}
    given["flowing_kpa"] = "440 kPa"
    metric = next(one for one in limit_choices("line") if one.key == "international")

    assert result(K.REGULATOR, {"line": metric}, **given).verdict is FINE
    assert result(K.REGULATOR, {}, **given).verdict is STOP


def test_droop_and_creep_stand_in_the_working():
    found = good_but(K.REGULATOR, later_kpa="52 psi", elapsed_min="2 min")

    assert [one.result for one in found.steps] == ["4 %", "6.89 kPa/min"]


def test_two_bags_never_stand_for_the_leak_test():
    found = good_but(K.ONE_WAY_VALVES)

    assert any("31 % of circles leaked" in one for one in found.cautions)
    assert {"machine_S74", "machine_S75"} <= set(found.sources)


@pytest.mark.parametrize(
    ("check", "key", "verdict"),
    [
        ("start_of_day", "oxygen_failure_alarm", LOOK),
        ("start_of_day", "oxygen_analyser", LOOK),
        ("monthly", "line_and_alarm", LOOK),
        ("rodent_mask_bench", "canister_weighed", LOOK),
        ("non_rebreathing", "coaxial_inner_tube", FINE),
    ],
)
def test_a_part_that_is_not_there_is_said_and_not_passed_over(check, key, verdict):
    found = step_result(the_step(check, key), {"absent": True})

    assert found.verdict is verdict
    assert found.sentence == the_step(check, key).when_absent


def test_a_part_that_must_be_there_cannot_be_absent():
    with pytest.raises(UnreadableQuantity, match="does not ask for 'absent'"):
        step_result(the_step("start_of_day", "self_inflating_bag"), {"absent": True})


@pytest.mark.parametrize(
    ("kind", "field", "value"),
    [
        (K.OXYGEN_ANALYSER, "air_fraction", "121 %"),
        (K.OXYGEN_ANALYSER, "oxygen_fraction", -0.1),
        (K.RESERVE, "gauge_kpa", "-5 psi"),
        (K.RESERVE, "gauge_kpa", "50000 psi"),
        (K.SCAVENGING, "still_kpa", "-300 cmH2O"),
        (K.FLUSH, "bag_l", "3000 L"),
        (K.SUCTION_BULB, "flat_on_min", "2 d"),
        (K.COAXIAL, "way", "by ear"),
        (K.HIGH_PRESSURE_FALL, "cylinder", "huge"),
    ],
)
def test_an_entry_that_no_instrument_shows_is_refused(kind, field, value):
    with pytest.raises(UnreadableQuantity, match=r"cannot be; it lies|is not one of"):
        good_but(kind, **{field: value})
