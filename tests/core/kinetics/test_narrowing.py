"""Draws weighed by readings: on paper, against a dense normal distribution, and by laws."""

from itertools import pairwise
from math import inf, log, nan, sqrt
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import multivariate_normal

from ullage.core.errors import InvalidQuantity
from ullage.core.kinetics import (
    Belief,
    Doubt,
    LevelKind,
    Measured,
    effective_draws,
    narrowed,
    reading_chance,
    widened_bands,
)

DOUBT = Doubt(staying_share=0.06, passing_share=0.05, passing_min=30.0, calibration_share=0.04)
SURE = Doubt(staying_share=0.0, passing_share=0.0, passing_min=30.0, calibration_share=0.0)
BELIEF = Belief(least_chance=0.01, least_effective_share=0.0)
#: Evenly spaced quantiles of levels about 1.2 % that spread by 15 %.
DRAWS = 0.012 * np.exp([0.15 * NormalDist().inv_cdf((k + 0.5) / 101) for k in range(101)])
ET, FI = LevelKind.END_TIDAL, LevelKind.INSPIRED


def read(fraction, at=20.0, kind=ET, error=0.05):
    return Measured(at_min=at, kind=kind, fraction=fraction, error_share=error)


def weighed(readings, *, doubt=DOUBT, belief=BELIEF, draws=DRAWS):
    """The same level of each draw at every reading."""
    return narrowed(np.repeat(draws[:, None], len(readings), axis=1), readings, doubt, belief)


fractions = st.floats(0.009, 0.016)
readings = st.builds(
    read, fractions, st.floats(0.0, 60.0), st.sampled_from([ET, FI]), st.floats(0.01, 0.5)
)
several = st.lists(readings, min_size=1, max_size=6)


def test_without_readings_everything_is_as_before():
    found = weighed([])
    times = np.array([0.0, 10.0, 40.0])
    levels = np.stack([DRAWS, 1.1 * DRAWS, 0.0 * DRAWS], axis=1)

    assert found.weights.tolist() == [1 / 101] * 101
    assert (found.power, found.foretold) == (1.0, ())
    assert found.effective == pytest.approx(101.0)
    before = widened_bands(levels, sqrt(0.06**2 + 0.05**2))
    assert found.bands(levels, times, ET) == pytest.approx(before, rel=1e-12)


def test_one_animal_is_moved_as_two_normal_numbers_are_weighed():
    """Normal before with s, reading with e: s^2/(s^2 + e^2) of the way, and 1/s^2 + 1/e^2 left."""
    doubt = Doubt(staying_share=0.06, passing_share=0.0, passing_min=30.0, calibration_share=0.0)
    found = weighed([read(0.0132, error=0.08)], doubt=doubt, draws=np.array([0.012]))

    factors, spread = found.moved(np.array([500.0]), ET)
    assert log(factors[0, 0]) == pytest.approx(0.36 * log(1.1))
    assert spread[0] == pytest.approx(0.06 * 0.8)


def test_what_passes_is_forgotten_and_what_stays_is_not():
    doubt = Doubt(staying_share=0.0, passing_share=0.1, passing_min=30.0, calibration_share=0.0)
    found = weighed([read(0.0132, error=1e-6)], doubt=doubt, draws=np.array([0.012]))

    factors, spread = found.moved(np.array([20.0, 50.0, 2000.0]), ET)
    assert np.log(factors[0]) == pytest.approx(log(1.1) * np.array([1.0, np.exp(-1.0), 0.0]))
    assert spread == pytest.approx(0.1 * np.array([0.0, sqrt(1 - np.exp(-2.0)), 1.0]), abs=2e-4)


def test_a_level_of_another_kind_is_moved_by_what_both_share():
    passing = Doubt(staying_share=0.0, passing_share=0.1, passing_min=30.0, calibration_share=0.0)

    for doubt, moves in ((passing, False), (DOUBT, True)):
        found = weighed([read(0.0132, kind=FI)], doubt=doubt, draws=np.array([0.012]))
        assert bool(found.moved(np.array([20.0]), ET)[0][0, 0] > 1.0) is moves
        assert found.moved(np.array([20.0]), FI)[0][0, 0] > 1.0


