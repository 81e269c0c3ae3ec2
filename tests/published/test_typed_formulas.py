"""Check rows typed as a person types them: every row here runs through `ullage compute`'s own door.

The numbers are those of ``supply_checks``; each row keeps its own tolerance and its own mark. The
last column says what must be done with the result before it is compared, if anything.
"""

import shlex

import pytest

from tests.published.given import within_tolerance
from ullage.answers.formulas import formula_result
from ullage.core.units import CUBIC_FOOT_L, PSI_KPA
from ullage.reference import HowKnown, fact_rows

ROWS = {row.key: row for row in fact_rows("supply_checks")}

AT_50_PSI = 'gauge_kpa="50 psi" temperature_k="70 F"'
UK_FILL = 'gauge_kpa="137 bar" temperature_k="15 C" condition=15C'
START = 'start_temperature_k="70 F" start_kpa="1 atm"'
E_2000 = 'gauge_kpa="2000 psi" temperature_k="20 C"'
N2O = 'gas="nitrous oxide"'


def as_is(value):
    return value


def psi(value):
    return value / PSI_KPA


def gauge_psi(value):
    return (value - 101.325) / PSI_KPA


def celsius(value):
    return value - 273.15


def percent(value):
    return 100.0 * value


#: Check row, formula, what is typed, what is done with the result.
TYPED = [
    ("C001", "convert", "value=1 unit=psi kind=pressure", as_is),
    ("C002", "convert", "value=1 unit=atm kind=pressure to=psi", as_is),
    ("C003", "convert", "value=1 unit=bar kind=pressure to=psi", as_is),
    ("C004", "convert", "value=1 unit=kg/cm2 kind=pressure to=psi", as_is),
    ("C005", "read_quantity", 'text="1 cu ft" kind=volume', as_is),
    ("C006", "read_quantity", 'text="244 cuft" kind=volume', as_is),
    ("C007", "volume_at_condition_l", "free_l=1000 condition=70F new_condition=15C", as_is),
    ("C008", "volume_at_condition_l", "free_l=1000 condition=70F new_condition=0C", as_is),
    ("C010", "z_factor", 'gas=oxygen temperature_k="20 C" absolute_kpa="214.7 psi"', as_is),
    ("C016", "z_factor", 'gas=oxygen temperature_k="20 C" absolute_kpa="2014.7 psi"', as_is),
    ("C023", "z_factor", 'gas=air temperature_k="68 F" absolute_kpa="2014.7 psi"', as_is),
    ("C028", "contents_l", f"gas=oxygen water_capacity_l=1 {E_2000}", as_is),
    (
        "C032",
        "ideal_contents_l",
        'water_capacity_l=1 gauge_kpa="2200 psi" temperature_k="70 F"',
        as_is,
    ),
    (
        "C034",
        "deliverable_l",
        f'gas=oxygen water_capacity_l=1 {E_2000} stop_gauge_kpa="200 psi"',
        as_is,
    ),
    (
        "C035",
        "contents_l",
        'gas=oxygen water_capacity_l=4.76 gauge_kpa="1900 psig" temperature_k="70 F"',
        as_is,
    ),
    (
        "C036",
        "contents_l",
        f'gas=oxygen water_capacity_l="4,7 L" {UK_FILL}',
        as_is,
    ),
    (
        "C040",
        "contents_l",
        'gas=air water_capacity_l=4.76 gauge_kpa="1900 psi" temperature_k="70 F"',
        as_is,
    ),
    (
        "C043",
        "linear_rule_min",
        'gauge_kpa="2000 psi" residual_kpa="200 psi" factor_l_kpa=0.0406105 flow_l_min="2 L/min"',
        as_is,
    ),
    (
        "C048",
        "linear_rule_factor_l_kpa",
        'full_l="622 L" full_gauge_kpa="2200 psi"',
        lambda value: value * PSI_KPA,
    ),
    ("C050", "endurance_min", "usable_gas_l=651 flow_l_min=1", lambda value: value / 60.0),
    ("C051", "endurance_min", "usable_gas_l=7107 flow_l_min=1", lambda value: value / 60.0),
    (
        "C060",
        "gauge_at_temperature_kpa",
        'gas=oxygen gauge_kpa="2200 psi" temperature_k="70 F" new_temperature_k="0 C"',
        psi,
    ),
    ("C063", "saturation_kpa", f'{N2O} temperature_k="20 C"', gauge_psi),
    ("C064", "saturation_kpa", f'{N2O} temperature_k="70 F"', gauge_psi),
    ("C065", "saturation_temperature_k", f'{N2O} absolute_kpa="750 psi"', celsius),
    ("C066", "saturated_vapour_kg_m3", f'{N2O} temperature_k="21.025 C"', as_is),
    ("C067", "saturated_liquid_kg_m3", f'{N2O} temperature_k="21.025 C"', as_is),
    ("C068", "saturation_temperature_k", f'{N2O} absolute_kpa="500 psi"', celsius),
    ("C070", "critical_temperature_k", N2O, celsius),
    ("C071", "critical_temperature_k", 'gas="carbon dioxide"', celsius),
    ("C072", "saturation_kpa", 'gas="carbon dioxide" temperature_k="70 F"', gauge_psi),
    ("C073", "litres_per_kg", f"{N2O} condition=70F", as_is),
    ("C074", "litres_per_kg", f"{N2O} condition=15C", as_is),
    ("C075", "litres_per_kg", f"{N2O} condition=0C", as_is),
    ("C077", "liquefied_contents_l", f'{N2O} gross_kg="8.10 kg" tare_kg="6900 g"', as_is),
    ("C078", "mass_kg", f"{N2O} free_l=1590", as_is),
    ("C079", "liquid_gone_l", f'{N2O} water_capacity_l=4.76 temperature_k="20 C"', as_is),
    (
        "C083",
        "vapour_contents_l",
        f'{N2O} water_capacity_l=4.76 gauge_kpa="400 psi" temperature_k="20 C"',
        as_is,
    ),
    ("C086", "most_fill_kg", "water_capacity_l=4.76 filling_density=0.68", as_is),
    ("C087", "liquid_full_temperature_k", f"{N2O} mean_density_kg_m3=680", celsius),
    ("C088", "liquid_to_gas_ratio", "condition=70F", as_is),
    ("C089", "liquid_oxygen_gas_l", "liquid_l=1 condition=15C", as_is),
    ("C091", "litres_per_kg", "gas=oxygen", as_is),
    ("C095", "wrong_gas_factor", "tube_gas=oxygen gas=air", as_is),
    ("C096", "wrong_gas_factor", 'tube_gas=oxygen gas="nitrous oxide"', as_is),
    ("C098", "flush_l", 'count=1 seconds_s="10 s" flush_flow_l_min="35 L/min"', as_is),
    ("C099", "flush_l", 'count=1 seconds_s="10 s" flush_flow_l_min="75 L/min"', as_is),
    (
        "C101",
        "orifice_flow_l_min",
        f'gas=air diameter_mm="0.0625 in" discharge_coefficient=1 {AT_50_PSI}',
        lambda value: value / CUBIC_FOOT_L,
    ),
    (
        "C103",
        "orifice_flow_l_min",
        f'gas=oxygen diameter_mm="0.5 mm" discharge_coefficient=0.61 {AT_50_PSI}',
        as_is,
    ),
    ("C105", "critical_pressure_ratio", "heat_capacity_ratio=1.395", as_is),
    ("C106", "choking_gauge_kpa", "heat_capacity_ratio=1.395", psi),
    (
        "C107",
        "pressure_decay_leak_l_min",
        'volume_l="50 mL" fall_kpa="100 psi" elapsed_min="5 min"',
        lambda value: 1000.0 * value,
    ),
    (
        "C109",
        "room_oxygen_after_fraction",
        'room_m3="30 m3" release_l="660 L" mixing=displacement',
        percent,
    ),
    (
        "C110",
        "room_oxygen_after_fraction",
        "room_m3=30 release_l=6900 mixing=displacement",
        percent,
    ),
    (
        "C111",
        "room_oxygen_steady_fraction",
        'room_m3=30 air_changes_per_h="2 ACH" leak_l_min=10',
        percent,
    ),
    (
        "C112",
        "smallest_room_m3",
        'release_l=660 limit_fraction="23.5 %" mixing=displacement',
        as_is,
    ),
    ("C114", "most_leak_share", 'limit_fraction="23.5 %"', as_is),
    ("C115", "room_limit_min", 'room_m3=30 leak_l_min=10 limit_fraction="23.5 %"', as_is),
    (
        "C124",
        "adiabatic_temperature_k",
        f'heat_capacity_ratio=1.395 {START} end_kpa="2029.7 psi"',
        celsius,
    ),
]


@pytest.mark.parametrize(("key", "name", "typed", "then"), TYPED, ids=[row[0] for row in TYPED])
def test_a_check_row_typed_with_its_units_gives_what_the_row_prints(key, name, typed, then):
    given = dict(word.split("=", 1) for word in shlex.split(typed))
    answer = formula_result(name, given)

    assert within_tolerance(then(answer.value), ROWS[key]), (then(answer.value), ROWS[key].value)


def test_half_of_the_rows_are_typed_and_most_marks_are_among_them():
    marks = {ROWS[key].how_known for key, *_ in TYPED}

    assert len({key for key, *_ in TYPED}) == len(TYPED) >= len(ROWS) // 2 - 5
    assert marks >= {HowKnown.SEEN, HowKnown.COMPUTED, HowKnown.MEMORY}
