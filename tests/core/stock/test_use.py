"""Counts in a lead time against closed forms, and what must hold whatever the numbers."""

from itertools import pairwise
from math import exp, inf

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from ullage.core.errors import InvalidQuantity
from ullage.core.stock import (
    LeadTime,
    Use,
    recorded_use,
    used_mean,
    used_more_chance,
    used_sd,
    used_up_after_days,
)


@pytest.mark.parametrize("mean", [0.1, 1.0, 10.0])
@pytest.mark.parametrize("pieces", [0, 1, 4, 15])
def test_without_spread_the_count_is_poisson(mean, pieces):
    found = used_more_chance(Use(per_day=mean / 4.0), LeadTime(days=4.0), pieces)

    assert found == pytest.approx(stats.poisson.sf(pieces, mean), abs=1e-12)


@pytest.mark.parametrize("pieces", [0, 3, 12])
def test_lots_are_a_negative_binomial_count_after_what_the_last_lot_took(pieces):
    found = used_more_chance(Use(per_day=2.0, dispersion=3.0), LeadTime(days=2.0), pieces)
    lot = stats.logser(2.0 / 3.0)
    known = sum(
        lot.sf(beyond) / lot.mean() * stats.nbinom.sf(pieces - beyond, 2.0, 1.0 / 3.0)
        for beyond in range(400)
    )

    assert found == pytest.approx(known, abs=1e-9)


def test_the_time_until_a_wider_count_is_that_of_the_negative_binomial():
    found = used_up_after_days(Use(per_day=2.0, dispersion=3.0), 4.0, 0.5)

    assert stats.nbinom.sf(3, 2.0 * found / 2.0, 1.0 / 3.0) == pytest.approx(0.5, abs=1e-9)


@pytest.mark.parametrize("share", [0.01, 0.05, 0.3, 0.7, 1.0])
@pytest.mark.parametrize("pieces", [0, 2, 9, 30])
def test_a_poisson_count_of_a_rate_with_a_gamma_spread_is_negative_binomial(share, pieces):
    shape = share**-2.0
    use = Use(per_day=1.0, rate_sd_share=share)

    for days in (0.3, 5.0, 50.0):
        known = stats.nbinom.sf(pieces, shape, shape / (shape + days))
        assert used_more_chance(use, LeadTime(days=days), pieces) == pytest.approx(known, abs=1e-5)


@pytest.mark.parametrize("share", [0.1, 0.5, 1.0])
@pytest.mark.parametrize("pieces", [0, 2, 9, 30])
def test_a_lead_time_that_spreads_widens_as_a_rate_that_spreads(share, pieces):
    by_time = used_more_chance(Use(per_day=1.0), LeadTime(days=5.0, sd_days=5.0 * share), pieces)
    rate = Use(per_day=1.0, rate_sd_share=share)

    assert by_time == pytest.approx(used_more_chance(rate, LeadTime(days=5.0), pieces), abs=1e-9)


def test_cases_of_one_size_go_on_from_the_part_that_the_last_one_took():
    use = Use(per_day=2.0, per_draw=0.3)
    found = used_more_chance(use, LeadTime(days=3.0), 1)
    # Seven cases fill two pieces; six do where the case before took more than 0.2 of its own 0.3.
    known = stats.poisson.sf(6, 6.0) + stats.poisson.pmf(6, 6.0) / 3.0

    assert found == pytest.approx(known, abs=1e-12)


def test_cases_of_exponential_size_match_the_sum_over_their_number():
    # What an exponential case takes beyond a mark is exponential again: one more case.
    use = Use(per_day=2.0, per_draw=0.25, per_draw_sd_share=1.0)
    known = sum(
        stats.poisson.pmf(n, 6.0) * stats.gamma.sf(2.0, n + 1, scale=0.25) for n in range(80)
    )

    assert used_more_chance(use, LeadTime(days=3.0), 1) == pytest.approx(known, abs=1e-10)


def test_cases_of_any_size_match_dice():
    use = Use(per_day=2.0, per_draw=0.4, per_draw_sd_share=0.5)
    rng = np.random.default_rng(3)
    counts = rng.poisson(6.0, 200_000)
    size = 0.4 / 4.0
    drawn = rng.gamma(4.0 * np.maximum(counts, 1e-9), size)
    beyond = rng.uniform(size=200_000) * rng.gamma(5.0, size, 200_000)  # by length, then anywhere
    met = float(np.mean(drawn + beyond >= 3.0))

    assert used_more_chance(use, LeadTime(days=3.0), 2) == pytest.approx(met, abs=0.004)


def test_the_time_of_parts_counts_from_an_untouched_piece():
    use = Use(per_day=1.0, per_draw=0.5)
    known = stats.gamma.ppf(0.5, 2)  # the second case ends the piece

    assert used_up_after_days(use, 1.0) == pytest.approx(known, rel=1e-9)


