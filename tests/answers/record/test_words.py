"""Readings as people type them: digits as typed, units of the whitelist, words of the list."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.answers.record.things import EntryKind, Reading
from ullage.answers.record.words import (
    MEASURES,
    in_unit,
    measure,
    read_reading,
    unit_written,
    variable,
)
from ullage.core.errors import UllageError, UnknownReference, UnreadableQuantity
from ullage.reference.record import term_lists, variable_rows

EVERY = list(variable_rows())


@pytest.mark.parametrize(
    ("key", "typed", "number", "unit"),
    [
        ("heart_rate", "210", "210", "/min"),
        ("heart_rate", "210 bpm", "210", "/min"),
        ("temperature", "38.10 °C", "38.10", "Cel"),
        ("temperature", "100.4 degF", "100.4", "[degF]"),
        ("cuff_mean", "62 mmHg", "62", "mm[Hg]"),
        ("cuff_mean", "8,3 kPa", "8.3", "kPa"),
        ("oxygen_saturation", "97", "97", "%"),
        ("inspired_isoflurane", "1.8", "1.8", "%{vol}"),
        ("inspired_isoflurane", "1.8 %", "1.8", "%"),
        ("flow_oxygen", "2 L/min", "2", "L/min"),
        ("flow_oxygen", "500 ml/min", "500", "mL/min"),
        ("gauge", "1900 psi", "1900", "[psi]"),
        ("airway_pressure", "12 cmH2O", "12", "cm[H2O]"),
        ("room_agent", "0.9 ppm", "0.9", "[ppm]"),
        ("mac_multiple", "1.25", "1.25", "1"),
        ("tidal_volume", "35 mL", "35", "mL"),
        ("room_temperature", "\u22123 °C", "-3", "Cel"),
    ],
)
def test_a_reading_keeps_its_digits_and_names_its_unit(key, typed, number, unit):
    assert read_reading(key, typed) == Reading(number=number, unit=unit)


@pytest.mark.parametrize(
    ("key", "typed", "why"),
    [
        ("temperature", "38", "needs its unit: Cel"),
        ("temperature", "38 C", "'C' is not one of Cel"),
        ("temperature", "311 K", "'K' is not one of"),
        ("cuff_mean", "62", "needs its unit: mm"),
        ("cuff_mean", "62 cmH2O", "is not one of mm"),
        ("flow_oxygen", "2", "needs its unit"),
        ("gauge", "1,900 psi", "may be 1900 or 1.900"),
        ("heart_rate", "", "no number with a unit"),
        ("heart_rate", "NaN", "no number"),
        ("heart_rate", "inf", "no number"),
        ("heart_rate", "1e400", "'e400' is not one of"),
        ("heart_rate", "two hundred", "no number"),
        ("heart_rate", "9" * 41, "no number"),
        ("heart_rate", "٣٤", "no number"),
        ("heart_rate", "120 /h", "'/h' is not one of"),
        ("jaw", "loose", "'loose' is not one of tight, some, slack"),
        ("jaw", "Slack", "not one of"),
        ("agent", "gas", "is not one of"),
    ],
)
def test_what_may_mean_two_things_is_refused_in_a_sentence(key, typed, why):
    with pytest.raises(UnreadableQuantity, match=why):
        read_reading(key, typed)


@given(st.sampled_from(EVERY), st.text(max_size=60))
def test_no_text_is_too_odd_for_a_sentence(key, typed):
    try:
        found = read_reading(key, typed)
    except UllageError as why:
        ends, found = str(why)[-1], None
    else:
        ends = "."

    assert ends == "."
    assert found is None or found.unit in (*variable(key).ucum, "")


@given(
    st.sampled_from([key for key in EVERY if variable(key).ucum]),
    st.decimals(-99999, 99999, places=3, allow_nan=False),
    st.data(),
)
def test_a_number_in_every_unit_of_its_list_is_taken_as_typed(key, number, data):
    unit = data.draw(st.sampled_from(variable(key).ucum))
    found = read_reading(key, f"{number} {unit}")

    assert (found.number, found.unit) == (str(number), unit)


@pytest.mark.parametrize("key", [key for key in EVERY if variable(key).terms])
def test_every_word_of_a_list_is_taken(key):
    for one in term_lists()[variable(key).terms]:
        assert read_reading(key, one.word) == Reading(number="", unit="")


@pytest.mark.parametrize("key", EVERY)
def test_the_kind_of_a_variable_is_a_kind_of_entry(key):
    assert EntryKind(variable(key).kind).words


def test_an_unknown_variable_is_answered_with_its_neighbours():
    with pytest.raises(UnknownReference, match="Similar: heart_rate"):
        variable("hart_rate")


@pytest.mark.parametrize(
    ("name", "typed", "number", "unit"),
    [
        ("dose", "0.03 mg/kg", "0.03", "mg/kg"),
        ("dose", "20 mcg/kg", "20", "ug/kg"),
        ("dose", "5 µg/kg", "5", "ug/kg"),
        ("concentration", "0.3 mg/ml", "0.3", "mg/mL"),
        ("volume", "0.31 ml", "0.31", "mL"),
        ("rate", "10 mL/kg/h", "10", "mL/kg/h"),
    ],
)
def test_doses_and_volumes_are_read_alike(name, typed, number, unit):
    assert measure(typed, MEASURES[name], name) == Reading(number=number, unit=unit)


@pytest.mark.parametrize("name", MEASURES)
def test_a_dose_without_its_unit_is_refused(name):
    with pytest.raises(UnreadableQuantity, match="needs its unit"):
        measure("3", MEASURES[name], name)


def test_case_is_kept_where_it_changes_the_meaning():
    assert unit_written("mL", ("mL", "L"), "Volume") == "mL"
    with pytest.raises(UnreadableQuantity, match="'ML' is not one of"):
        unit_written("ML", ("ML/min", "L"), "Volume")


@pytest.mark.parametrize(
    ("value", "unit", "to", "expected"),
    [
        (98.6, "[degF]", "Cel", 37.0),  # by definition: 9/5 and 32
        (760.0, "mm[Hg]", "kPa", 101.325),  # standard atmosphere
        (10.0, "cm[H2O]", "kPa", 0.980665),  # conventional centimetre of water
        (1.0, "bar", "kPa", 100.0),
        (500.0, "mL/min", "L/min", 0.5),
        (3.1, "kg", "g", 3100.0),
        (1.8, "%{vol}", "%", 1.8),
        (120.0, "{beats}/min", "/min", 120.0),
    ],
)
def test_units_of_one_quantity_are_converted(value, unit, to, expected):
    assert in_unit(value, unit, to) == pytest.approx(expected, rel=1e-5)


@pytest.mark.parametrize(("unit", "to"), [("kPa", "%"), ("%", "kPa"), ("g", "Cel"), ("x", "y")])
def test_units_of_two_quantities_are_not(unit, to):
    assert in_unit(1.0, unit, to) is None


@pytest.mark.parametrize("key", EVERY)
def test_all_units_of_a_variable_measure_the_same(key):
    units = variable(key).ucum

    assert all(in_unit(1.0, unit, units[0]) is not None for unit in units)


UNITS = sorted(
    {unit for key in EVERY for unit in variable(key).ucum}
    | {unit for allowed in MEASURES.values() for unit in allowed}
)


@pytest.fixture(scope="module")
def ucum():
    from ucumvert import get_ucum_parser

    return get_ucum_parser()


@pytest.mark.comparison
@pytest.mark.parametrize("unit", UNITS)
def test_every_unit_of_a_whitelist_is_taken_by_an_independent_parser(ucum, unit):
    assert ucum.parse(unit) is not None


@pytest.mark.comparison
@pytest.mark.parametrize("written", ["mmHg", "bpm", "cmH2O", "psig"])
def test_what_people_write_is_no_unit_of_the_record(ucum, written):
    # records_standards UC-05: plain mmHg is rejected by a parser
    from lark.exceptions import LarkError

    with pytest.raises(LarkError, match=r"No terminal|Unexpected|Expected"):
        ucum.parse(written)
    assert written not in UNITS
