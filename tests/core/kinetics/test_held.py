"""A held alveolar level against the computed reference solution and against laws."""

import numpy as np
import pytest

from tests.core.kinetics.reference_set import reference_body, reference_gas
from ullage.core.errors import InvalidQuantity
from ullage.core.kinetics import EFFECT, FA, TISSUE, held_level

# uptake.md section 9.5 (computed): desflurane 8 %, litres of the lung per minute.
PRINTED = {0: 0.17493, 1: 0.14039, 5: 0.06498, 30: 0.03864, 60: 0.02962, 120: 0.01938}


def held(level=0.08, minutes=120, **more):
    times = np.arange(0.0, minutes + 0.01, 0.05)
    return held_level(reference_body(70.0), reference_gas("desflurane"), level, times, **more)


@pytest.mark.comparison
def test_uptake_agrees_with_the_computed_reference_solution():
    found = held()

    at = [round(minute / 0.05) for minute in PRINTED]
    assert found.uptake_l_min[0, at] == pytest.approx(list(PRINTED.values()), abs=0.6e-5)
    assert found.lung_l[0] == pytest.approx(3.01380, abs=0.6e-5)


def test_the_level_stays_and_the_blood_comes_to_it():
    found = held(minutes=20_000)

    assert np.ptp(found.states[0, :, FA]) == 0.0
    assert found.states[0, -1, TISSUE] == pytest.approx(0.08, rel=1e-6)
    assert found.uptake_l_min[0, -1] == pytest.approx(0.0, abs=1e-8)


def test_what_is_inspired_covers_the_uptake_and_end_tidal_lies_between():
    found = held()

    covered = reference_body(70.0).alveolar_l_min[0] * (found.inspired[0] - 0.08)
    assert covered == pytest.approx(found.uptake_l_min[0], rel=1e-12)
    assert np.all((found.end_tidal > 0.08) & (found.end_tidal < found.inspired))


def test_what_is_needed_starts_with_the_filling_and_grows_with_the_uptake():
    found = held()

    needed = found.needed_l(5.0)[0]
    assert needed[0] == pytest.approx(0.08 * (3.01380 + 5.0), abs=1e-5)
    taken = np.trapezoid(found.uptake_l_min[0], found.times_min)
    assert needed[-1] - needed[0] == pytest.approx(taken, rel=1e-12)


def test_the_effect_site_follows_the_brain():
    found = held(effect_per_min=0.25)

    brain, site = found.states[0, :, TISSUE.start], found.states[0, :, EFFECT]
    assert np.all(site[1:] < brain[1:])
    assert held().states[0, -1, EFFECT] == 0.0


def test_twice_the_level_takes_twice_as_much():
    once, twice = held(0.04), held(0.08)

    assert twice.uptake_l_min == pytest.approx(2.0 * once.uptake_l_min, rel=1e-9)


def test_no_level_is_refused():
    with pytest.raises(InvalidQuantity, match="level is 0; it must be a number above 0"):
        held(0.0)
