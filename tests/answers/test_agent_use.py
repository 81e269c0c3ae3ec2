"""Agent used, how long it lasts, what it costs and how much it warms."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.answers.agent_use import (
    Delivery,
    agent_climate,
    agent_cost,
    agent_used,
    vaporizer_lasts,
)
from ullage.core.errors import InvalidQuantity, UnknownReference


def flow(agent="isoflurane", percent=1.0, litres=1.0, **more):
    return Delivery(agent=agent, fraction=0.01 * percent, fresh_gas_l_min=litres, **more)


# Fact base on agents, section 4: 3.08, 3.26, 2.86, 2.62 mL/h for each L/min and per cent; the
# carrier form used here adds 1 % at 1 %.
@pytest.mark.published("agents_base")
@pytest.mark.parametrize(
    ("agent", "printed"),
    [("isoflurane", 3.08), ("sevoflurane", 3.26), ("desflurane", 2.86), ("halothane", 2.62)],
)
def test_liquid_use_meets_the_printed_multipliers(agent, printed):
    assert 0.99 * agent_used(flow(agent)).value == pytest.approx(printed, abs=0.006)


# Dhulkhed 2013: 3 x fresh gas flow x per cent; 3.3 for sevoflurane.
@pytest.mark.published("agents_values")
def test_the_common_rule_stands_beside_the_exact_figure():
    views = agent_used(flow("sevoflurane", 2.0, 2.0)).views

    assert [view.chosen for view in views] == [True, False]
    assert views[1].result == "13.2 mL"


@given(st.floats(0.1, 5.0), st.floats(0.1, 10.0), st.floats(1.1, 3.0))
def test_twice_the_flow_or_the_time_uses_twice_as_much(percent, litres, times):
    base = agent_used(flow(percent=percent, litres=litres)).value
    more_flow = agent_used(flow(percent=percent, litres=litres * times)).value
    longer = agent_used(flow(percent=percent, litres=litres, minutes=60.0 * times)).value

    assert more_flow == pytest.approx(base * times)
    assert longer == pytest.approx(base * times)


def test_a_fill_lasts_what_can_be_used_and_the_wick_is_doubted():
    recalled, known = (vaporizer_lasts(flow(percent=2.0), 150.0, kept) for kept in (None, 50.0))

    assert known.value == pytest.approx(100.0 / agent_used(flow(percent=2.0)).value * 60.0)
    assert recalled.low < known.low
    assert recalled.high > known.value
    assert any("from memory" in line for line in recalled.assumptions)
    assert not any("from memory" in line for line in known.assumptions)


def test_a_fill_that_the_wick_keeps_is_refused():
    with pytest.raises(InvalidQuantity, match="kept_ml"):
        vaporizer_lasts(flow(), 60.0)
    with pytest.raises(InvalidQuantity, match="use_ml_h"):
        vaporizer_lasts(flow(percent=0.0), 150.0)


def test_cost_follows_the_liquid_in_the_money_of_the_site():
    answer = agent_cost(flow(percent=2.0), 250.0, 50.0, "EUR")

    assert answer.unit == "EUR"
    assert answer.value == pytest.approx(agent_used(flow(percent=2.0)).value * 0.2)


# Fact base on agents, section 5: 510, 2540, 130 (2012); 539, 2590, 195 (memory); 510, 1620, 210.
@pytest.mark.published("agents_values")
@pytest.mark.parametrize(
    ("agent", "molar", "potentials"),
    [
        ("isoflurane", 184.5, (510, 539, 510)),
        ("desflurane", 168.04, (2540, 2590, 1620)),
        ("sevoflurane", 200.05, (130, 195, 210)),
    ],
)
def test_every_set_of_warming_potentials_is_shown(agent, molar, potentials):
    answer = agent_climate(flow(agent, 2.0, 1.0))
    kilograms = 60.0 * (0.02 / 0.98) * molar / (1000.0 * 24.06)
    shown = [float(view.result.split()[0]) for view in answer.views]

    assert shown == pytest.approx([kilograms * one for one in potentials], rel=0.005)
    assert answer.low <= min(shown) * 1.002
    assert answer.high >= max(shown) * 0.998


def test_nitrous_oxide_counts_and_sets_without_it_are_left_out():
    alone = agent_climate(flow(percent=2.0, litres=3.0))
    both = agent_climate(flow(percent=2.0, litres=3.0, nitrous_oxide_l_min=1.5))

    assert both.value > 3.0 * alone.value
    assert len(both.views) == len(alone.views) - 1


def test_a_set_that_lacks_a_gas_is_refused_and_a_recalled_one_is_marked():
    with pytest.raises(UnknownReference, match="no warming potential of halothane"):
        agent_climate(flow("halothane"), which="set_2012")
    assert agent_climate(flow("halothane")).where_from[0].how_known == "memory"
    assert agent_climate(flow(), which="set_ar6").views[1].chosen


def test_more_nitrous_oxide_than_fresh_gas_is_no_mixture():
    with pytest.raises(InvalidQuantity, match="nitrous_oxide_l_min"):
        flow(litres=1.0, nitrous_oxide_l_min=1.5)
