"""All 640 rows of `eos_tables.csv` and all 49 of `saturation_n2o_co2.csv`.

Both tables were computed with the property library: these are comparisons, not published
checks. Tolerance: half of the last digit printed.

Our Z takes the gas constant of each equation of state, so that Z is 1 at low pressure. The
tables took today's molar gas constant (CODATA 2018, exact) with the molar masses below, which
moves Z by up to 0.00002, and that of air by 0.0003. Litres and densities are not touched.
"""

import csv
from pathlib import Path

import pytest

import ullage.reference
from tests.published.given import GASES
from ullage.core import gas as g
from ullage.core.gas import C15, F70, Gas
from ullage.core.units import PSI_KPA, STANDARD_ATMOSPHERE_KPA, kelvin

FACTS = Path(ullage.reference.__file__).parent / "data" / "facts"

MOLAR_GAS_CONSTANT_J_MOL_K = 8.314462618
MOLAR_MASS_G_MOL = {
    "O2": 31.9988,
    "air": 28.9586,
    "N2": 28.0134,
    "He": 4.002602,
    "N2O": 44.0128,
    "CO2": 44.0098,
}


def rows_of(name: str) -> list[dict[str, str]]:
    with (FACTS / name).open(encoding="utf-8", newline="") as opened:
        return list(csv.DictReader(opened))


EOS = rows_of("eos_tables.csv")
SATURATION = rows_of("saturation_n2o_co2.csv")


def agrees(found: float, printed: str) -> bool:
    """Whether a number rounds to the one printed, save the 1e-7 by which our tables may miss."""
    decimals = len(printed.partition(".")[2])
    return abs(found - float(printed)) <= 0.5 * 10.0**-decimals + 1e-7 * abs(found)


def z_of_table(name: str, temperature_k: float, absolute_kpa: float) -> float:
    """Z as the tables take it: our density, their constants."""
    moles_m3 = 1000.0 * g.density_kg_m3(GASES[name], temperature_k, absolute_kpa)
    moles_m3 /= MOLAR_MASS_G_MOL[name]
    return 1000.0 * absolute_kpa / (moles_m3 * MOLAR_GAS_CONSTANT_J_MOL_K * temperature_k)


def per_litre(row: dict[str, str]) -> dict[str, float]:
    gas, kelvins = GASES[row["gas"]], kelvin(float(row["temp_C"]))
    gauge = PSI_KPA * float(row["gauge_psi"])
    return {
        "free_L_per_L_water_70F_1atm": g.contents_l(gas, 1.0, gauge, kelvins, condition=F70),
        "free_L_per_L_water_15C_1atm": g.contents_l(gas, 1.0, gauge, kelvins, condition=C15),
        "deliverable_L_per_L_water_70F_1atm": g.deliverable_l(gas, 1.0, gauge, 0.0, kelvins),
        "ideal_gas_L_per_L_water_70F_1atm": g.ideal_contents_l(1.0, gauge, kelvins),
    }


@pytest.mark.comparison
@pytest.mark.parametrize("row", EOS, ids=lambda r: f"{r['gas']}-{r['temp_C']}-{r['gauge_psi']}")
def test_contents_agree_with_the_table_to_its_last_digit(row):
    wrong = {
        name: (found, row[name])
        for name, found in per_litre(row).items()
        if not agrees(found, row[name])
    }

    assert not wrong


@pytest.mark.comparison
@pytest.mark.parametrize("row", EOS, ids=lambda r: f"{r['gas']}-{r['temp_C']}-{r['gauge_psi']}")
def test_z_agrees_with_the_table_to_its_last_digit(row):
    kelvins = kelvin(float(row["temp_C"]))
    absolute = PSI_KPA * float(row["gauge_psi"]) + STANDARD_ATMOSPHERE_KPA

    assert agrees(z_of_table(row["gas"], kelvins, absolute), row["Z"])
    assert abs(g.z_factor(GASES[row["gas"]], kelvins, absolute) - float(row["Z"])) < 0.00035


@pytest.mark.comparison
@pytest.mark.parametrize("row", SATURATION, ids=lambda r: f"{r['gas']}-{r['temp_C']}")
def test_saturation_agrees_with_the_table_to_its_last_digit(row):
    gas, kelvins = GASES[row["gas"]], kelvin(float(row["temp_C"]))
    gauge = g.saturation_kpa(gas, kelvins) - STANDARD_ATMOSPHERE_KPA
    found = {
        "sat_gauge_psi": gauge / PSI_KPA,
        "sat_gauge_bar": gauge / 100.0,
        "rho_liquid_kg_m3": g.saturated_liquid_kg_m3(gas, kelvins),
        "rho_vapour_kg_m3": g.saturated_vapour_kg_m3(gas, kelvins),
        "Z_sat_vapour": z_of_table(row["gas"], kelvins, g.saturation_kpa(gas, kelvins)),
        "vapour_free_L_per_L_water_70F": g.liquid_gone_l(gas, 1.0, kelvins),
    }
    wrong = {
        name: (value, row[name]) for name, value in found.items() if not agrees(value, row[name])
    }

    assert not wrong


def test_the_tables_are_whole():
    assert len(EOS) == 640
    assert len(SATURATION) == 49
    assert {GASES[row["gas"]] for row in EOS} == {*(Gas.OXYGEN, Gas.AIR, Gas.NITROGEN, Gas.HELIUM)}


@pytest.mark.parametrize(
    ("found", "printed", "so"),
    [(0.95704, "0.957", True), (0.9576, "0.957", False), (12.5, "12", True), (12.6, "12", False)],
)
def test_agreement_means_the_last_printed_digit(found, printed, so):
    assert agrees(found, printed) is so
