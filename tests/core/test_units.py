import re
from math import isnan

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from ullage.core import units
from ullage.core.errors import UnreadableQuantity
from ullage.core.units import KINDS, celsius, convert, kelvin, read_quantity, unit_of
from ullage.reference import sourced

numbers = st.floats(-1e9, 1e9)
UNITS = [(kind, unit) for kind, known in KINDS.items() for unit in known]
a_unit = st.sampled_from(UNITS)


@given(a_unit, numbers)
def test_there_and_back_is_where_it_began(named, value):
    kind, unit = named
    ours = convert(value, unit, kind)

    back = convert(ours, next(iter(KINDS[kind])), kind, unit)
    assert back == pytest.approx(value, rel=1e-12, abs=1e-9)


@given(a_unit, numbers, st.data())
def test_a_detour_by_a_third_unit_changes_nothing(named, value, data):
    kind, unit = named
    other, third = (data.draw(st.sampled_from(list(KINDS[kind]))) for _ in range(2))
    straight = convert(value, unit, kind, third)

    detour = convert(convert(value, unit, kind, other), other, kind, third)
    assert detour == pytest.approx(straight, rel=1e-9, abs=1e-6)


@given(a_unit)
def test_every_unit_is_read_as_we_write_it(named):
    kind, unit = named
    assume(unit != "1")

    assert unit_of(kind, unit) == unit
    assert read_quantity(f"300 {unit}", kind) == pytest.approx(convert(300.0, unit, kind))


@given(a_unit)
def test_capitals_and_blanks_do_not_change_a_unit(named):
    kind, unit = named
    assume(unit not in {"1", "MPa"})

    for written in (unit.lower(), f" {unit} ", unit.replace("/", " / "), f"{unit}."):
        assert unit_of(kind, written) == unit


@given(st.floats(0.01, 9999.0), st.sampled_from(["psi", "kPa", "bar"]))
def test_a_number_written_by_a_machine_is_read_exactly(value, unit):
    written = f"{value!r} {unit}"
    assume(not re.match(r"^\d{1,3}\.\d{3} psi$", written))

    assert read_quantity(written, "pressure") == convert(value, unit, "pressure")


@given(st.integers(0, 999), st.integers(0, 99))
def test_a_decimal_comma_is_a_decimal_point(whole, hundredths):
    with_comma = read_quantity(f"{whole},{hundredths:02d} L/min", "flow")

    assert with_comma == read_quantity(f"{whole}.{hundredths:02d} L/min", "flow")


