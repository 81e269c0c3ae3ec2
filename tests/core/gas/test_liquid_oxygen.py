import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.core import gas as g
from ullage.core.errors import InvalidQuantity
from ullage.core.gas import C0, C15, F70, Gas

litres = st.floats(0.0, 5000.0)


# S57, International Fire Code 2018 table G101.2: 1 L is 0.861 m3 and 1.142 kg, 1 kg 0.754 m3.
@pytest.mark.published("supply_S57")
def test_a_litre_of_liquid_is_what_the_fire_code_prints():
    assert g.liquid_oxygen_gas_l(1.0) / 1000.0 == pytest.approx(0.861, abs=0.0006)
    assert g.liquid_oxygen_kg(1.0) == pytest.approx(1.142, abs=0.001)
    assert g.litres_per_kg(Gas.OXYGEN) / 1000.0 == pytest.approx(0.754, abs=0.0005)


# Supply fact 9: the same liquid at 70 °F, 15 °C and 0 °C; computed.
@pytest.mark.comparison
@pytest.mark.parametrize(("condition", "ratio"), [(F70, 860.5), (C15, 842.6), (C0, 798.6)])
def test_three_printed_ratios_are_one_liquid(condition, ratio):
    assert g.liquid_to_gas_ratio(condition) == pytest.approx(ratio, abs=0.1)


@given(litres)
def test_volume_and_mass_make_the_same_gas(liquid):
    by_mass = g.liquid_oxygen_kg(liquid) * g.litres_per_kg(Gas.OXYGEN)

    assert g.liquid_oxygen_gas_l(liquid) == pytest.approx(by_mass)


@given(st.floats(0.0, 1.0), st.floats(1.0, 500.0), st.floats(0.0, 0.1), st.floats(0.0, 1e5))
def test_a_vessel_that_stands_loses_and_never_gains(full_share, capacity, loss, minutes):
    filled = full_share * capacity
    left = g.liquid_oxygen_left_kg(filled, capacity, loss, minutes)

    assert 0.0 <= left <= filled
    assert g.liquid_oxygen_left_kg(filled, capacity, loss, 0.0) == filled


@given(st.floats(1.0, 500.0), st.floats(0.001, 0.1), st.floats(0.01, 50.0))
def test_when_the_time_is_up_nothing_is_left(capacity, loss, flow):
    lasts = g.liquid_oxygen_lasts_min(capacity, capacity, loss, flow)
    drawn = flow * lasts / g.litres_per_kg(Gas.OXYGEN)
    vented = capacity - g.liquid_oxygen_left_kg(capacity, capacity, loss, lasts)

    assert drawn + vented == pytest.approx(capacity)


def test_a_vessel_that_only_stands_is_empty_after_the_days_on_paper():
    lasts = g.liquid_oxygen_lasts_min(40.0, 40.0, 0.02, 0.0)

    assert lasts / 1440.0 == pytest.approx(50.0)


def test_a_vessel_that_loses_nothing_and_gives_nothing_has_no_end():
    with pytest.raises(InvalidQuantity, match="flow_l_min is 0; it must be above 0 where"):
        g.liquid_oxygen_lasts_min(40.0, 40.0, 0.0, 0.0)


@pytest.mark.parametrize("wrong", [-1.0, float("nan"), float("inf")])
def test_a_volume_that_cannot_be_is_refused(wrong):
    with pytest.raises(InvalidQuantity, match="liquid_l"):
        g.liquid_oxygen_kg(wrong)
    with pytest.raises(InvalidQuantity, match="liquid_l"):
        g.liquid_oxygen_gas_l(wrong)


@pytest.mark.parametrize(
    ("given_words", "said"),
    [
        ((41.0, 40.0, 0.02, 60.0), "filled_kg is 41; it must be between 0 and 40"),
        ((30.0, 0.0, 0.02, 60.0), "capacity_kg is 0"),
        ((30.0, 40.0, 1.2, 60.0), "daily_loss_share is 1.2"),
        ((30.0, 40.0, 0.02, -1.0), "elapsed_min is -1"),
    ],
)
def test_a_vessel_that_cannot_be_is_refused(given_words, said):
    with pytest.raises(InvalidQuantity, match=said):
        g.liquid_oxygen_left_kg(*given_words)
