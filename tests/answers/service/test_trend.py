"""Drift over years: against an independent fit, and how often its bands hold the truth."""

from datetime import date, timedelta

import numpy as np
import pytest
from scipy.stats import t

from ullage.answers import Verdict
from ullage.answers.service import (
    ErrorOn,
    drift_forecast,
    drift_of,
    error_on,
    limit_of,
    output_trend,
)
from ullage.core.errors import InvalidQuantity, RuleBroken

START = date(2020, 3, 1)
YEAR = timedelta(days=365)


def yearly(*errors):
    return tuple(ErrorOn(START + n * YEAR, error) for n, error in enumerate(errors))


def test_the_line_is_that_of_least_squares():
    seen = yearly(0.01, -0.05, -0.02, -0.11, -0.13)
    days = np.array([(one.at - START).days for one in seen])
    errors = np.array([one.error_share for one in seen])
    (slope, _), cov = np.polyfit(days, errors, 1, cov=True)
    drift = drift_of(seen)

    assert drift.slope_share_d == pytest.approx(slope, rel=1e-9)
    assert drift.slope_se == pytest.approx(np.sqrt(cov[0, 0]), rel=1e-9)
    assert drift.ends == pytest.approx(t.ppf(0.95, 3))
    middle = START.toordinal() + days.mean()
    assert drift.line(middle) == pytest.approx(errors.mean())
    assert drift.half(middle) == pytest.approx(drift.ends * drift.middle_se)


def test_the_band_of_the_slope_holds_the_truth_nine_times_in_ten():
    rng, held, draws = np.random.default_rng(5), 0, 600
    for _ in range(draws):
        seen = yearly(*(-0.02 * np.arange(6) + rng.normal(0, 0.04, 6)))
        answer = output_trend(seen)
        held += answer.low <= -0.02 * 365.25 / 365 * 100 <= answer.high

    assert 0.87 <= held / draws <= 0.94


def test_the_forecast_holds_the_true_day_nine_times_in_ten():
    rng, held, draws = np.random.default_rng(6), 0, 300
    today = START + 6 * YEAR
    truth = 0.15 / 0.02 * 365 - (today - START).days
    for _ in range(draws):
        seen = yearly(*(-0.02 * np.arange(6) + rng.normal(0, 0.025, 6)))
        answer = drift_forecast(seen, limit_of("policy"), today)
        low = -1.0 if answer.low is None else answer.low
        high = 4000.0 if answer.high is None else answer.high
        held += answer.value is None or low <= truth <= high

    assert held / draws >= 0.87


def test_few_tests_that_agree_too_well_do_not_make_it_sure():
    answer = output_trend(yearly(0.0, -0.05, -0.10))

    assert answer.high - answer.low > 5.0


@pytest.mark.parametrize("errors", [(), (0.01,), (0.01, 0.05)])
def test_there_is_no_line_through_fewer_than_three(errors):
    answer = output_trend(yearly(*errors))
    forecast = drift_forecast(yearly(*errors), limit_of("policy"), date(2026, 1, 1))

    assert drift_of(yearly(*errors)) is None
    assert answer.value is None
    assert "needs three" in answer.sentence
    assert forecast.verdict is Verdict.NOT_YET
    assert forecast.settles


def test_three_tests_on_one_day_are_one_test():
    assert drift_of([ErrorOn(START, one) for one in (0.0, 0.1, 0.2)]) is None


def test_a_steady_one_keeps_its_limit_and_says_that_no_drift_shows():
    seen = tuple(ErrorOn(START + n * YEAR / 2, 0.004 * (-1) ** n) for n in range(20))
    today = seen[-1].at

    assert "No drift" in output_trend(seen).sentence
    assert drift_forecast(seen, limit_of("study"), today).verdict is Verdict.FINE
    assert drift_forecast(seen, limit_of("study"), today).value is None


def test_one_that_is_beyond_already_is_said_to_be():
    seen = yearly(0.0, -0.06, -0.12, -0.18)
    answer = drift_forecast(seen, limit_of("policy"), seen[-1].at)

    assert answer.value == 0.0
    assert "already" in answer.sentence
    assert answer.verdict is Verdict.LOOK_AGAIN


def test_without_a_limit_there_is_nothing_to_leave():
    answer = drift_forecast(yearly(0.0, 0.01, 0.02), None, date(2026, 1, 1))

    assert answer.value is None
    assert "no limit" in answer.sentence


def test_what_says_nothing_has_no_place_in_a_trend():
    with pytest.raises(RuleBroken, match="no place in a trend"):
        error_on(START, ())
    with pytest.raises(InvalidQuantity, match="error_share"):
        ErrorOn(START, float("nan"))
