"""Run-out by draws: against paper and quadrature, and its laws."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm

from ullage.core.errors import InvalidQuantity
from ullage.core.supply import (
    CaseDemand,
    Flowing,
    Loss,
    MachineDemand,
    Stretch,
    band_of,
    chance_before,
    demand_curve,
    drawn_shares,
    timeline,
    worst_minute_min,
)

DRAWS = 4096


def case(begin, *stretches, **more):
    made = tuple(Stretch(minutes=length, metered_l_min=flow) for length, flow in stretches)
    return CaseDemand(begin_min=begin, stretches=made, **more)


def flowing(cases, draws=1, flow=None, lengths=None, **more):
    """A machine whose errors are those given, else none."""
    demand = MachineDemand(cases=tuple(cases), **more)
    lengths = np.zeros((len(cases), draws)) if lengths is None else lengths
    ones = np.ones(draws)
    return Flowing(
        demand=demand,
        when=timeline(demand.cases, lengths),
        flow_share=ones if flow is None else flow,
        drive_factor=demand.drive_factor * ones,
        flush_l_min=demand.flush_l_min * ones,
    )


def test_one_case_on_paper():
    curve = demand_curve([flowing([case(600, (20, 1.5), (80, 1.0))])])

    assert curve.total_l == pytest.approx([110.0])
    assert curve.taken_by_l(610.0) == pytest.approx([15.0])
    assert curve.taken_by_l(650.0) == pytest.approx([60.0])
    assert curve.taken_by_l(1000.0) == pytest.approx([110.0])
    assert curve.reached_min(np.array([60.0])) == pytest.approx([650.0])


def test_what_is_never_taken_is_never_reached_and_nothing_is_reached_at_once():
    curve = demand_curve([flowing([case(600, (100, 1.0))])])

    assert curve.reached_min(np.array([100.1]))[0] == np.inf
    assert curve.reached_min(np.array([0.0]))[0] == -np.inf
    assert curve.taken_by_l(0.0) == pytest.approx([0.0])


def test_a_threshold_between_two_cases_is_reached_when_the_second_begins_to_draw():
    curve = demand_curve([flowing([case(600, (60, 1.0)), case(780, (60, 2.0))])])

    assert curve.reached_min(np.array([60.0])) == pytest.approx([660.0])
    assert curve.reached_min(np.array([80.0])) == pytest.approx([790.0])


def test_two_machines_and_a_leak_add_up():
    leak = Loss(np.array([480.0]), np.array([1080.0]), np.array([0.1]))
    curve = demand_curve([flowing([case(600, (60, 1.0))]), flowing([case(630, (60, 2.0))])], [leak])

    assert curve.total_l == pytest.approx([60 + 120 + 60])
    # By 640: 40 min of 1, 10 min of 2, 160 min of 0.1.
    assert curve.taken_by_l(640.0) == pytest.approx([40 + 20 + 16])
    assert curve.reached_min(np.array([76.0])) == pytest.approx([640.0])


@pytest.mark.parametrize(
    ("opens", "closes", "lost"), [(0, 2000, 200), (615, 630, 1.5), (700, 900, 20)]
)
def test_a_loss_counts_whether_it_spans_the_day_or_not(opens, closes, lost):
    loss = Loss(np.array([float(opens)]), np.array([float(closes)]), np.array([0.1]))
    curve = demand_curve([flowing([case(600, (60, 1.0))])], [loss])
    alone = demand_curve([], [loss])

    assert curve.total_l == pytest.approx([60 + lost])
    assert alone.total_l == pytest.approx([lost])
    assert curve.taken_by_l(620.0) == pytest.approx(20 + 0.1 * max(620 - opens, 0))


def test_a_case_that_overruns_pushes_the_next_one_back():
    late = np.array([[2.0], [0.0]])  # two standard deviations too long
    one = flowing([case(600, (100, 1.0), minutes_sd_share=0.1), case(700, (50, 1.0))], lengths=late)

    assert one.when.ends_min[:, 0] == pytest.approx([720.0, 770.0])


def test_checks_before_the_animal_keep_their_length():
    long = np.array([[3.0]])
    one = flowing([case(590, (10, 0.5), (60, 1.0), exact=1, minutes_sd_share=0.1)], lengths=long)

    assert one.when.corners_min[:, 0] == pytest.approx([590, 600, 600 + 60 * 1.3])


def test_lumps_are_taken_whole_however_long_the_stretch():
    stretch = Stretch(minutes=60, metered_l_min=1, litres=30, flush_min=0.5)
    whole = CaseDemand(begin_min=600, stretches=(stretch,), minutes_sd_share=0.2)
    one = flowing(
        [whole],
        draws=2,
        lengths=np.array([[-2.0, 2.0]]),
        flush_low_l_min=40,
        flush_high_l_min=60,
    )

    assert demand_curve([one]).total_l == pytest.approx([36 + 30 + 25, 84 + 30 + 25])


def test_drive_gas_follows_its_factor():
    stretch = Stretch(minutes=60, metered_l_min=1, minute_volume_l_min=6)
    one = flowing([CaseDemand(begin_min=600, stretches=(stretch,))], drive_low=0.4, drive_high=0.6)

    assert demand_curve([one]).total_l == pytest.approx([60 * (1 + 3)])


def test_the_run_out_band_of_a_normal_flow_is_the_one_on_paper():
    rng = np.random.default_rng(1)
    share = drawn_shares(0.1, rng.standard_normal(200_000))
    curve = demand_curve([flowing([case(600, (1000, 2.0))], draws=200_000, flow=share)])

    found = band_of(curve.reached_min(np.full(200_000, 300.0)))

    # 300 L at 2 L/min x (1 ± 1.6449 x 0.1), from 600.
    assert found.low == pytest.approx(600 + 150 / 1.16449, abs=0.4)
    assert found.middle == pytest.approx(600 + 150, abs=0.4)
    assert found.high == pytest.approx(600 + 150 / (1 - 0.16449), abs=0.4)


def test_the_chance_with_uniform_contents_and_normal_flow_is_that_of_quadrature():
    rng, draws = np.random.default_rng(2), 200_000
    contents = 110 + 15 * rng.uniform(-1, 1, draws)
    share = drawn_shares(0.1, rng.standard_normal(draws))
    one = flowing([case(600, (50, 2.0))], draws=draws, flow=share)
    reached = demand_curve([one]).reached_min(contents)

    nodes, weights = np.polynomial.legendre.leggauss(40)
    by_quadrature = np.sum(weights / 2 * norm.sf(((110 + 15 * nodes) / 100 - 1) / 0.1))

    assert chance_before(reached, one.when.ends_min[0] + 1e-9) == pytest.approx(
        by_quadrature, abs=0.004
    )


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.tuples(st.floats(1, 200), st.floats(0.1, 20)), min_size=1, max_size=6),
    st.floats(0.01, 0.99),
)
def test_reaching_and_taking_are_each_others_inverse(stretches, part):
    curve = demand_curve([flowing([case(480, *stretches)])])
    wanted = part * curve.total_l

    assert curve.taken_by_l(curve.reached_min(wanted)) == pytest.approx(wanted, rel=1e-9)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.floats(1, 200), st.floats(0.1, 20)), min_size=1, max_size=6))
def test_twice_the_flow_reaches_twice_as_much_at_the_same_time(stretches):
    once = demand_curve([flowing([case(480, *stretches)])])
    twice = demand_curve([flowing([case(480, *((long, 2 * flow) for long, flow in stretches))])])
    wanted = 0.4 * once.total_l

    assert twice.reached_min(2 * wanted) == pytest.approx(once.reached_min(wanted))


@settings(max_examples=30, deadline=None)
@given(st.floats(1, 200), st.floats(1, 200))
def test_keeping_back_more_is_reached_sooner(one, other):
    curve = demand_curve([flowing([case(480, (60, 1.0)), case(600, (100, 2.0))])])
    less, more = sorted((one, other))

    assert curve.reached_min(np.array([less])) <= curve.reached_min(np.array([more]))


def test_more_draws_come_closer_to_the_answer_on_paper():
    exact = 600 + 150 / 1.16449
    misses = []
    for draws in (200, 20_000):
        found = []
        for seed in range(12):
            rng = np.random.default_rng(seed)
            share = drawn_shares(0.1, rng.standard_normal(draws))
            curve = demand_curve([flowing([case(600, (1000, 2.0))], draws=draws, flow=share)])
            found.append(band_of(curve.reached_min(np.full(draws, 300.0))).low)
        misses.append(np.sqrt(np.mean((np.array(found) - exact) ** 2)))

    assert misses[1] < misses[0] / 4


def test_the_worst_minute_is_found_by_brute_force_too():
    day = flowing([case(600, (30, 1.0), (20, 6.0), (40, 2.0)), case(720, (15, 4.0), (60, 1.0))])
    curve = demand_curve([day])
    usable = 90.0

    begin, lasts = worst_minute_min(curve, usable)

    minutes = np.arange(560, 860, 0.25)
    many = [
        float(curve.reached_min(curve.taken_by_l(float(at)) + usable)[0] - at) for at in minutes
    ]
    assert lasts == pytest.approx(min(many), abs=0.25)
    assert lasts == pytest.approx(
        float(curve.reached_min(curve.taken_by_l(begin) + usable)[0] - begin)
    )


def test_a_reserve_that_outlasts_the_day_lasts_from_every_minute():
    curve = demand_curve([flowing([case(600, (60, 1.0))])])

    assert worst_minute_min(curve, 61.0)[1] == np.inf


def test_infinite_draws_are_counted_in_a_band():
    values = np.concatenate([np.full(60, np.inf), np.arange(40.0)])
    found = band_of(np.random.default_rng(3).permutation(values))

    assert found.low == 5.0
    assert found.middle == np.inf


def test_a_drawn_share_is_never_nothing_and_a_spread_beyond_reason_is_refused():
    assert drawn_shares(0.5, np.array([-50.0]))[0] == 0.05
    with pytest.raises(InvalidQuantity, match=r"sd_share is 1\.5"):
        drawn_shares(1.5, np.zeros(3))
