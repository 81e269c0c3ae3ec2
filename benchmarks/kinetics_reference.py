"""The equations of uptake written a second time, lean, for a general-purpose integrator.

One animal, plain numpy, nothing shared with the engine but its parameters: so that the integrator
is as fast as it can be, and an error of the engine's own slopes would show.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from ullage.core.kinetics import STATES, Model, Setting
from ullage.core.kinetics.linear import steady_streams
from ullage.core.kinetics.matrices import rates

__all__ = ["Tolerance", "circle_slope", "integrated", "linear_slope"]

Floats = NDArray[np.float64]
Slope = Callable[[float, Floats], Floats]


@dataclass(frozen=True, slots=True)
class Tolerance:
    """Relative and absolute tolerance of the integrator."""

    relative: float
    absolute: float


def linear_slope(model: Model, setting: Setting) -> Slope:
    """Slope of the linear equations of one gas: a matrix and a vector."""
    name = model.names[0]
    streams = steady_streams(model.body, model.system, setting)
    matrix, inflow = rates(model.body, model.gas(0), model.system, streams, model.effect_per_min)
    whole, brought = matrix[0], inflow[0] * setting.delivered.get(name, 0.0)
    return lambda _minute, state: whole @ state + brought


def circle_slope(model: Model, setting: Setting) -> Slope:
    """Slope of a circle with volume balance, breathing and output against depth."""
    body, feedback = model.body, model.feedback
    alveolar, minute, heart = (
        float(one[0])
        for one in (body.alveolar_l_min, body.minute_volume_l_min, body.cardiac_output_l_min)
    )
    shunt, made, pool = (
        float(one[0]) for one in (body.shunt_fraction, body.co2_output_l_min, body.venous_l)
    )
    inspiratory, reservoir = model.system.inspiratory_l, model.system.reservoir_l
    carried, lung, used = (1.0 - shunt) * model.blood_gas[0], model.lung[0], model.used[0]
    rate, kept, lost = model.per_output[0], model.kept[0], model.lost[0]
    shares, potency = body.flow_fraction[0], model.potency[0]
    fresh, effect = setting.fresh_gas_l_min, float(model.effect_per_min[0])
    delivered = np.array([setting.delivered.get(name, 0.0) for name in model.names])

    def slope(_minute: float, flat: Floats) -> Floats:
        state = flat.reshape(-1, STATES)
        inspired, side, gas, venous = state[:, 0], state[:, 1], state[:, 2], state[:, 3]
        tissue = state[:, 4:11]
        depth = float(tissue[:, 0] @ potency)
        share = max(feedback.ventilation_floor, 1.0 - feedback.ventilation_slope * depth)
        output = heart * (1.0 - feedback.output_slope * max(0.0, depth - feedback.output_from))
        uptake = carried * output * (gas - venous) + used
        net = float(uptake.sum())
        into, whole = alveolar * share, minute * share
        out_of = into - net + made
        recycled, excess = max(whole - fresh, 0.0), max(fresh - whole, 0.0)
        spill = max(fresh - net, 0.0)
        out = np.empty_like(state)
        out[:, 0] = (fresh * (delivered - inspired) + recycled * (side - inspired)) / inspiratory
        past = (whole - into + excess) * inspired
        out[:, 1] = (out_of * gas + past - (recycled + spill + lost) * side) / reservoir
        out[:, 2] = (into * inspired - out_of * gas - uptake) / lung
        out[:, 3] = output / pool * (tissue @ shares - venous)
        arterial = gas + shunt * (venous - gas)
        out[:, 4:11] = rate * output * (kept * arterial[:, None] - tissue)
        out[:, 11] = effect * (tissue[:, 0] - state[:, 11])
        return out.ravel()

    return slope


def integrated(
    model: Model,
    plan: tuple[Sequence[Setting], Floats],
    start: Floats,
    slope_of: Callable[[Model, Setting], Slope],
    tolerance: Tolerance,
) -> Floats:
    """States at the times of a plan, by LSODA, setting after setting; shape (t, g * 12)."""
    settings, times = plan
    state, found = start.ravel(), []
    ends = [one.start_min for one in settings[1:]] + [float(times[-1])]
    for setting, end in zip(settings, ends, strict=True):
        inside = times[(times > setting.start_min) & (times <= end)]
        solved = solve_ivp(
            slope_of(model, setting),
            (setting.start_min, end),
            state,
            "LSODA",
            rtol=tolerance.relative,
            atol=tolerance.absolute,
            t_eval=inside,
        )
        found.append(solved.y.T)
        state = solved.y[:, -1]
    return np.concatenate(found)