@given(several)
def test_weights_are_those_of_a_dense_normal_distribution(given_readings):
    """Covariance written out once more: what stays, what passes, calibration, noise."""
    found = weighed(given_readings, belief=Belief(least_chance=0.0, least_effective_share=0.0))
    rows = [[_between(one, other) for other in given_readings] for one in given_readings]
    covariance = np.array(rows) + np.diag([one.error_share**2 for one in given_readings])
    off = np.log([one.fraction for one in given_readings]) - np.log(DRAWS)[:, None]
    dense = multivariate_normal(np.zeros(len(given_readings)), covariance).logpdf(off)
    weights = np.exp(np.atleast_1d(dense) - np.max(dense))

    assert found.weights == pytest.approx(weights / weights.sum(), rel=1e-6, abs=1e-12)


def _between(one, other):
    passing = 0.05**2 * np.exp(-abs(one.at_min - other.at_min) / 30.0)
    return 0.06**2 + 0.04**2 + (passing if one.kind is other.kind else 0.0)


@given(several, fractions, st.floats(0.0, 60.0))
def test_a_reading_that_may_be_anything_changes_nothing(given_readings, fraction, at):
    before = weighed(given_readings)
    after = weighed([*given_readings, read(fraction, at, error=inf)])
    times = np.array([5.0, 70.0])

    assert after.weights.tolist() == before.weights.tolist()
    for one, other in zip(after.moved(times, ET), before.moved(times, ET), strict=True):
        assert one.tolist() == other.tolist()
    assert after.foretold[-1].chance == pytest.approx(1.0)
    assert after.foretold[-1].believed
    assert after.foretold[:-1] == before.foretold


@given(st.floats(0.010, 0.0145), st.floats(0.02, 0.3), st.integers(2, 8))
def test_the_same_value_again_narrows_more_and_more(fraction, error, times):
    spreads, distances = [], []
    for count in range(times + 1):
        found = weighed([read(fraction, error=error)] * count)
        spreads.append(float(found.moved(np.array([30.0]), ET)[1][0]))
        distances.append(float(found.weights @ np.log(DRAWS / fraction) ** 2))
        assert all(one.believed for one in found.foretold)

    assert all(later < earlier for earlier, later in pairwise(spreads))
    assert all(later <= earlier * (1 + 1e-12) for earlier, later in pairwise(distances))


@given(st.lists(st.tuples(fractions, st.sampled_from([ET, FI])), min_size=2, max_size=5), st.data())
def test_the_order_of_values_read_at_one_minute_does_not_matter(values, data):
    listed = [read(fraction, kind=kind) for fraction, kind in values]
    mixed = data.draw(st.permutations(range(len(listed))))
    one, other = weighed(listed), weighed([listed[k] for k in mixed])

    assert other.weights.tolist() == one.weights.tolist()
    assert [other.foretold[mixed.index(k)] for k in range(len(listed))] == list(one.foretold)


@given(several)
def test_readings_may_be_listed_in_any_order(given_readings):
    one, other = weighed(given_readings), weighed(given_readings[::-1])

    assert other.weights.tolist() == one.weights.tolist()
    assert other.foretold == one.foretold[::-1]


@given(several)
def test_weights_add_to_one_and_draws_that_count_are_no_more_than_there_are(given_readings):
    found = weighed(given_readings)

    assert found.weights.sum() == pytest.approx(1.0)
    assert 1.0 <= found.effective <= 101.0 + 1e-9
    assert all(0.0 <= one.chance <= 1.0 for one in found.foretold)
    assert all(
        one.low_fraction <= one.middle_fraction <= one.high_fraction for one in found.foretold
    )


def test_each_draw_has_its_own_reading_to_foretell():
    levels = np.array([[0.012, 0.010], [0.010, 0.012]])
    found = narrowed(levels, [read(0.012, 5.0), read(0.010, 25.0)], SURE, BELIEF)

    assert found.weights[0] > 0.99


def test_a_value_that_no_draw_explains_is_not_believed_and_not_used():
    good, wild = read(0.0125, 10.0), read(0.036, 20.0)
    found = weighed([good, wild])

    assert [one.believed for one in found.foretold] == [True, False]
    assert found.foretold[1].chance < 1e-6
    assert found.weights.tolist() == weighed([good]).weights.tolist()


def test_a_wild_value_does_not_spoil_the_next_one():
    found = weighed([read(0.0125, 10.0), read(0.0, 20.0), read(0.0126, 30.0)])

    assert [one.believed for one in found.foretold] == [True, False, True]


