"""Every row of `supply_checks.csv` at the row's own tolerance.

A row that was computed with the property library compares us with that library: it carries
the mark `comparison` and does not count as published. What others printed, and what was seen
there, carries the mark `published` with the key of its source.
"""

from collections import Counter
from collections.abc import Callable

import pytest

from tests.published.given import Given, given, source_keys, within_tolerance
from ullage.core import gas as g
from ullage.core.exposure import (
    Mixing,
    most_leak_share,
    room_limit_min,
    room_oxygen_after_fraction,
    room_oxygen_steady_fraction,
    smallest_room_m3,
)
from ullage.core.gas import C0, C15, F70, Gas
from ullage.core.supply import demand, sources
from ullage.core.supply.linear_rule import (
    linear_rule_error_share,
    linear_rule_factor_l_kpa,
    linear_rule_l,
    linear_rule_min,
)
from ullage.core.units import PSI_KPA, STANDARD_ATMOSPHERE_KPA, celsius, convert
from ullage.reference import Fact, HowKnown, fact_rows
from ullage.reference import sources as known_sources

ROWS = fact_rows("supply_checks")

Value = Callable[[Given], float]


def converted(unit: str, kind: str, to: str, name: str) -> Value:
    return lambda row: convert(row.number(name), unit, kind, to)


def z(gas: Gas) -> Value:
    return lambda row: g.z_factor(
        gas, row.temperature_k, row.kpa("gauge") + STANDARD_ATMOSPHERE_KPA
    )


def contents(gas: Gas, water_l: float | None = None) -> Value:
    def found(row: Given) -> float:
        capacity = water_l or row.number("water_L")
        return g.contents_l(
            gas, capacity, row.kpa("gauge"), row.temperature_k, condition=row.condition
        )

    return found


def left_when_liquid_is_gone(gas: Gas) -> Value:
    return lambda row: g.liquid_gone_l(gas, row.number("water_L"), row.temperature_k)


def saturated(value: Callable[[Gas, float], float]) -> Value:
    def found(row: Given) -> float:
        at = g.saturation_temperature_k(row.gas, PSI_KPA * row.number("abs_psi"))
        return value(row.gas, at)

    return found


def psi(kpa: float) -> float:
    return kpa / PSI_KPA


def deliverable(row: Given) -> float:
    first, last = (PSI_KPA * row.number(name) for name in ("gauge_from", "gauge_to"))
    return g.deliverable_l(Gas.OXYGEN, 1.0, first, last, row.temperature_k)


def at_another_temperature(row: Given) -> float:
    first = PSI_KPA * row.number("gauge_psi_at_21.111C")
    there = F70.temperature_k
    return psi(g.gauge_at_temperature_kpa(row.gas, first, there, row.temperature_k))


def linear_error_percent(row: Given) -> float:
    held, at_zero = (
        g.contents_l(Gas.OXYGEN, row.number("water_L"), gauge, row.temperature_k)
        for gauge in (row.kpa("gauge"), 0.0)
    )
    factor = row.number("factor") / PSI_KPA
    return 100.0 * linear_rule_error_share(row.kpa("gauge"), factor, held, at_zero)


def rule_litres(row: Given) -> float:
    factor = row.number("factor") / PSI_KPA
    return linear_rule_l(row.kpa("gauge"), row.kpa("residual"), factor)


def rule_minutes(row: Given) -> float:
    factor = row.number("factor") / PSI_KPA
    flow = row.number("flow_L_min")
    return linear_rule_min(row.kpa("gauge"), row.kpa("residual"), factor, flow)


def altitude_factor(value: Callable[[float], float]) -> Value:
    def found(row: Given) -> float:
        if "altitude_m" in row.words:
            return value(g.standard_atmosphere_kpa(row.number("altitude_m")))
        return value(row.number("pressure_kPa"))

    return found


def orifice_l_min(gas: Gas, diameter_mm: Callable[[Given], float]) -> Value:
    return lambda row: g.orifice_flow_l_min(
        gas, diameter_mm(row), row.number("Cd"), row.kpa("gauge"), F70.temperature_k
    )


def scfm(row: Given) -> float:
    litres = orifice_l_min(Gas.AIR, lambda one: 25.4 * one.number("diameter_in"))(row)
    return convert(litres, "L/min", "flow", "cu ft/min")


def decay(row: Given) -> float:
    """A closed section in mL/min, a cylinder left open in L/min, as the rows say it."""
    volume, minutes = row.number("volume_L"), row.number("minutes")
    if "drop_psi" in row.words:
        fall = PSI_KPA * row.number("drop_psi")
        return 1000.0 * g.pressure_decay_leak_l_min(volume, fall, minutes)
    first, last = (PSI_KPA * row.number(name) for name in ("from_psi", "to_psi"))
    return g.contents_leak_l_min(Gas.OXYGEN, volume, first, last, row.temperature_k, minutes)


