"""The same posterior, looked at in another way: by brute force over many drawn worlds."""

from dataclasses import replace

import numpy as np
import pytest

from tests.core.supply.cylinders_read import (
    BELIEFS,
    GAUGE,
    PLAIN,
    PSI,
    book,
    case,
    draw,
    held_l,
    night,
    reading,
    told,
)
from ullage.core.supply._design import curve_of, idle_min, laid_out
from ullage.core.supply._likelihood import courses_of, events_of, weighed
from ullage.core.supply._posterior import quantiles

SEED = 7


def by_brute_force(history, beliefs, worlds=400_000):
    """Draw worlds from the beliefs and weigh each by how well it foretells the readings."""
    rng = np.random.default_rng(SEED)
    design = laid_out(history, beliefs)
    litres, per_kpa = design.seen.litres, design.seen.per_kpa
    at = design.times_min[:-1]
    open_min = design.exposure_min[0, :-1]
    start = litres[0] + rng.uniform(-60.0, 60.0, worlds)
    gauge = rng.uniform(-1.0, 1.0, worlds) * GAUGE.gauge_limit_kpa
    meter = 1.0 + 0.1 * rng.standard_normal(worlds)
    warmth = rng.normal(0.0, 1.0 / 3.0**0.5, worlds)
    low, high = np.log([beliefs.leak_low_l_min, beliefs.leak_high_l_min])
    leak = np.exp(rng.uniform(low, high, worlds)) * (rng.random(worlds) < beliefs.leak_share)
    used = np.minimum(at, history.draws[0].end_min) * history.draws[0].flow_l_min
    flushed = (rng.random(worlds) < beliefs.flush_share) * rng.normal(
        beliefs.flush_l, beliefs.flush_sd_l, worlds
    )
    # A flush lies in one of the gaps, so that every reading after it feels it.
    felt = np.arange(at.size) >= rng.integers(1, at.size, worlds)[:, None]
    true = start[:, None] - meter[:, None] * used - leak[:, None] * open_min
    true = true - flushed[:, None] * felt
    seen = true + gauge[:, None] * per_kpa - warmth[:, None] * design.seen.per_k
    weight = np.exp(-0.5 * ((litres - seen) ** 2 / design.noise_l2).sum(axis=1))
    return true[:, -1], meter, leak, weight / weight.sum()


@pytest.mark.parametrize(("make", "leak"), [(case, 0.0), (case, 0.3), (night, 0.03), (night, 0.1)])
def test_the_posterior_is_that_of_many_drawn_worlds(make, leak):
    history = make(leak_l_min=leak)
    found = told(history, PLAIN)
    content, meter, leaks, weight = by_brute_force(history, PLAIN)

    brute = quantiles(content, weight, (0.05, 0.5, 0.95))
    mine = found.contents_l
    assert np.allclose([mine.low, mine.middle, mine.high], brute, atol=2.0)
    scale = quantiles(meter, weight, (0.05, 0.5, 0.95))
    mine = found.flow_scale
    assert np.allclose([mine.low, mine.middle, mine.high], scale, atol=0.02)
    assert found.leak_chance == pytest.approx(weight[leaks > 0.02].sum(), abs=0.06)


@pytest.mark.parametrize(("make", "leak"), [(case, 0.0), (night, 0.03), (night, 0.05)])
def test_a_flush_nobody_wrote_down_is_integrated_as_in_drawn_worlds(make, leak):
    beliefs = replace(PLAIN, flush_share=0.9, flush_l=20.0)
    history = make(leak_l_min=leak)
    found = told(history, beliefs)
    content, meter, leaks, weight = by_brute_force(history, beliefs, 800_000)

    scale = quantiles(meter, weight, (0.05, 0.5, 0.95))
    mine = found.flow_scale
    assert np.allclose([mine.low, mine.middle, mine.high], scale, atol=0.025)
    middle = quantiles(content, weight, (0.5,))[0]
    assert found.contents_l.middle == pytest.approx(middle, abs=2.0)
    assert found.leak_chance == pytest.approx(weight[leaks > 0.02].sum(), abs=0.03)
    mean = np.average(found.worlds.leak_l_min, weights=found.worlds.weight)
    assert mean == pytest.approx(float(weight @ leaks), rel=0.1)


def test_the_weights_of_all_explanations_sum_to_one():
    design = laid_out(night(leak_l_min=0.05, is_open=None), BELIEFS)
    events = events_of(design)
    found = weighed(courses_of(design, events), events, design)

    assert found.weight.sum() == pytest.approx(1.0)
    assert found.weight.min() >= 0.0
    assert set(found.course.tolist()) <= {0, 1}


def test_the_chances_of_what_may_have_happened_sum_to_one():
    for history in (case(), night(leak_l_min=0.0), book([reading(0.0, 600.0)])):
        events = events_of(laid_out(history, BELIEFS))

        assert events.share.sum() == pytest.approx(1.0)
        assert events.share.min() >= 0.0


def test_the_ways_of_the_valve_have_chances_that_sum_to_one():
    for pauses in range(10):
        seen = [reading(900.0 * i, 600.0, is_open=None) for i in range(pauses + 1)]
        design = laid_out(book(seen), BELIEFS)

        assert design.pattern_share.sum() == pytest.approx(1.0)
        assert len(design.exposure_min) == design.pattern_share.size <= 14


def test_pauses_that_were_told_teach_the_habit():
    seen = [reading(900.0 * i, 600.0, is_open=False) for i in range(6)]
    seen.append(replace(reading(6000.0, 600.0), is_open=None))
    design = laid_out(book(seen), BELIEFS)
    shut = design.exposure_min[:, -1] == 0.0

    assert design.pattern_share[shut].sum() > 0.8


def test_idle_minutes_are_those_without_any_flow():
    seen = [reading(0.0, 600.0), reading(100.0, 500.0), reading(300.0, 500.0)]
    flows = (draw(10.0, 60.0), draw(50.0, 90.0), draw(250.0, 500.0), draw(20.0, 30.0, 0.0))

    # 0 to 10, 90 to 100; 100 to 250; and nothing after the last reading.
    assert idle_min(book(seen, flows)).tolist() == [20.0, 150.0, 0.0]


def test_an_open_valve_exposes_the_whole_time_and_a_closed_one_only_the_flow():
    seen = [reading(0.0, 600.0), reading(300.0, 500.0, is_open=True)]
    flows = (draw(0.0, 100.0),)
    shut = [seen[0], replace(seen[1], is_open=False)]

    assert laid_out(book(seen, flows), BELIEFS).exposure_min[0].tolist() == [0.0, 300.0, 300.0]
    assert laid_out(book(shut, flows), BELIEFS).exposure_min[0].tolist() == [0.0, 100.0, 100.0]


def test_a_curve_leads_from_contents_back_to_the_gauge():
    curve = curve_of(case(), 2000 * PSI)
    litres = np.array([held_l(200), held_l(1000), held_l(1900)])

    assert np.allclose(curve.gauge_of_kpa(litres) / PSI, [200, 1000, 1900], atol=0.5)


def test_a_quantile_counts_weights_and_not_numbers():
    values, weight = np.array([3.0, 1.0, 2.0]), np.array([0.0, 1.0, 1.0])

    assert quantiles(values, weight, (0.5,))[0] == pytest.approx(1.5)