def test_nine_of_ten_values_lie_in_the_range_that_was_foretold():
    ends = weighed([read(0.012)]).foretold[0]

    for end in (ends.low_fraction, ends.high_fraction):
        assert weighed([read(end)]).foretold[0].chance == pytest.approx(0.1, abs=0.01)


def test_readings_judge_later_ones_and_not_themselves():
    first, again = weighed([read(0.015), read(0.015, 21.0)]).foretold

    assert first == weighed([read(0.015)]).foretold[0]
    assert again.chance > first.chance
    assert again.high_fraction - again.low_fraction < first.high_fraction - first.low_fraction


def test_when_few_draws_explain_the_readings_they_count_less():
    many = [read(0.0155, at, error=0.01) for at in range(10)]
    belief = Belief(least_chance=0.0, least_effective_share=0.3)
    full, flat = weighed(many, doubt=SURE), weighed(many, doubt=SURE, belief=belief)

    assert full.effective < 0.3 * 101
    assert full.power == 1.0
    assert 0.0 < flat.power < 1.0
    assert flat.effective == pytest.approx(0.3 * 101, rel=1e-3)


def test_levels_of_nothing_are_told_apart_from_levels_of_something():
    nothing = np.zeros(5)

    assert weighed([read(0.0)], draws=nothing).foretold[0].believed
    assert not weighed([read(0.01)], draws=nothing).foretold[0].believed


@given(st.lists(st.sampled_from([1e-300, 1e-9, 0.1, 1e9, 1e300]), min_size=1, max_size=5))
def test_an_error_of_any_size_leaves_numbers_that_can_be(errors):
    found = weighed([read(0.0125, error=one) for one in errors])
    factors, spread = found.moved(np.array([20.0, 40.0]), ET)

    assert found.weights.sum() == pytest.approx(1.0)
    assert np.all(np.isfinite(factors) & (factors > 0.0))
    assert np.all((spread >= 0.0) & (spread <= sqrt(0.06**2 + 0.05**2) + 1e-12))


@pytest.mark.parametrize(
    ("levels", "readings_given"),
    [
        (np.empty((0, 1)), [read(0.01)]),
        (np.ones((3, 2)), [read(0.01)]),
        (np.ones(3), [read(0.01)]),
        (np.array([[nan]]), [read(0.01)]),
        (np.array([[-0.1]]), [read(0.01)]),
    ],
)
def test_levels_that_cannot_be_are_refused(levels, readings_given):
    with pytest.raises(InvalidQuantity, match="levels"):
        narrowed(levels, readings_given, DOUBT, BELIEF)


@pytest.mark.parametrize(
    "changed",
    [{"fraction": 1.2}, {"fraction": nan}, {"error": 0.0}, {"error": nan}, {"at": inf}],
)
def test_a_reading_that_cannot_be_is_refused(changed):
    with pytest.raises(InvalidQuantity, match=f"^{next(iter(changed))}"):
        read(**{"fraction": 0.01, **changed})


@pytest.mark.parametrize("name", ["staying_share", "passing_share", "calibration_share"])
def test_a_doubt_below_nothing_is_refused(name):
    given = {"staying_share": 0, "passing_share": 0, "passing_min": 1, "calibration_share": 0}

    with pytest.raises(InvalidQuantity, match=name):
        Doubt(**{**given, name: -0.1})


def test_two_standard_deviations_off_are_one_in_twenty():
    assert reading_chance(0.012 * np.exp(0.196), 0.012, 0.1) == pytest.approx(0.05, abs=1e-4)


@given(fractions, fractions, st.floats(0.01, 0.5))
def test_the_chance_of_a_reading_is_that_of_one_animal_alone(one, other, share):
    alone = weighed([read(one, error=share)], doubt=SURE, draws=np.array([other])).foretold[0]

    assert reading_chance(one, other, share) == pytest.approx(alone.chance, abs=1e-9)
    assert reading_chance(other, one, share) == pytest.approx(reading_chance(one, other, share))


def test_draws_that_count():
    assert effective_draws(np.ones(7)) == 7.0
    assert effective_draws(np.array([1.0, 0.0])) == 1.0
    assert effective_draws(np.array([0.9, 0.1])) == pytest.approx(1 / 0.82)


@pytest.mark.parametrize("weights", [[], [0.0, 0.0], [-1.0, 2.0], [nan], [inf]])
def test_weights_that_cannot_be_are_refused(weights):
    with pytest.raises(InvalidQuantity, match="weights"):
        effective_draws(np.array(weights))
