from dataclasses import replace

import pytest

from tests.core.supply.cylinders_read import BELIEFS, GAUGE, book, case, reading
from ullage.core.errors import InvalidQuantity
from ullage.core.supply.history import Draw, Sighting


def test_a_history_without_a_reading_is_refused():
    with pytest.raises(InvalidQuantity, match=r"number of readings is 0; it must be 1 or more"):
        replace(case(), sightings=())


def test_readings_out_of_order_are_refused():
    with pytest.raises(InvalidQuantity, match="in the order of their times"):
        book([reading(60.0, 600.0), reading(0.0, 650.0)], now_min=60.0)


def test_now_is_not_before_the_last_reading():
    with pytest.raises(InvalidQuantity, match=r"now_min - last reading is -10"):
        book([reading(0.0, 650.0), reading(60.0, 600.0)], now_min=50.0)


@pytest.mark.parametrize("kpa", [-1.0, float("nan"), float("inf")])
def test_an_impossible_gauge_is_refused(kpa):
    with pytest.raises(InvalidQuantity, match=r"gauge_kpa is .* must be 0 or more"):
        Sighting(at_min=0.0, temperature_k=293.0, gauge_kpa=kpa)


@pytest.mark.parametrize("flow", [-1.0, float("nan")])
def test_an_impossible_flow_is_refused(flow):
    with pytest.raises(InvalidQuantity, match=r"flow_l_min is .* must be 0 or more"):
        Draw(start_min=0.0, end_min=1.0, flow_l_min=flow, error_share=0.1)


def test_a_flow_that_ends_before_it_begins_is_refused():
    with pytest.raises(InvalidQuantity, match=r"end_min - start_min is -5"):
        Draw(start_min=5.0, end_min=0.0, flow_l_min=1.0, error_share=0.1)


@pytest.mark.parametrize(
    ("name", "value"),
    [("leak_share", 1.5), ("flush_share", -0.1), ("misread_share", 0.9), ("warming_min", 0.0)],
)
def test_an_impossible_belief_is_refused(name, value):
    with pytest.raises(InvalidQuantity, match=name):
        replace(BELIEFS, **{name: value})


@pytest.mark.parametrize("name", ["full_scale_kpa", "gauge_limit_kpa", "gauge_step_kpa"])
def test_a_gauge_without_a_scale_is_refused(name):
    with pytest.raises(InvalidQuantity, match=rf"{name} is 0; it must be a number above 0"):
        replace(GAUGE, **{name: 0.0})


def test_a_history_can_be_seen_as_it_was_before_its_last_reading():
    history = case()

    assert history.without_last().sightings == history.sightings[:-1]
    assert history.without_last().now_min == history.now_min
