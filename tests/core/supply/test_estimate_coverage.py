"""Bands, leaks found and false alarms on made-up histories; a tenth of them here.

A share p of n histories may miss its mark by 2.6 standard deviations of the count: one test of two
hundred would fail by chance alone.
"""

from dataclasses import replace

import numpy as np
import pytest

from benchmarks import generator
from benchmarks.estimator import CASE, HISTORIES, NIGHT, coverage, detection
from benchmarks.generator import DISTURBANCES, HARDER, Meter
from tests.counts import counted

pytestmark = pytest.mark.soak
COUNT = counted(HISTORIES)


def allowance(share: float) -> float:
    return 2.6 * (share * (1.0 - share) / COUNT) ** 0.5


@pytest.mark.parametrize("disturbance", DISTURBANCES)
def test_nine_of_ten_bands_hold_the_truth(disturbance):
    found = coverage(disturbance, COUNT, workers=1)
    low, high = 0.87 - allowance(0.87), 0.93 + allowance(0.93)

    assert low < found.contents_share < high
    assert low < found.flow_scale_share < high
    assert low < found.time_share < high


@pytest.mark.parametrize("scene", [NIGHT, CASE], ids=["night", "case"])
def test_leaks_as_stated_are_reported(scene):
    assert detection(scene, COUNT, workers=1).reported_share > 0.95 - allowance(0.95)


@pytest.mark.parametrize("scene", [NIGHT, CASE], ids=["night", "case"])
def test_tight_cylinders_are_seldom_accused(scene):
    tight = replace(scene, leak_l_min=0.0)

    assert detection(tight, COUNT, workers=1).reported_share < 0.01 + allowance(0.01)


def test_a_small_leak_within_a_case_is_seldom_told_from_a_wrong_flowmeter():
    small = replace(CASE, leak_l_min=0.1)

    assert detection(small, COUNT, workers=1).reported_share < 0.1


def test_half_a_litre_a_minute_hides_behind_a_flowmeter_that_may_be_off_by_as_much():
    hidden = replace(CASE, meter=Meter(share_sd=None, limit_l_min=0.5))

    assert detection(hidden, COUNT, workers=1).reported_share < 0.5


def test_the_made_up_gauge_agrees_with_print():
    # 70 °F, 1900 psi, 4.76 L of water: 659 L by the equation of state (supply facts, section 0).
    assert generator.held_l(1900.0, 294.2611) == pytest.approx(659.0, abs=0.5)
    assert generator.needle_psi(659.0, 294.2611) == pytest.approx(1900.0, abs=2.0)


@pytest.mark.parametrize("disturbance", [*DISTURBANCES, *HARDER])
def test_made_up_histories_keep_their_promises(disturbance):
    for seed in range(20):
        book = generator.days(np.random.default_rng(seed), disturbance=disturbance)
        times = [one.at_min for one in book.seen]

        assert times == sorted(times)
        assert all(one.gauge_psi % 50 == 0 for one in book.seen)
        assert book.truth.reserve_min > 0
        assert generator.held_l(200.0, 293.15) < book.truth.contents_l < 680.0


def test_the_same_seed_makes_the_same_history():
    one, two = (generator.days(np.random.default_rng(3)) for _ in range(2))

    assert one == two
