"""The ending of a name says its unit, and people may type any unit of its kind."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.answers.endings import ENDINGS, ending_of, read_named, unit_by_name
from ullage.core.errors import UnreadableQuantity
from ullage.core.units import KINDS


@pytest.mark.parametrize(
    ("name", "unit"),
    [
        ("gauge_kpa", "kPa"),
        ("flow_l_min", "L/min"),
        ("ends_min", "min"),
        ("water_capacity_l", "L"),
        ("contents_many_l", "L"),
        ("gauge_kpa_from_contents_many", "kPa"),
        ("air_changes_per_h", "/h"),
        ("temperature_band_k", "K"),
        ("density_kg_m3", "kg/m³"),
        ("leak_share", "1"),
        ("z_factor", "1"),
        ("m", "1"),
    ],
)
def test_the_longest_known_ending_wins(name, unit):
    assert unit_by_name(name) == unit


def test_every_kind_of_an_ending_knows_its_unit():
    for ending in ENDINGS.values():
        assert not ending.kind or ending.unit in KINDS[ending.kind]


@pytest.mark.parametrize(
    ("name", "text", "value"),
    [
        ("gauge_kpa", "1900 psi", 13_100.04),
        ("gauge_kpa", "131 bar", 13_100.0),
        ("gauge_kpa", "13100", 13_100.0),
        ("temperature_k", "70 °F", 294.2611),
        ("temperature_k", "20 C", 293.15),
        ("temperature_band_k", "5 °C", 5.0),
        ("temperature_band_k", "9 °F", 5.0),
        ("diameter_mm", "1 in", 25.4),
        ("elapsed_min", "2 h 30 min", 150.0),
        ("seconds_s", "2 min", 120.0),
        ("volume_m3", "1000 L", 1.0),
        ("error_share", "2.5 %", 0.025),
        ("density_kg_m3", "700 kg/m³", 700.0),
        ("density_kg_m3", "700", 700.0),
        ("discharge_coefficient", "0,61", 0.61),
    ],
)
def test_a_value_is_read_in_the_unit_of_its_name(name, text, value):
    assert read_named(name, text) == pytest.approx(value, rel=1e-6)


@pytest.mark.parametrize(
    ("name", "text", "sentence"),
    [
        ("gauge_kpa", "1900 furlong", "gauge_kpa: 'furlong' is not a unit of pressure"),
        ("flow_l_min", "two", "flow_l_min: 'two' is not a flow"),
        ("discharge_coefficient", "0.6 m", "discharge_coefficient: "),
        ("gauge_kpa", "nan", "gauge_kpa: 'nan' is not a pressure"),
    ],
)
def test_what_cannot_be_read_names_the_parameter(name, text, sentence):
    with pytest.raises(UnreadableQuantity, match=sentence):
        read_named(name, text)


@given(st.floats(min_value=0.001, max_value=30_000.0))
def test_a_pressure_typed_in_bar_is_a_hundred_times_as_many_kilopascal(bar):
    assert read_named("gauge_kpa", f"{bar!r} bar") == pytest.approx(100.0 * bar)


def test_an_ending_without_a_kind_takes_a_bare_number():
    assert ending_of("density_kg_m3").kind == ""
    assert read_named("heat_j_kg", "170") == 170.0
