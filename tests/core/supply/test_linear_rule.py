"""The common linear rule as printed, and how far it is from the equation of state."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.core.errors import InvalidQuantity
from ullage.core.gas import Gas, contents_l
from ullage.core.supply import (
    linear_rule_error_share,
    linear_rule_factor_l_kpa,
    linear_rule_l,
    linear_rule_min,
)
from ullage.core.units import PSI_KPA, kelvin


def per_kpa(factor_l_psi):
    return factor_l_psi / PSI_KPA


# Formula and residual: Virginia EMS 2010 (supply S4); factors: S4, S5 (AAOS). supply_checks C043.
@pytest.mark.published("supply_S4")
def test_a_d_size_rule_gives_252_minutes():
    found = linear_rule_min(2000 * PSI_KPA, 200 * PSI_KPA, per_kpa(0.28), 2.0)

    assert found == pytest.approx(252, rel=0.002)


# supply_checks C044 to C046: factors of H/K, M (supply S4, S5) and US G (supply S5).
RULES = [(2200, 3.14, 6280), (2000, 1.56, 2808), (2000, 2.41, 4338)]


@pytest.mark.published("supply_S5")
@pytest.mark.parametrize(("gauge_psi", "factor", "printed"), RULES)
def test_the_rule_gives_the_litres_of_the_trade(gauge_psi, factor, printed):
    found = linear_rule_l(gauge_psi * PSI_KPA, 200 * PSI_KPA, per_kpa(factor))

    assert found == pytest.approx(printed, rel=0.001)


# supply_checks C047: hours = psi / (200 x flow) (supply S15), that is 0.30 L/psi over 60 min.
@pytest.mark.published("supply_S15")
def test_the_quick_rule_of_an_e_gives_22_hours():
    found = linear_rule_min(2200 * PSI_KPA, 0.0, per_kpa(0.30), 0.5)

    assert found / 60 == pytest.approx(22, rel=0.005)


# supply_checks C048 (622 L at 2200 psi, supply S61), C049 (660 L at 1900 psi, supply S2).
@pytest.mark.published("supply_S61")
@pytest.mark.parametrize(
    ("full", "psi", "printed", "tolerance"), [(622, 2200, 0.28, 0.005), (660, 1900, 0.347, 0.002)]
)
def test_a_factor_is_what_a_full_one_is_said_to_hold(full, psi, printed, tolerance):
    found = linear_rule_factor_l_kpa(full, psi * PSI_KPA)

    assert found * PSI_KPA == pytest.approx(printed, abs=tolerance)


# supply_checks C052 to C059: rule against CoolProp; litres of water, L/psi, psi, °C, percent.
ERRORS = [
    (4.76, 0.28, 2000, 20, -19.3),
    (4.76, 0.30, 2000, 20, -13.5),
    (4.76, 0.347, 2000, 20, 0.1),
    (4.76, 0.347, 300, 30, 9.0),
    (43.8, 3.14, 2200, 20, -1.7),
    (43.8, 3.14, 200, 30, 7.6),
    (2.88, 0.16, 2000, 20, -23.7),
    (33.0, 2.41, 300, 30, 9.2),
]


@pytest.mark.comparison
@pytest.mark.parametrize(("water", "factor", "psi", "celsius", "percent"), ERRORS)
def test_the_error_of_the_rule_is_that_of_the_fact_base(water, factor, psi, celsius, percent):
    gauge_kpa, temperature_k = psi * PSI_KPA, kelvin(celsius)
    now = contents_l(Gas.OXYGEN, water, gauge_kpa, temperature_k)
    empty = contents_l(Gas.OXYGEN, water, 0.0, temperature_k)

    found = linear_rule_error_share(gauge_kpa, per_kpa(factor), now, empty)

    assert 100 * found == pytest.approx(percent, abs=0.7)


@given(st.floats(0, 20_000), st.floats(0, 20_000), st.floats(0.01, 5))
def test_the_rule_gives_nothing_at_or_below_its_residual(gauge, residual, factor):
    found = linear_rule_l(gauge, residual, factor)

    assert (found > 0) == (gauge > residual)


def test_a_rule_needs_something_to_compare_with():
    with pytest.raises(InvalidQuantity, match="contents_l - at_zero_l is 0"):
        linear_rule_error_share(1000.0, 0.05, 5.0, 5.0)
    with pytest.raises(InvalidQuantity, match="full_gauge_kpa is 0"):
        linear_rule_factor_l_kpa(660.0, 0.0)
