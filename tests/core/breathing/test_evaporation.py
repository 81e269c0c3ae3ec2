"""A drop of liquid in a still chamber, on paper."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.core.breathing import evaporated_fraction, liquid_for_level_ml
from ullage.core.errors import InvalidQuantity


@pytest.mark.parametrize(("constants", "share"), [(1, 0.63), (2, 0.86), (3, 0.95), (4, 0.98)])
def test_a_level_comes_to_the_shares_of_the_textbooks(constants, share):
    """uptake.md equation 9: 63, 86, 95, 98 % after 1 to 4 time constants."""
    assert evaporated_fraction(1.0, 0.6, 0.6 * constants) == pytest.approx(share, abs=0.005)


@given(st.floats(0.001, 0.2), st.floats(0.05, 5.0), st.floats(0.0, 60.0), st.floats(0.0, 60.0))
def test_a_level_rises_towards_its_end_and_never_past_it(final, tau, one, other):
    early, late = sorted((one, other))
    levels = [evaporated_fraction(final, tau, minute) for minute in (early, late)]

    assert 0.0 <= levels[0] <= levels[1] <= final


def test_a_millilitre_of_isoflurane_fills_a_chamber_on_paper():
    """195 mL of vapour for each mL of liquid at 20 °C: 1 mL makes 1.95 % of 10 L."""
    assert liquid_for_level_ml(10.0, 0.0195, 195.0) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: evaporated_fraction(1.2, 0.6, 1.0), r"final_fraction is 1\.2"),
        (lambda: evaporated_fraction(0.02, 0.0, 1.0), "evaporation_min is 0"),
        (lambda: evaporated_fraction(0.02, 0.6, float("nan")), "after_min is nan"),
        (lambda: liquid_for_level_ml(0.0, 0.02, 195.0), "volume_l is 0"),
        (lambda: liquid_for_level_ml(1.0, 0.02, 0.0), "vapour_per_liquid_l_l is 0"),
    ],
)
def test_what_cannot_be_is_refused(call, words):
    with pytest.raises(InvalidQuantity, match=words):
        call()
