"""What depth does to breathing, output and oxygen use: both published forms, and laws."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.core.animals import (
    output_factor,
    oxygen_use_factor,
    pressure_factor,
    ventilation_exponential_factor,
    ventilation_linear_factor,
)
from ullage.core.errors import InvalidQuantity

DEPTHS = st.floats(0.0, 5.0)


# Physiology section 3: 0.59, 0.52, 0.38, 0.27 at 0.8, 1.0, 1.5, 2.0 MAC.
@pytest.mark.published("physiology_base")
@pytest.mark.parametrize(("depth", "printed"), [(0.8, 0.59), (1.0, 0.52), (1.5, 0.38), (2.0, 0.27)])
def test_the_exponential_form_gives_the_printed_factors(depth, printed):
    assert ventilation_exponential_factor(depth, 0.65) == pytest.approx(printed, abs=0.005)


# Uptake equation 18 and conflict K-55: 0.65 at 1 MAC, no breathing near 2.9 MAC.
@pytest.mark.published("uptake_base")
def test_the_linear_form_gives_the_printed_factors_and_disagrees_with_the_other():
    assert ventilation_linear_factor(1.0, 0.35) == pytest.approx(0.65)
    assert ventilation_linear_factor(2.857, 0.35, 0.0) == pytest.approx(0.0, abs=1e-3)
    assert ventilation_linear_factor(1.0, 0.35) > ventilation_exponential_factor(1.0, 0.65)


# Bernard 1990, dog, sevoflurane 2 MAC: output -17 +- 6 %, mean aortic pressure -38 +- 4 %.
@pytest.mark.published("physiology_values")
def test_the_working_rules_meet_the_anchor_they_were_proposed_from():
    assert output_factor(2.0, 0.08, 0.5) == pytest.approx(1.0 - 0.17, abs=0.06)
    assert pressure_factor(2.0, 0.20, 0.4) == pytest.approx(1.0 - 0.38, abs=0.04)


@given(DEPTHS, DEPTHS)
def test_deeper_never_breathes_or_pumps_more(one, other):
    shallow, deep = sorted((one, other))

    assert ventilation_exponential_factor(deep, 0.65) <= ventilation_exponential_factor(
        shallow, 0.65
    )
    assert ventilation_linear_factor(deep, 0.35) <= ventilation_linear_factor(shallow, 0.35)
    assert output_factor(deep, 0.2, 0.4) <= output_factor(shallow, 0.2, 0.4)


@given(DEPTHS)
def test_a_factor_is_one_awake_and_never_below_its_floor(depth):
    assert ventilation_linear_factor(0.0, 0.35) == output_factor(0.0, 0.2, 0.4) == 1.0
    assert 0.4 <= output_factor(depth, 0.2, 0.4) <= 1.0


def test_breathing_stops_at_the_apnoeic_index():
    assert ventilation_exponential_factor(2.4, 0.65, apnoea_depth=2.5) > 0.0
    assert ventilation_exponential_factor(2.5, 0.65, apnoea_depth=2.5) == 0.0


def test_ten_kelvin_of_cooling_divide_the_use_of_oxygen_by_its_factor():
    warm = oxygen_use_factor(0.75, 311.15, 311.15, 2.25)

    assert warm == 0.75
    assert oxygen_use_factor(0.75, 301.15, 311.15, 2.25) == pytest.approx(warm / 2.25)


@pytest.mark.parametrize("depth", [-0.1, float("nan")])
def test_a_depth_below_nothing_is_refused(depth):
    with pytest.raises(InvalidQuantity, match="depth"):
        ventilation_exponential_factor(depth, 0.65)
