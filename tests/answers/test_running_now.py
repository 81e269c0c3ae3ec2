"""What the tables say of errors, what is kept between two looks, and times from weighted draws."""

from dataclasses import replace
from math import inf, sqrt
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ullage.answers import CaseSubject, LevelRead, RunningCase, SetTo, case_now
from ullage.answers.kinetics import band_of_kind, bands_of_levels
from ullage.answers.running_course import _piece
from ullage.answers.running_now import belief, doubt, measured_by, now_of
from ullage.core.kinetics import LevelKind
from ullage.reference import Standing, sourced

PIG = CaseSubject(species="pig", weight_kg=30.0, agent="isoflurane")
ON = SetTo(at_min=0, dial_fraction=0.02, oxygen_l_min=1.0, system="circle")
CASE = RunningCase(
    subject=PIG, settings=(ON, replace(ON, at_min=12.0, dial_fraction=0.03)), draws=40, seed=9
)


def with_reads(*pairs, case=CASE):
    read = tuple(LevelRead(at_min=at, end_tidal_fraction=level) for at, level in pairs)
    return replace(case, readings=read)


def test_half_of_the_variance_of_the_engine_stays_and_half_passes():
    """8 % in all; a vaporizer within 20 % of the dial has one standard deviation of 20 %/sqrt 3."""
    found = doubt("isoflurane")

    assert found.passing_share == pytest.approx(0.08 / sqrt(2.0))
    assert found.staying_share**2 == pytest.approx(0.08**2 / 2.0 + 0.20**2 / 3.0)
    assert (found.passing_min, found.calibration_share) == (30.0, 0.05)


def test_a_heated_vaporizer_keeps_the_limits_of_its_own_kind():
    heated = 0.01 * sourced("agents", "accuracy.heated_percent").value

    assert doubt("desflurane").staying_share == pytest.approx(sqrt(0.08**2 / 2.0 + heated**2 / 3.0))


def test_a_vaporizer_that_is_exact_leaves_the_band_of_a_plan():
    exact = replace(CASE, subject=replace(PIG, vaporizer_accuracy_share=0.0))
    now = now_of(exact, 30.0)
    levels = now.led.at("brain", np.array([10.0, 30.0]))

    assert now.unread_bands(levels) == pytest.approx(bands_of_levels(levels), rel=1e-12)
    assert now.bands(levels, np.array([10.0, 30.0]), "brain") == pytest.approx(
        bands_of_levels(levels), rel=1e-12
    )


@pytest.mark.parametrize(
    "name",
    [
        "staying_share",
        "passing_min",
        "calibration_share",
        "noise_share",
        "least_chance",
        "ahead_min",
    ],
)
def test_what_nobody_measured_is_marked_as_assumed(name):
    row = sourced("kinetics", f"narrow.{name}")

    assert row.standing is Standing.ASSUMED
    assert row.how_known.value == "memory"


def test_a_value_is_refused_below_one_in_a_hundred():
    assert (belief().least_chance, belief().least_effective_share) == (0.01, 0.1)


def test_each_value_is_led_to_its_own_minute():
    now = now_of(with_reads((5.0, 0.011), (20.0, 0.016)), 30.0)
    levels = now.led.at("end_tidal", np.array([5.0, 20.0]))

    for k, one in enumerate(now.narrowed.foretold):
        assert levels[:, k].min() < one.middle_fraction < levels[:, k].max()
    assert now.narrowed.foretold[0].middle_fraction < now.narrowed.foretold[1].middle_fraction


def test_inspired_and_end_tidal_values_are_held_against_their_own_levels():
    both = LevelRead(at_min=20.0, end_tidal_fraction=0.016, inspired_fraction=0.022)
    now = now_of(replace(CASE, readings=(both,)), 20.0)
    end_tidal, inspired = now.narrowed.foretold

    assert [one.kind for one in measured_by(now_case(both), 20.0)] == [
        LevelKind.END_TIDAL,
        LevelKind.INSPIRED,
    ]
    assert inspired.middle_fraction > 1.1 * end_tidal.middle_fraction


def now_case(*readings):
    return replace(CASE, readings=readings)


def test_a_new_value_runs_no_engine_over_what_was_set():
    case_now(CASE, 31.0)
    before = _piece.cache_info().misses
    case_now(with_reads((20.0, 0.016), (31.0, 0.017)), 31.0)

    assert _piece.cache_info().misses == before


def test_a_new_setting_runs_only_what_is_new():
    longer = replace(CASE, settings=(*CASE.settings, replace(ON, at_min=33.0)))
    case_now(CASE, 33.0)
    before = _piece.cache_info().misses
    case_now(longer, 35.0)

    assert _piece.cache_info().misses == before + 1


def test_another_animal_or_seed_is_another_case():
    one, other = (
        case_now(case, 30.0).answers["brain"].value for case in (CASE, replace(CASE, seed=10))
    )
    site = replace(CASE, subject=replace(PIG, overrides=(("cardiac_output_l_min", 6.0),)))

    assert one != other
    assert case_now(site, 30.0).answers["brain"].value != one


@given(st.floats(0.05, 0.5), st.floats(2.0, 60.0))
@settings(max_examples=20, deadline=None)
def test_a_time_of_equal_draws_has_the_band_of_a_plan(sd, middle):
    now = now_of(CASE, 0.0)
    spread = [NormalDist().inv_cdf((k + 0.5) / 40) for k in range(40)]
    draws = middle * np.exp(sd * np.array(spread))
    low, value, high = now.time_band(draws)

    assert value == pytest.approx(np.quantile(draws, 0.5, method="lower"))
    assert (low, high) == pytest.approx(band_of_kind("time", value, draws), rel=1e-9)


def test_a_time_that_never_comes_for_most_has_only_a_low_end():
    draws = np.full(40, inf)
    draws[:5] = 10.0
    now = now_of(CASE, 0.0)

    assert now.time_band(draws) == (10.0, inf, inf)
    draws[:37] = 10.0
    low, middle, high = now.time_band(draws)
    assert (middle, high) == (10.0, inf)
    assert low < 10.0


def test_a_time_that_is_over_for_most_has_no_width():
    draws = np.zeros(40)
    draws[:10] = 5.0

    assert now_of(CASE, 0.0).time_band(draws) == (0.0, 0.0, 0.0)


def test_the_effect_is_moved_as_the_end_tidal_level_is_and_less_so_later():
    now = now_of(with_reads((29.0, 0.021), (30.0, 0.021)), 30.0)
    minutes = np.array([0.0, 15.0, 240.0])
    moved = now.in_effect(minutes, np.ones((40, 3)))
    factors, spread = now.narrowed.moved(30.0 + minutes, LevelKind.END_TIDAL)

    assert moved == pytest.approx(factors)
    assert np.all(np.diff(spread) > 0.0)
    far, near = (np.abs(np.log(moved[:, k])).mean() for k in (2, 0))
    assert 0.0 < far < near
