"""Check rows of the fact base that the tables of values answer by themselves."""

import pytest

from ullage.core.units import convert
from ullage.reference import cylinder_size, fact, sourced

CUBIC_FOOT = "cu ft"


def expected(key):
    """The printed value of a row of ``supply_checks``."""
    number = fact("supply_checks", key).number
    assert number is not None
    return number


# NFPA research foundation note and NFPA 99 (2012) pages: 12 full E stay under 300 cu ft, 13 do not.
@pytest.mark.published("supply_S39")
@pytest.mark.parametrize(("key", "count", "inside"), [("C119", 12, True), ("C120", 13, False)])
def test_twelve_full_e_stay_under_the_open_storage_limit_and_thirteen_do_not(key, count, inside):
    full_l = next(one.volume.value for one in cylinder_size("E").contents)
    stored = convert(count * full_l, "L", "volume", CUBIC_FOOT)

    assert stored == pytest.approx(expected(key), rel=0.002)
    assert (stored <= sourced("storage", "nfpa99.open_cu_ft").value) is inside
    assert sourced("storage", "nfpa99.open_e_cylinders").value == 12


# A study page for installers: normal pressure 20 % either way.
@pytest.mark.published("supply_S64")
@pytest.mark.parametrize(("key", "sign"), [("C121", -1), ("C122", 1)])
def test_the_line_alarm_stands_twenty_percent_from_normal(key, sign):
    normal = sourced("pipeline", "us.nominal_psi").value
    share = sourced("pipeline", "alarm.share").value

    assert normal * (1 + sign * share) == pytest.approx(expected(key), rel=1e-12)


# ISO 7396-1 and HTM 02-01, from memory: 400 kPa less 20 %.
def test_the_line_alarm_of_a_400_kpa_pipeline_is_from_memory():
    row = sourced("pipeline", "alarm.iso_share")
    normal = sourced("pipeline", "iso.nominal_low_kpa").value

    assert normal * (1 - row.value) == pytest.approx(expected("C123"), rel=1e-12)
    assert row.how_known.words == "from memory, not confirmed"


# Klemenzson & Perouansky 2004: 302 and 848 L/h.
@pytest.mark.published("supply_S50")
@pytest.mark.parametrize(("key", "row"), [("C116", "study.low_l_h"), ("C117", "study.stiff_l_h")])
def test_the_drive_gas_of_a_ventilator_reads_in_litres_a_minute(key, row):
    assert sourced("ventilators", row).inside("flow") == pytest.approx(expected(key), rel=0.005)


# Szpisjak & Starrett-Keller 2014: 3.76 L/min at 1000 mL and 10 breaths a minute.
@pytest.mark.published("supply_S51")
def test_the_field_ventilator_draws_less_than_the_minute_volume():
    drawn = sourced("ventilators", "field.compliant_1000_l_min").value

    assert fact("supply_checks", "C118").value == "true"
    assert drawn < 1.0 * 10
    assert drawn / 10 == sourced("ventilators", "factor_k.field_measured_low").value


# A page on the E cylinder (supply_S61): 622 L over 2200 psi.
@pytest.mark.published("supply_S61")
def test_the_factor_of_an_e_comes_from_its_contents():
    printed = next(one for one in cylinder_size("E").contents if one.volume.source == "supply_S61")

    assert printed.volume.low / 2200 == pytest.approx(expected("C048"), abs=0.005)
    assert sourced("linear_rules", "us_e").value == expected("C048")


# Dosch & Tharp after CGA P-2: 660 L at 1900 psi.
@pytest.mark.published("supply_S2")
def test_the_full_factor_of_an_e_is_660_over_1900():
    factor = sourced("linear_rules", "us_e_full").value

    assert factor == pytest.approx(660 / 1900, abs=0.002)
    assert factor == expected("C049")


# A page on oxygen cylinders for welding: 244 cu ft at 2200 psi and 70 °F.
@pytest.mark.published("supply_S12")
def test_the_contents_of_an_h_are_244_cubic_feet():
    printed = next(one for one in cylinder_size("H").contents if one.volume.source == "supply_S12")

    assert printed.volume.value == expected("C006")
    assert convert(244, CUBIC_FOOT, "volume") == pytest.approx(printed.volume.value, rel=0.001)


# Oxygen flush range after ASTM F1850, from two readable pages.
@pytest.mark.published("supply_S20")
@pytest.mark.parametrize(
    ("key", "row"), [("C098", "flush_low_l_min"), ("C099", "flush_high_l_min")]
)
def test_ten_seconds_of_flush(key, row):
    assert sourced("supply", row).value * 10 / 60 == pytest.approx(expected(key), rel=0.005)


# 49 CFR 173.304a for carbon dioxide; the same figure for nitrous oxide is from memory.
@pytest.mark.published("supply_S45")
def test_the_filling_density_of_carbon_dioxide_is_printed_and_that_of_nitrous_oxide_recalled():
    printed = sourced("liquefied", "filling.co2_1800_share")
    recalled = sourced("liquefied", "filling.n2o_us_share")

    assert (printed.value, printed.how_known.value) == (0.68, "seen")
    assert (recalled.value, recalled.how_known.value) == (0.68, "memory")
    assert cylinder_size("E").water_capacity_l * recalled.value == pytest.approx(
        expected("C086"), rel=0.001
    )
