"""Reorder point, order-up-to, fill rate and stock against definitions, and a played-out shelf."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from benchmarks.stock import played
from ullage.core.errors import InvalidQuantity
from ullage.core.stock import (
    LeadTime,
    Use,
    cycle_service_share,
    fill_rate_share,
    mean_stock,
    order_up_to,
    recorded_use,
    reorder_point,
)


@pytest.mark.parametrize("mean", [0.04, 0.1, 0.5, 1.0, 3.0, 10.0])
@pytest.mark.parametrize("service", [0.8, 0.95, 0.99])
def test_the_reorder_point_is_the_quantile_of_the_count(mean, service):
    found = reorder_point(Use(per_day=mean), LeadTime(days=1.0), service)

    assert found == int(stats.poisson.ppf(service, mean))


@settings(max_examples=60, deadline=None)
@given(st.floats(0.01, 3.0), st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.floats(0.6, 0.999))
def test_the_point_serves_and_one_fewer_does_not(per_day, share, late, service):
    use, lead = Use(per_day=per_day, rate_sd_share=share), LeadTime(days=5.0, sd_days=5.0 * late)
    found = reorder_point(use, lead, service)

    assert cycle_service_share(use, lead, found) >= service
    assert found == 0 or cycle_service_share(use, lead, found - 1) < service


def test_one_orders_up_to_what_lasts_until_the_order_after_next_comes():
    use, lead = Use(per_day=0.5), LeadTime(days=4.0)

    assert order_up_to(use, lead, 0.95, 0.0) == reorder_point(use, lead, 0.95) + 1
    assert order_up_to(use, lead, 0.95, 10.0) == int(stats.poisson.ppf(0.95, 7.0))


def test_the_two_shares_of_service_are_not_one():
    use, lead = Use(per_day=0.5), LeadTime(days=4.0)

    assert fill_rate_share(use, lead, 2, 10) > cycle_service_share(use, lead, 2)


# The event-driven shelf shares no code with the formulas.
@pytest.mark.parametrize(
    ("use", "lead"),
    [
        (Use(per_day=0.25), LeadTime(days=4.0)),
        (Use(per_day=1.0), LeadTime(days=5.0, sd_days=2.0)),
        (Use(per_day=0.5, dispersion=2.0), LeadTime(days=4.0)),
        (Use(per_day=2.0, per_draw=0.2, per_draw_sd_share=0.5), LeadTime(days=5.0, sd_days=1.5)),
    ],
)
def test_a_shelf_played_out_serves_what_was_worked_out(use, lead):
    point = reorder_point(use, lead, 0.95)
    shelf = played(use, lead, point, order_pieces=24, cycles=20_000, seed=5)
    spread = 4.0 * (0.95 * 0.05 / shelf.cycles) ** 0.5

    assert shelf.cycle_service_share == pytest.approx(
        cycle_service_share(use, lead, point), abs=spread
    )
    assert shelf.mean_stock == pytest.approx(mean_stock(use, lead, point, 24), rel=0.02)


def test_a_shelf_played_out_fills_what_was_worked_out():
    use, lead = Use(per_day=0.5), LeadTime(days=4.0)
    shelf = played(use, lead, 1, order_pieces=6, cycles=20_000, seed=9)

    assert shelf.fill_rate_share == pytest.approx(fill_rate_share(use, lead, 1, 6), abs=0.003)


# Over all records that a true rate may leave behind, each by its chance.
@pytest.mark.parametrize("weeks", [4, 12])
@pytest.mark.parametrize("demand", [0.1, 0.5, 2.0, 5.0])
def test_a_point_from_records_serves_what_was_asked_on_average(weeks, demand):
    lead, whole = LeadTime(days=5.0), demand / 5.0 * 7.0 * weeks
    served = sure = 0.0
    for seen in range(int(stats.poisson.ppf(0.9999, whole)) + 1):
        chance = stats.poisson.pmf(seen, whole)
        counts = [seen] + [0] * (weeks - 1)
        use = replace(recorded_use(counts, 7.0), dispersion=1.0, rate_sd_share=(seen + 1.0) ** -0.5)
        served += chance * stats.poisson.cdf(reorder_point(use, lead, 0.95), demand)
        sure += chance

    assert served / sure >= 0.95


def test_a_rate_not_known_well_asks_for_more_in_store():
    lead = LeadTime(days=7.0)

    known = reorder_point(Use(per_day=0.5), lead, 0.95)
    guessed = reorder_point(Use(per_day=0.5, rate_sd_share=0.7), lead, 0.95)

    assert guessed > known


@pytest.mark.parametrize("service", [0.0, 0.4, 1.0, float("nan")])
def test_a_service_that_cannot_be_chosen_is_refused(service):
    with pytest.raises(InvalidQuantity, match="service_share is"):
        reorder_point(Use(per_day=0.5), LeadTime(days=4.0), service)


def test_an_order_of_nothing_is_refused():
    with pytest.raises(InvalidQuantity, match="order_pieces is 0"):
        fill_rate_share(Use(per_day=0.5), LeadTime(days=4.0), 1, 0)
    with pytest.raises(InvalidQuantity, match="order_pieces is 0"):
        mean_stock(Use(per_day=0.5), LeadTime(days=4.0), 1, 0)


def test_a_shelf_from_which_nothing_is_taken_needs_nothing():
    assert reorder_point(Use(per_day=0.0), LeadTime(days=4.0), 0.95) == 0
    assert np.isclose(mean_stock(Use(per_day=0.0), LeadTime(days=4.0), 0, 2), 1.5)