def test_mean_and_spread_are_those_of_the_counts():
    use = Use(per_day=1.5, rate_sd_share=0.3)
    lead = LeadTime(days=4.0, sd_days=2.0)
    above = np.array([used_more_chance(use, lead, one) for one in range(200)])
    mean = above.sum()
    square = (above * (2 * np.arange(200) + 1)).sum()

    assert mean == pytest.approx(used_mean(use, lead), rel=1e-5)
    assert (square - mean**2) ** 0.5 == pytest.approx(used_sd(use, lead), rel=1e-4)


def test_a_look_now_and_then_counts_as_time_in_which_nobody_orders():
    use = Use(per_day=0.4)
    seen = used_more_chance(use, LeadTime(days=3.0, review_days=7.0), 4)

    assert seen == pytest.approx(used_more_chance(use, LeadTime(days=10.0), 4), abs=1e-12)


def test_the_time_until_pieces_are_used_is_that_of_the_gamma():
    use = Use(per_day=0.5)

    for chance in (0.05, 0.5, 0.95):
        known = stats.gamma.ppf(chance, 3, scale=2.0)
        assert used_up_after_days(use, 3.0, chance) == pytest.approx(known, rel=1e-9)


def test_where_nothing_is_used_it_never_comes_to_that():
    assert used_up_after_days(Use(per_day=0.0), 1.0) == inf
    assert used_up_after_days(Use(per_day=1e-5), 3.0, 0.95) == inf


def test_counts_say_the_rate_as_well_as_their_number_allows():
    few, many = recorded_use([1] * 4, 7.0), recorded_use([1] * 100, 7.0)

    assert few.per_day == pytest.approx(5.0 / 28.0)
    assert few.rate_sd_share == pytest.approx(5.0**-0.5)
    assert many.rate_sd_share == pytest.approx(101.0**-0.5)


def test_counts_that_scatter_more_than_chance_say_so_and_none_taken_from_few():
    wild = [0, 0, 9, 0, 1, 8, 0, 0, 7, 1]

    assert recorded_use(wild, 7.0).dispersion == 4.0
    assert recorded_use([0, 9, 0], 7.0).dispersion == 1.0
    assert recorded_use([2] * 10, 7.0).dispersion == 1.0  # steadier than chance is not believed


def test_an_empty_record_still_says_that_a_little_may_be_used():
    found = recorded_use([0, 0, 0, 0], 7.0)

    assert found.per_day == pytest.approx(1.0 / 28.0)
    assert used_more_chance(found, LeadTime(days=7.0), 0) < 0.25


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (lambda: Use(per_day=-1.0), "per_day is -1"),
        (lambda: Use(per_day=float("nan")), "per_day is nan"),
        (lambda: Use(per_day=1.0, dispersion=0.5), "dispersion is 0.5"),
        (lambda: LeadTime(days=-1.0), "days is -1"),
        (lambda: LeadTime(days=1.0, sd_days=3.0), "sd_days is 3"),
        (lambda: used_more_chance(Use(per_day=1.0), LeadTime(days=1.0), -1), "pieces is -1"),
        (lambda: used_more_chance(Use(per_day=1000.0), LeadTime(days=1000.0), 1), "lead time is"),
        (lambda: used_up_after_days(Use(per_day=1.0), 0.0), "pieces is 0"),
        (lambda: used_up_after_days(Use(per_day=1.0), 1.0, 1.0), "chance is 1"),
        (lambda: recorded_use([], 7.0), "periods is 0"),
        (lambda: recorded_use([-1], 7.0), "count is -1"),
        (lambda: recorded_use([1], 0.0), "period_days is 0"),
    ],
)
def test_what_cannot_be_is_refused(wrong, words):
    with pytest.raises(InvalidQuantity, match=words):
        wrong()


@settings(max_examples=60, deadline=None)
@given(st.floats(0.01, 5.0), st.floats(0.0, 1.0), st.floats(1.0, 5.0), st.floats(0.5, 20.0))
def test_more_pieces_are_missed_less_often(per_day, share, dispersion, days):
    use, lead = (
        Use(per_day=per_day, rate_sd_share=share, dispersion=dispersion),
        LeadTime(days=days),
    )
    chances = [used_more_chance(use, lead, one) for one in range(8)]

    assert all(0.0 <= one <= 1.0 for one in chances)
    assert all(more <= fewer + 1e-12 for fewer, more in pairwise(chances))


def test_without_a_spread_a_day_without_use_has_the_chance_of_none():
    assert used_more_chance(Use(per_day=0.3), LeadTime(days=1.0), 0) == pytest.approx(
        1.0 - exp(-0.3), abs=1e-12
    )
