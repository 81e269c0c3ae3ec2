from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.answers import Verdict
from ullage.answers.reading_asked import reading_asked
from ullage.answers.things import Cylinder, Place, Reading
from ullage.core.errors import InvalidQuantity, RuleBroken
from ullage.core.gas import Gas
from ullage.core.units import PSI_KPA
from ullage.reference import sources

ALDER = Cylinder(
    gas=Gas.OXYGEN, water_capacity_l=4.7, full_scale_kpa=25_000.0, test_pressure_kpa=22_750.0
)
NITROUS = Cylinder(gas=Gas.NITROUS_OXIDE, water_capacity_l=4.7, tare_kg=6.0)
PLACE = Place()
PSI_PLACE = Place(pressure_unit="psi")


def bar(value: float, at_min: float = 60.0) -> Reading:
    return Reading(at_min=at_min, gauge_kpa=100.0 * value, temperature_k=293.15)


def asked(value: float, before: float, place: Place = PLACE):
    return reading_asked(ALDER, bar(value), [bar(before, 0.0)], place)


def test_an_ordinary_fall_is_not_asked_about():
    assert asked(66.0, 71.0) is None
    assert asked(30.0, 71.0) is None


def test_a_rise_inside_gauge_and_temperature_error_is_silent():
    # 2.5 % of 250 bar, and 1 K either way at each reading.
    assert asked(77.0, 71.0) is None


def test_a_rise_beyond_it_asks_for_another_cylinder_or_a_warmer_room():
    answer = asked(90.0, 71.0)

    assert answer.settles == "Another cylinder, or a warmer room?"
    assert answer.sentence == "90 bar is more than the 71 bar before."
    assert answer.verdict is Verdict.LOOK_AGAIN


def test_a_warmer_room_explains_a_rise():
    warm = replace(bar(78.5), temperature_k=303.15)

    assert reading_asked(ALDER, warm, [bar(71.0, 0.0)], PLACE) is None
    assert asked(78.5, 71.0) is not None


@pytest.mark.parametrize(
    ("typed", "meant"), [(7.1, "71 bar"), (4.9, "71 bar"), (147.0, "10 bar"), (103.0, "10 bar")]
)
def test_a_slip_of_ten_or_of_unit_is_asked_about(typed, meant):
    before = 72.0 if meant == "71 bar" else 10.2

    assert asked(typed, before).settles.startswith(f"Is it {meant}, or truly ")


def test_bar_typed_as_psi_is_asked_in_psi():
    typed = Reading(at_min=60.0, gauge_kpa=71 * PSI_KPA)
    before = [Reading(at_min=0.0, gauge_kpa=1050 * PSI_KPA)]

    settles = reading_asked(ALDER, typed, before, PSI_PLACE).settles
    assert settles == "Is it 1\u202f030 psi, or truly 70 psi?"


def test_a_cylinder_that_nearly_emptied_is_asked_about_only_where_a_slip_would_explain_it():
    assert asked(15.0, 71.0) is None


def test_a_first_reading_is_held_against_the_fill():
    full = replace(ALDER, fill_gauge_kpa=13_700.0)

    assert reading_asked(full, bar(137.0), [], PLACE) is None
    assert reading_asked(full, bar(14.0), [], PLACE).settles.startswith("Is it 140 bar, or")
    assert reading_asked(full, bar(190.0), [], PLACE).settles.startswith("Another cylinder")
    assert reading_asked(ALDER, bar(14.0), [], PLACE) is None


def test_a_reading_older_than_the_last_is_late_and_kept():
    answer = reading_asked(ALDER, bar(75.0, 30.0), [bar(80.0, 0.0), bar(70.0, 60.0)], PLACE)

    assert answer.sentence == "An older time than the last reading: it is kept as a late reading."


def test_a_late_reading_is_held_against_the_one_before_it():
    answer = reading_asked(ALDER, bar(7.5, 30.0), [bar(80.0, 0.0), bar(70.0, 60.0)], PLACE)

    assert answer.settles == "Is it 75 bar, or truly 8 bar?"


def test_a_weight_in_pounds_is_asked_about():
    before = [Reading(at_min=0.0, weight_kg=9.0)]

    answer = reading_asked(NITROUS, Reading(at_min=60.0, weight_kg=19.6), before, PLACE)
    assert answer.settles == "Is it 8.89 kg, or truly 19.6 kg?"
    assert reading_asked(NITROUS, Reading(at_min=60.0, weight_kg=8.5), before, PLACE) is None
    assert reading_asked(NITROUS, Reading(at_min=60.0, weight_kg=9.5), before, PLACE) is not None
    assert reading_asked(NITROUS, Reading(at_min=60.0, weight_kg=8.5), [], PLACE) is None


@pytest.mark.parametrize("value", [-1.0, float("nan"), 250.0])
def test_the_impossible_is_refused(value):
    with pytest.raises(RuleBroken, match="gauge reads"):
        reading_asked(ALDER, bar(value), [], PLACE)


def test_nothing_read_is_refused():
    with pytest.raises(InvalidQuantity, match="a gauge pressure or a weight"):
        reading_asked(ALDER, Reading(at_min=0.0), [], PLACE)
    with pytest.raises(InvalidQuantity, match="at_min is nan"):
        reading_asked(ALDER, bar(71.0, float("nan")), [], PLACE)


@given(st.floats(30.0, 200.0), st.floats(0.4, 1.0))
def test_using_gas_is_never_asked_about(before, share):
    assert asked(share * before, before) is None


@given(st.floats(0.0, 220.0), st.floats(0.0, 220.0))
def test_every_question_is_one_and_says_why(now, before):
    answer = asked(now, before)

    if answer is not None:
        assert answer.settles.endswith("?")
        assert answer.reasons[0].endswith(".")
        assert set(answer.sources) <= set(sources())
        assert answer.value is None