def after_release_percent(row: Given) -> float:
    mixing = Mixing(row.words["mode"])
    share = room_oxygen_after_fraction(
        row.number("room_m3"), row.number("release_L"), mixing=mixing
    )
    return 100.0 * share


def compressed_celsius(row: Given) -> float:
    end = row.kpa("to_gauge") + STANDARD_ATMOSPHERE_KPA
    start = (F70.temperature_k, STANDARD_ATMOSPHERE_KPA)
    return celsius(g.adiabatic_temperature_k(row.number("gamma"), *start, end))


def alarm(sign: float) -> Value:
    def found(row: Given) -> float:
        nominal = row.words.get("nominal_psi") or row.words["nominal_kPa"]
        return float(nominal) * (1.0 + sign * row.number("band"))

    return found


def drive_gas_is_less(row: Given) -> float:
    minute_volume = row.number("minute_volume_L_min")
    factor = row.number("drive_L_min") / minute_volume
    return float(demand.drive_gas_l_min(minute_volume, factor) < minute_volume)


COMPUTED: dict[str, Value] = {
    "psi_to_kPa": converted("psi", "pressure", "kPa", "psi"),
    "atm_to_psi": converted("atm", "pressure", "psi", "atm"),
    "bar_to_psi": converted("bar", "pressure", "psi", "bar"),
    "kgf_cm2_to_psi": converted("kgf/cm2", "pressure", "psi", "kgf_cm2"),
    "cuft_to_L": converted("cuft", "volume", "L", "cuft"),
    "L_per_h_to_L_per_min": converted("L/h", "flow", "L/min", "L_per_h"),
    "volume_70F_to_15C": lambda row: g.volume_at_condition_l(row.number("V_70F"), F70, C15),
    "volume_70F_to_0C": lambda row: g.volume_at_condition_l(row.number("V_70F"), F70, C0),
    "Z_oxygen": z(Gas.OXYGEN),
    "Z_air": z(Gas.AIR),
    "free_oxygen_per_L_water": contents(Gas.OXYGEN, 1.0),
    "free_air_per_L_water": contents(Gas.AIR, 1.0),
    "ideal_gas_oxygen_per_L_water": lambda row: g.ideal_contents_l(
        1.0, row.kpa("gauge"), row.temperature_k
    ),
    "deliverable_oxygen_per_L_water": deliverable,
    "oxygen_contents_E_US": contents(Gas.OXYGEN),
    "oxygen_contents_E_UK": contents(Gas.OXYGEN),
    "oxygen_contents_D_UK": contents(Gas.OXYGEN),
    "oxygen_contents_J_UK": contents(Gas.OXYGEN),
    "oxygen_contents_H_US": contents(Gas.OXYGEN),
    "oxygen_contents_E_aluminium": contents(Gas.OXYGEN),
    "air_contents_E_US": contents(Gas.AIR),
    "duration_rule": rule_minutes,
    "available_litres_rule": rule_litres,
    "duration_hours_E_quick": lambda row: (
        sources.endurance_min(row.number("gauge_psi") * 0.30, row.number("flow_L_min")) / 60.0
    ),
    "factor_from_contents": lambda row: (
        linear_rule_factor_l_kpa(row.number("full_L"), row.kpa("full")) * PSI_KPA
    ),
    "duration_no_reserve": lambda row: (
        sources.endurance_min(row.number("contents_L"), row.number("flow_L_min")) / 60.0
    ),
    "linear_rule_error_percent": linear_error_percent,
    "gauge_at_temperature_constant_mass": at_another_temperature,
    "saturation_gauge_pressure": lambda row: psi(
        g.saturation_kpa(row.gas, row.temperature_k) - STANDARD_ATMOSPHERE_KPA
    ),
    "saturation_temperature": saturated(lambda _, at: celsius(at)),
    "saturated_vapour_density": saturated(g.saturated_vapour_kg_m3),
    "saturated_liquid_density": saturated(g.saturated_liquid_kg_m3),
    "critical_temperature": lambda row: celsius(g.critical_temperature_k(row.gas)),
    "gas_litres_per_kg": lambda row: g.litres_per_kg(row.gas, row.condition),
    "n2o_litres_from_weight": lambda row: g.liquefied_contents_l(
        Gas.NITROUS_OXIDE, row.number("gross_kg"), row.number("tare_kg"), row.condition
    ),
    "n2o_mass_from_litres": lambda row: g.mass_kg(
        Gas.NITROUS_OXIDE, row.number("litres"), row.condition
    ),
    "n2o_litres_left_when_liquid_gone": left_when_liquid_is_gone(Gas.NITROUS_OXIDE),
    "co2_litres_left_when_liquid_gone": left_when_liquid_is_gone(Gas.CARBON_DIOXIDE),
    "n2o_fraction_left_when_liquid_gone": lambda row: (
        left_when_liquid_is_gone(Gas.NITROUS_OXIDE)(row) / row.number("full_L")
    ),
    "n2o_vapour_contents": contents(Gas.NITROUS_OXIDE),
    "n2o_Z_saturated_vapour": lambda row: g.z_factor(
        Gas.NITROUS_OXIDE, row.temperature_k, g.saturation_kpa(Gas.NITROUS_OXIDE, row.temperature_k)
    ),
    "n2o_max_fill_mass": lambda row: g.most_fill_kg(
        row.number("water_L"), row.number("filling_density_percent") / 100.0
    ),
    "liquid_full_temperature": lambda row: celsius(
        g.liquid_full_temperature_k(row.gas, row.number("mean_density_kg_m3"))
    ),
    "liquid_to_gas_ratio": lambda row: g.liquid_to_gas_ratio(row.condition),
    "va_meter_actual_over_indicated_altitude": altitude_factor(g.ambient_flow_factor),
    "va_meter_standard_over_indicated_altitude": altitude_factor(g.standard_flow_factor),
    "va_meter_wrong_gas_factor": lambda row: g.wrong_gas_factor(Gas.OXYGEN, row.gas),
    "flush_volume": lambda row: demand.flush_l(1, row.number("seconds"), row.number("flow_L_min")),
    "orifice_air_scfm": scfm,
    "orifice_oxygen_L_min": orifice_l_min(Gas.OXYGEN, lambda row: row.number("diameter_mm")),
    "critical_pressure_ratio": lambda row: g.critical_pressure_ratio(row.number("gamma")),
    "minimum_gauge_for_choking": lambda row: psi(g.choking_gauge_kpa(row.number("gamma"))),
    "pressure_decay_leak": decay,
    "room_O2_after_release": after_release_percent,
    "room_O2_steady": lambda row: (
        100.0
        * room_oxygen_steady_fraction(
            row.number("room_m3"), row.number("ach"), row.number("leak_L_min")
        )
    ),
    "min_room_for_full_release_23.5": lambda row: smallest_room_m3(
        row.number("release_L"), 0.235, mixing=Mixing.DISPLACEMENT
    ),
    "max_leak_fraction_of_fresh_air_23.5": lambda row: most_leak_share(
        row.number("limit"), air_fraction=row.number("ambient")
    ),
    "time_to_23.5_no_ventilation": lambda row: room_limit_min(
        row.number("room_m3"), row.number("leak_L_min"), 0.235
    ),
    "drive_gas_below_minute_volume": drive_gas_is_less,
    "cylinders_within_300_cuft": lambda row: convert(
        row.number("contents_L") * row.number("count"), "L", "volume", "cu ft"
    ),
    "pipeline_alarm_low": alarm(-1.0),
    "pipeline_alarm_high": alarm(+1.0),
    "adiabatic_compression_temperature": compressed_celsius,
}