@pytest.mark.parametrize(
    ("written", "kind", "value"),
    [
        # pressures, in kPa
        ("1900 psi", "pressure", 13_100.04),
        ("1900PSIG", "pressure", 13_100.04),
        ("1,900 psig", "pressure", 13_100.04),
        ("1 900 psi", "pressure", 13_100.04),
        ("1\u202f900 psi", "pressure", 13_100.04),
        ("1'900 psi", "pressure", 13_100.04),
        ("1900 psi gauge", "pressure", 13_100.04),
        ("1900 psi(g)", "pressure", 13_100.04),
        ("1900 lbf/in²", "pressure", 13_100.04),
        ("137 bar", "pressure", 13_700.0),
        ("137 bar g", "pressure", 13_700.0),
        ("13,7 MPa", "pressure", 13_700.0),
        ("13.7mpa", "pressure", 13_700.0),
        ("13 700 kPa", "pressure", 13_700.0),
        ("140 kgf/cm2", "pressure", 13_729.31),
        ("140 kg/cm²", "pressure", 13_729.31),
        ("140 kp/cm^2", "pressure", 13_729.31),
        ("1,013 hPa", "pressure", 101.3),
        ("101,325 Pa", "pressure", 101.325),
        ("29.92 inHg", "pressure", 101.32),
        ("10 cm H₂O", "pressure", 0.980665),
        # volumes, in litres
        ("244 cu ft", "volume", 6909.31),
        ("244 cu. ft.", "volume", 6909.31),
        ("244 ft³", "volume", 6909.31),
        ("244 ft^3", "volume", 6909.31),
        ("4,76 l", "volume", 4.76),
        ("500 cc", "volume", 0.5),
        ("6.9 m3", "volume", 6900.0),
        ("1.234.567 mL", "volume", 1234.567),
        ("1,234,567 mL", "volume", 1234.567),
        # flows, in L/min
        ("0,5 L/min", "flow", 0.5),
        ("0,500 L/min", "flow", 0.5),
        (".5 lpm", "flow", 0.5),
        ("500 ml/min", "flow", 0.5),
        ("500 mL min⁻¹", "flow", 0.5),
        ("500 mL·min-1", "flow", 0.5),
        ("1,500 mL/min", "flow", 1.5),
        ("2 litres per minute", "flow", 2.0),
        ("2 L per min", "flow", 2.0),
        ("302 L/hr", "flow", 5.0333),
        ("200 mL/kg/min", "flow per weight", 0.2),
        ("200 ml kg-1 min-1", "flow per weight", 0.2),
        # temperatures, in K
        ("20 °C", "temperature", 293.15),
        ("20C", "temperature", 293.15),
        ("20 deg C", "temperature", 293.15),
        ("\u22125 °C", "temperature", 268.15),
        ("70 °F", "temperature", 294.2611),
        ("293.15 K", "temperature", 293.15),
        ("9 °F", "temperature step", 5.0),
        # the rest
        ("2 h 30 min", "time", 150.0),
        ("2h30", "time", 150.0),
        ("2:30", "time", 150.0),
        ("1.5 hours", "time", 90.0),
        ("12 lbs", "mass", 5.44311),
        ("25 g", "mass", 0.025),
        ("5280'", "length", 1609.344),
        ('30"', "length", 0.762),
        ("30 cubic feet", "room volume", 0.849505),
        ("2 ACH", "rate", 2.0),
        ("2,5 %", "share", 0.025),
        ("0.025", "share", 0.025),
        ("1e-3 %", "share", 1e-5),
    ],
)
def test_people_write_units_in_many_ways(written, kind, value):
    assert read_quantity(written, kind) == pytest.approx(value, rel=1e-5)


@pytest.mark.parametrize(
    ("written", "kind", "readings"),
    [
        ("1,500 L/min", "flow", "1500 or 1.5"),
        ("4,760 L", "volume", "4760 or 4.76"),
        ("101,325 kPa", "pressure", "101325 or 101.325"),
        ("1,000 bar", "pressure", "1000 or 1"),
        ("8,100 kg", "mass", "8100 or 8.1"),
        ("1.900 psi", "pressure", "1900 or 1.9"),
        ("1.013 hPa", "pressure", "1013 or 1.013"),
        ("1.500 ml/min", "flow", "1500 or 1.5"),
    ],
)
def test_a_mark_that_may_be_two_things_is_asked_about(written, kind, readings):
    with pytest.raises(UnreadableQuantity, match=rf"{re.escape(written)} may be {readings}; write"):
        read_quantity(written, kind)


@pytest.mark.parametrize(
    ("written", "kind", "litres_or_so"),
    [("1.588 mm", "length", 0.001588), ("4.760 L", "volume", 4.76), ("1.500 L/min", "flow", 1.5)],
)
def test_three_decimals_after_a_point_stay_decimals(written, kind, litres_or_so):
    assert read_quantity(written, kind) == pytest.approx(litres_or_so)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(
    "written", ["", " ", "x", "psi", "--5", "1.2.3", "1,2,3", "nan", "1e999 L"]
)
def test_what_is_no_number_is_refused(written, kind):
    with pytest.raises(UnreadableQuantity, match=r"write a number (and|alone)|is not a unit of"):
        read_quantity(written, kind)


