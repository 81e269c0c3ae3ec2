"""A closed circle dosed with liquid: the square-root rule, and doses injected into a system."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from math import inf, sqrt

import numpy as np

from ullage.core.checks import not_negative, positive, within
from ullage.core.errors import InvalidQuantity
from ullage.core.kinetics.body import Floats
from ullage.core.kinetics.feedback import Model
from ullage.core.kinetics.linear import linear_course
from ullage.core.kinetics.matrices import FI
from ullage.core.kinetics.run import Run
from ullage.core.kinetics.settings import SystemKind

__all__ = [
    "dosed_course",
    "oxygen_in_circle_fraction",
    "prime_dose_l",
    "square_root_dose_times_min",
    "square_root_uptake_l",
    "square_root_uptake_l_min",
    "unit_dose_l",
]


def unit_dose_l(output_l_min: float, blood_gas: float, alveolar_fraction: float) -> float:
    """Vapour of one dose of the square-root rule; one is given at minute 1, 4, 9, 16 and so on.

    Parameters
    ----------
    output_l_min : [L/min] of the heart, above 0.
    blood_gas : [1] partition coefficient, above 0.
    alveolar_fraction : [1] level to hold, 0 to 1.

    Returns
    -------
    [L] of vapour at body temperature.

    Raises
    ------
    InvalidQuantity : an output, coefficient or level out of range.

    Source: uptake_base (equation 11: 2 x output x blood/gas x level).

    >>> round(unit_dose_l(21.6, 1.43, 0.0131), 2)
    0.81
    """
    positive("output_l_min", output_l_min)
    positive("blood_gas", blood_gas)
    return 2.0 * output_l_min * blood_gas * within("alveolar_fraction", alveolar_fraction, 0.0, 1.0)


def prime_dose_l(circuit_l: float, lung_l: float, alveolar_fraction: float, unit_l: float) -> float:
    """Vapour that fills circuit and lung at the start, and half a unit dose for the blood.

    Parameters
    ----------
    circuit_l : [L] of the breathing system, 0 or more.
    lung_l : [L] functional residual capacity, above 0.
    alveolar_fraction : [1] level to hold, 0 to 1.
    unit_l : [L] unit dose, 0 or more.

    Returns
    -------
    [L] of vapour at body temperature.

    Raises
    ------
    InvalidQuantity : a volume or level out of range.

    Source: uptake_base (equation 11).

    >>> round(prime_dose_l(5.0, 2.2, 0.08, 0.36), 3)
    0.756
    """
    not_negative("circuit_l", circuit_l)
    positive("lung_l", lung_l)
    within("alveolar_fraction", alveolar_fraction, 0.0, 1.0)
    return (circuit_l + lung_l) * alveolar_fraction + 0.5 * not_negative("unit_l", unit_l)


def square_root_uptake_l_min(unit_l: float, after_min: float) -> float:
    """Uptake at one moment by the square-root rule.

    Measured uptake does not follow it: after the first minutes it is nearly constant for an hour.

    Parameters
    ----------
    unit_l : [L] unit dose, 0 or more.
    after_min : [min] since the start, above 0.

    Returns
    -------
    [L/min] of vapour.

    Raises
    ------
    InvalidQuantity : a dose below 0, or a time not above 0.

    Source: uptake_base (equation 11).

    >>> square_root_uptake_l_min(0.8, 4.0)
    0.2
    """
    return not_negative("unit_l", unit_l) / (2.0 * sqrt(positive("after_min", after_min)))


def square_root_uptake_l(unit_l: float, after_min: float) -> float:
    """Uptake since the start by the square-root rule.

    Parameters
    ----------
    unit_l : [L] unit dose, 0 or more.
    after_min : [min] since the start, 0 or more.

    Returns
    -------
    [L] of vapour.

    Raises
    ------
    InvalidQuantity : a dose or time below 0.

    Source: uptake_base (equation 11).

    >>> round(square_root_uptake_l(0.8, 9.0), 2)
    2.4
    """
    return not_negative("unit_l", unit_l) * sqrt(not_negative("after_min", after_min))


def square_root_dose_times_min(last_min: float) -> tuple[float, ...]:
    """Minutes at which the doses of the square-root rule are given, the start included.

    Parameters
    ----------
    last_min : [min] end of the case, 0 or more.

    Returns
    -------
    [min] squares of the whole numbers.

    Source: uptake_base (equation 11).

    >>> square_root_dose_times_min(20.0)
    (0.0, 1.0, 4.0, 9.0, 16.0)
    """
    not_negative("last_min", last_min)
    return tuple(float(k * k) for k in range(int(sqrt(last_min)) + 1))


def dosed_course(
    model: Model, run: Run, doses_l: Sequence[tuple[float, float]], number: int = 0
) -> Floats:
    """Course of a system into which vapour is injected at once, again and again.

    Parameters
    ----------
    model : animals, gases and a system that holds gas.
    run : settings and times.
    doses_l : [L] minute and vapour of each dose, in litres of the lung.
    number : [1] which gas is injected.

    Returns
    -------
    [1] fractions of one atmosphere, shape (n, t, g, 12); at a dose the state just before it.

    Raises
    ------
    InvalidQuantity : an open system, which holds nothing; a run that keeps only some states.

    Source: uptake_base (equations 9 and 11).
    """
    if model.system.kind is SystemKind.OPEN or run.keep is not None:
        raise InvalidQuantity("system volume", 0.0, "above 0, and every state kept")
    first, last = run.settings[0].start_min, float(run.times_min[-1])
    state, out = run.first_state(model), []
    given = sorted(one for one in doses_l if first <= one[0] < last)
    edges = sorted({first, *(at for at, _ in given), last})
    for start, end in pairwise(edges):
        dose = sum(litres for at, litres in given if at == start)
        state[:, number, FI] += dose / model.system.inspiratory_l
        from_here = run.times_min >= start if start == first else run.times_min > start
        inside = run.times_min[from_here & (run.times_min <= end)]
        found = linear_course(model, _between(run, (start, end), (inside, state)))
        out.append(found[:, : inside.size])
        state = found[:, -1].copy()
    return np.concatenate(out, axis=1)


def _between(run: Run, span: tuple[float, float], inside: tuple[Floats, Floats]) -> Run:
    """The part of a run between two minutes, from a state on."""
    start, end = span
    times, state = inside
    before = [one for one in run.settings if one.start_min <= start][-1]
    later = [one for one in run.settings if start < one.start_min < end]
    return replace(
        run,
        settings=(replace(before, start_min=start), *later),
        times_min=np.union1d(times, [end]),
        start=state,
    )


def oxygen_in_circle_fraction(
    fresh_l_min: float,
    oxygen_l_min: float,
    oxygen_use_l_min: float,
    other_uptake_l_min: float = 0.0,
) -> float:
    """Oxygen in a low-flow circle once everything else has settled.

    Parameters
    ----------
    fresh_l_min : [L/min] fresh gas, above 0.
    oxygen_l_min : [L/min] oxygen in it, 0 to all of it.
    oxygen_use_l_min : [L/min] oxygen used, 0 or more.
    other_uptake_l_min : [L/min] uptake of nitrous oxide and the like, 0 or more.

    Returns
    -------
    [1] share of the gas that leaves; 0 where less oxygen comes than is used.

    Raises
    ------
    InvalidQuantity : a flow out of range, or nothing that leaves the circle.

    Source: uptake_base (equation 15).

    >>> round(oxygen_in_circle_fraction(1.0, 0.5, 0.24, 0.10), 2)
    0.39
    """
    positive("fresh_l_min", fresh_l_min)
    within("oxygen_l_min", oxygen_l_min, 0.0, fresh_l_min)
    not_negative("oxygen_use_l_min", oxygen_use_l_min)
    not_negative("other_uptake_l_min", other_uptake_l_min)
    leaving = fresh_l_min - oxygen_use_l_min - other_uptake_l_min
    within("gas that leaves the circle", leaving, 1e-12, inf)
    return max(oxygen_l_min - oxygen_use_l_min, 0.0) / leaving