def kind(row: Fact) -> str:
    """How a row is known; one computed with the property library is a comparison."""
    if "CoolProp" in row.source or "EOS" in row.source:
        return "comparison"
    return "published" if row.how_known is HowKnown.SEEN else row.how_known.value


def marked(row: Fact) -> pytest.param:
    marks = [pytest.mark.comparison] if kind(row) == "comparison" else []
    if kind(row) == "published":
        marks = [pytest.mark.published(key) for key in source_keys(row)]
    return pytest.param(row, id=f"{row.key}-{kind(row)}", marks=marks)


@pytest.mark.parametrize("row", [marked(row) for row in ROWS])
def test_a_check_row_is_met_at_its_own_tolerance(row):
    found = COMPUTED[row.quantity](given(row))

    if row.value == "true":
        assert found == 1.0
    else:
        assert within_tolerance(found, row), f"{found:.6g} against {row.value} {row.unit}"


def test_no_quantity_is_left_out_and_none_is_made_up():
    assert set(COMPUTED) == {row.quantity for row in ROWS}


def test_the_kinds_are_counted_apart():
    found = Counter(kind(row) for row in ROWS)

    assert sum(found.values()) == 124
    assert found == {"comparison": 55, "computed": 21, "published": 37, "memory": 11}


def test_a_published_row_names_sources_that_we_know():
    published = [row for row in ROWS if kind(row) == "published"]

    assert all(source_keys(row) for row in published)
    assert {key for row in ROWS for key in source_keys(row)} <= set(known_sources())


def test_every_source_of_the_table_is_checked_by_a_row():
    named = {key for row in ROWS for key in source_keys(row)}
    checked = {key for row in ROWS if row.quantity in COMPUTED for key in source_keys(row)}

    assert named == checked
    assert len(named) > 20


@pytest.mark.parametrize(
    ("tolerance", "found", "met"),
    [
        ("rel:0.01", 101.0, True),
        ("rel:0.01", 101.1, False),
        ("abs:2", 98.0, True),
        ("abs:2", 97.9, False),
        ("exact", 100.0, True),
        ("exact", 100.001, False),
    ],
)
def test_a_tolerance_is_neither_wider_nor_narrower_than_it_says(tolerance, found, met):
    row = Fact(table="t", key="k", quantity="q", value="100", spread=tolerance)

    assert within_tolerance(found, row) is met
