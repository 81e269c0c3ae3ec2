"""The common linear rules: which fits a cylinder, what it comes to on paper, on whose word."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.answers.paper import usable
from ullage.answers import cylinder_lasts
from ullage.answers.linear import linear_rules
from ullage.answers.things import Cylinder, Reading, ReservePolicy
from ullage.core.gas import Gas

PSI = 6.894757293168361
E = Cylinder(gas=Gas.OXYGEN, water_capacity_l=4.76)
ODD = replace(E, water_capacity_l=6.0)


def rule(cylinder, label):
    return next(one for one in linear_rules(cylinder) if one.label.endswith(label))


# supply_S4: 0.28 L/psi for an E, less 200 psi.
@pytest.mark.published("supply_S4")
@pytest.mark.parametrize(("psi", "usable_l"), [(2000, 504.0), (1000, 224.0), (200, 0.0)])
def test_the_factor_of_an_e_times_what_is_above_200_psi(psi, usable_l):
    assert rule(E, "0.28 L/psi").usable_l(psi * PSI) == pytest.approx(usable_l, abs=1e-6)


def test_below_the_residual_a_rule_gives_nothing():
    assert rule(E, "0.28 L/psi").usable_l(100 * PSI) == 0.0
    assert rule(ODD, "water capacity times bar").usable_l(0.0) == 0.0


def test_where_no_size_fits_water_capacity_times_bar_is_the_rule():
    (only,) = linear_rules(ODD)

    # 6 L x (100 - 13.79) bar.
    assert only.usable_l(10_000.0) == pytest.approx(6 * (100 - 200 * PSI / 100), rel=1e-9)
    assert only.where_from.how_known == "memory"


@pytest.mark.parametrize(
    ("water", "fits"), [(4.76, True), (4.70, True), (4.85, True), (5.3, False)]
)
def test_a_factor_belongs_to_its_size_within_two_percent(water, fits):
    labels = [one.label for one in linear_rules(replace(E, water_capacity_l=water))]

    assert any("L/psi" in label for label in labels) is fits


@pytest.mark.parametrize("gas", [Gas.AIR, Gas.NITROGEN, Gas.HELIUM])
def test_the_factors_are_of_oxygen_alone(gas):
    labels = [one.label for one in linear_rules(replace(E, gas=gas))]

    assert labels == ["Common linear rule, water capacity times bar"]


@pytest.mark.parametrize("gas", [Gas.NITROUS_OXIDE, Gas.CARBON_DIOXIDE])
def test_a_liquefied_gas_has_no_linear_rule(gas):
    assert linear_rules(replace(E, gas=gas)) == ()


def test_a_rule_is_shown_with_its_source_and_never_chosen_by_itself():
    view = rule(E, "0.28 L/psi").view("224 min")

    assert (view.result, view.source, view.how_known, view.chosen) == (
        "224 min",
        "supply_S4",
        rule(E, "0.28 L/psi").where_from.how_known,
        False,
    )


def test_the_error_beside_a_rule_is_that_against_the_real_gas():
    answer = cylinder_lasts(
        E, Reading(at_min=0, gauge_kpa=1500 * PSI), 2.0, ReservePolicy(pressure_kpa=200 * PSI)
    )
    view = next(one for one in answer.views if one.label.endswith("0.28 L/psi"))
    by_rule, real = 0.28 * 1300 / 2, usable(4.76, 1500 * PSI, 200 * PSI) / 2

    assert view.result == f"{by_rule:.0f} min ({100 * (by_rule / real - 1):+.0f} %)"


@settings(max_examples=40, deadline=None)
@given(st.floats(200, 3000), st.floats(1.0, 2.0))
def test_a_rule_is_a_straight_line_above_its_residual(psi, scale):
    one = rule(E, "0.28 L/psi")
    above = one.usable_l((200 + (psi - 200) * scale) * PSI)

    assert above == pytest.approx(one.usable_l(psi * PSI) * scale, rel=1e-9, abs=1e-6)