@pytest.mark.parametrize("written", ["nan psi", "inf psi", "1e400 psi", "2 30 psi", "1 9 psi"])
def test_what_is_no_pressure_is_refused_with_the_units_that_are(written):
    said = f"{written!r} is not a pressure; write a number and one of kPa, psi, bar, MPa"

    with pytest.raises(UnreadableQuantity, match=re.escape(said)):
        read_quantity(written, "pressure")


@pytest.mark.parametrize(
    ("written", "kind", "said"),
    [
        ("1900", "pressure", "A pressure needs its unit; write one of kPa, psi, bar"),
        ("1900 furlongs", "pressure", "'furlongs' is not a unit of pressure; write one of kPa"),
        ("20", "temperature", "A temperature needs its unit; write one of K, °C, °F"),
        ("5 L", "flow", "'L' is not a unit of flow; write one of L/min, mL/min"),
        ("1900 mPa", "pressure", "'mPa' is not a unit of pressure"),
        ("1900 psia", "pressure", "'psia' is not a unit of pressure"),
        ("-300 °C", "temperature", "'-300 °C' is below absolute zero; no temperature is"),
    ],
)
def test_a_missing_or_unknown_unit_is_refused_with_those_that_are_known(written, kind, said):
    with pytest.raises(UnreadableQuantity, match=re.escape(said)):
        read_quantity(written, kind)


def test_a_unit_handed_in_is_taken_where_the_text_names_none():
    assert read_quantity("1900", "pressure", unit="psi") == pytest.approx(13_100.04, rel=1e-6)
    assert read_quantity("137 bar", "pressure", unit="psi") == 13_700.0
    assert read_quantity("70", "temperature", unit="°F") == pytest.approx(294.2611, abs=1e-4)


@given(a_unit)
def test_what_is_no_number_does_not_become_one(named):
    kind, unit = named

    assert isnan(convert(float("nan"), unit, kind))


@given(st.floats(-273.15, 1e4))
def test_celsius_and_kelvin_go_back_and_forth(degrees):
    assert celsius(kelvin(degrees)) == pytest.approx(degrees, abs=1e-9)


# Definitions, exact: the international pound and foot, the standard atmosphere, the US gallon.
@pytest.mark.published("definitions")
@pytest.mark.parametrize(
    ("name", "by_definition"),
    [
        ("PSI_KPA", 0.45359237 * 9.80665 / 0.0254**2 / 1000.0),
        ("KGF_CM2_KPA", 98.0665),
        ("CUBIC_FOOT_L", 1000.0 * 0.3048**3),
        ("GALLON_US_L", 231.0 * 0.0254**3 * 1000.0),
        ("STANDARD_ATMOSPHERE_KPA", 101.325),
        ("ZERO_CELSIUS_K", 273.15),
    ],
)
def test_each_factor_is_what_its_definition_says(name, by_definition):
    assert getattr(units, name) == pytest.approx(by_definition, rel=1e-15)


@pytest.mark.parametrize("key", ["standard_atmosphere_kpa", "psi_kpa", "bar_kpa", "pound_kg"])
def test_the_data_and_the_core_hold_the_same_definition(key):
    assert sourced("definitions", key).value == getattr(units, key.upper())


def test_a_bare_count_is_a_number_alone():
    assert read_quantity("3", "count") == 3.0
    with pytest.raises(UnreadableQuantity, match="'three' is not a count; write a number alone"):
        read_quantity("three", "count")


@pytest.mark.parametrize("kind", ["weight", "", "no such thing"])
def test_a_kind_that_is_none_is_refused_with_those_there_are(kind):
    with pytest.raises(UnreadableQuantity, match="is no kind of quantity; it is one of pressure"):
        read_quantity("1 kg", kind)
    with pytest.raises(UnreadableQuantity, match="is no kind of quantity"):
        convert(1.0, "kg", kind)
