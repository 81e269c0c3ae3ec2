"""What changes a MAC: studies, and laws."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.core.agents import (
    anaesthetic_depth,
    mac_at_age_fraction,
    mac_at_pressure_fraction,
    mac_at_temperature_fraction,
    mac_emax_fraction,
    mac_reduced_fraction,
    mac_with_nitrous_oxide_fraction,
)
from ullage.core.errors import InvalidQuantity

SHARES = st.floats(0.0, 0.9)


# Mapleson 1996: MAC falls by about 6 % for each decade.
@pytest.mark.published("agents_values")
def test_ten_years_take_six_per_cent():
    older = mac_at_age_fraction(0.0117, 50.0, 0.00269, 40.0)

    assert 1.0 - older / 0.0117 == pytest.approx(0.06, abs=0.005)


# Label of desflurane: 7.3 % at age 25 against 6.6 at 40 (Mapleson 1996): a check of the line.
@pytest.mark.published("agents_values")
def test_a_young_adult_of_the_label_is_met_within_the_confidence_limits():
    assert mac_at_age_fraction(0.066, 25.0, 0.00269, 40.0) == pytest.approx(0.073, rel=0.02)


# Ferret, halothane: -16 % from 37 to 29.9 °C, about 2.3 % for each degree.
@pytest.mark.published("agents_values")
def test_the_ferret_of_the_study_is_met_with_its_own_slope_and_missed_with_the_recommended():
    own = mac_at_temperature_fraction(0.0101, 303.05, 310.15, 0.023)
    recommended = mac_at_temperature_fraction(0.0101, 303.05, 310.15, 0.04)

    assert 1.0 - own / 0.0101 == pytest.approx(0.16, abs=0.01)
    assert 1.0 - recommended / 0.0101 == pytest.approx(0.28, abs=0.01)


# Conventional swine 1985: isoflurane 1.55 %, with 50 and 66 % nitrous oxide 1.03 and 0.95 %.
# Horse, halothane: -12 % at 25 % (Steffey & Howland 1978). Ferret: -26 % at 70 %.
@pytest.mark.published("agents_values")
@pytest.mark.parametrize(
    ("alone", "nitrous", "nitrous_mac", "fall", "allowed"),
    [
        (0.0155, 0.50, 1.60, 0.335, 0.03),
        (0.0155, 0.66, 1.60, 0.387, 0.03),
        (0.0093, 0.25, 2.05, 0.12, 0.01),
        (0.0101, 0.70, 2.55, 0.26, 0.02),
    ],
)
def test_nitrous_oxide_takes_off_what_studies_found(alone, nitrous, nitrous_mac, fall, allowed):
    left = mac_with_nitrous_oxide_fraction(alone, nitrous, nitrous_mac)

    assert 1.0 - left / alone == pytest.approx(fall, abs=allowed)


# Acevedo-Arcique 2014, dog: lidocaine 27.3 and dexmedetomidine 43.4 %; both together 60.9 %. As a
# product 58.9; as a sum it would be 70.7.
@pytest.mark.published("agents_values")
def test_two_drugs_together_are_a_product_and_not_a_sum():
    together = 1.0 - mac_reduced_fraction(1.0, (0.273, 0.434))

    assert together == pytest.approx(0.589, abs=0.001)
    assert abs(together - 0.609) < abs(0.707 - 0.609)


# Ebner 2013, dog: 30 and 55 %; both 90 %. A product gives 68.5: the honest miss of the rule.
@pytest.mark.published("agents_values")
def test_the_synergistic_case_is_missed_and_the_miss_is_known():
    together = 1.0 - mac_reduced_fraction(1.0, (0.30, 0.55))

    assert together == pytest.approx(0.685, abs=0.001)
    assert together < 0.90


# Escobar 2012, cat: MAC = 2.07 - 1.76 C/(1.05 + C); least predicted 0.38 %.
@pytest.mark.published("agents_values")
def test_dexmedetomidine_in_the_cat_falls_to_its_floor():
    assert mac_emax_fraction(0.0207, 0.0176, 0.0, 1.05) == 0.0207
    assert 100 * mac_emax_fraction(0.0207, 0.0176, 25.0, 1.05) == pytest.approx(0.38, abs=0.01)


@given(st.lists(SHARES, max_size=5))
def test_the_order_of_drugs_does_not_matter_and_none_adds_to_mac(shares):
    left = mac_reduced_fraction(0.0128, shares)

    assert left == pytest.approx(mac_reduced_fraction(0.0128, shares[::-1]))
    assert 0.0 < left <= 0.0128


@given(st.floats(0.005, 0.1), st.floats(50.0, 110.0))
def test_the_partial_pressure_of_one_mac_is_the_same_everywhere(mac, pressure):
    assert mac_at_pressure_fraction(mac, pressure) * pressure == pytest.approx(mac * 101.325)


@given(st.floats(0.0, 0.05), st.floats(0.0, 0.7))
def test_depth_adds_and_an_agent_at_its_mac_is_one(agent, nitrous):
    whole = anaesthetic_depth((agent, nitrous), (0.0128, 2.0))

    assert whole == pytest.approx(agent / 0.0128 + nitrous / 2.0)
    assert anaesthetic_depth((0.0128,), (0.0128,)) == 1.0


def test_what_does_not_fit_is_refused():
    with pytest.raises(InvalidQuantity, match="2 values"):
        anaesthetic_depth((0.01, 0.5), (0.0128,))
    with pytest.raises(InvalidQuantity, match=r"reduction is 1\.2"):
        mac_reduced_fraction(0.01, (1.2,))
    with pytest.raises(InvalidQuantity, match="temperature_k"):
        mac_at_temperature_fraction(0.02, 290.0, 310.15, 0.04)
    with pytest.raises(InvalidQuantity, match="age_years"):
        mac_at_age_fraction(0.0117, 0.1, 0.00269, 40.0)
