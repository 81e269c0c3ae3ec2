"""The figures of kinetics at a tenth of their counts: near, and told apart. None measures time."""

import numpy as np
import pytest

from benchmarks import kinetics
from benchmarks.kinetics_reference import Tolerance
from tests.counts import counted

pytestmark = pytest.mark.comparison

MINUTES = counted(240)


@pytest.mark.parametrize("feedback", [False, True])
def test_the_engine_agrees_with_equations_written_a_second_time(feedback):
    """LSODA at 1e-10 on lean equations that share nothing with the engine but its parameters."""
    case = kinetics.Case(feedback=feedback, minutes=float(MINUTES))

    assert case.error() < 1e-6


def test_a_wrong_equation_would_be_seen():
    case = kinetics.Case(feedback=True, minutes=6.0)
    chosen, run = case.chosen()
    exact = case.theirs(Tolerance(1e-8, 1e-11))
    other = kinetics.model(1, feedback=True, effect_per_min=0.26)
    wrong = kinetics.feedback_course(other, run)[0].reshape(exact.shape)

    assert chosen.effect_per_min[0] == 0.25
    assert np.abs(wrong - exact).max() > 1e-5


@pytest.mark.parametrize("feedback", [False, True])
def test_an_animal_among_many_comes_out_as_it_does_alone(feedback):
    count = counted(100)
    crowd = kinetics.model(count, feedback=feedback)
    run = kinetics.run_of(
        crowd, kinetics.settings(nitrous=feedback), kinetics.every(10.0, 120.0), kinetics.KEPT
    )
    course = kinetics.feedback_course if feedback else kinetics.linear_course
    together = course(crowd, run)

    last = crowd.part(slice(count - 1, count))
    alone = course(last, kinetics.run_of(last, run.settings, run.times_min, kinetics.KEPT))
    assert np.abs(together[-1:] - alone).max() < 1e-4


def test_the_figures_of_the_published_studies_are_met():
    found = list(kinetics.studies(60))

    assert [one.name for one in found if not one.met] == []
    assert len(found) == 6
