"""An alveolar level that is held: what the blood takes up, and what must be brought."""

from dataclasses import dataclass

import numpy as np

from ullage.core.checks import positive
from ullage.core.kinetics.body import Body, Floats, Solubility
from ullage.core.kinetics.linear import propagated, steady_streams
from ullage.core.kinetics.matrices import FA, FI, PV, STATES, lung_l, rates
from ullage.core.kinetics.settings import Setting, System, SystemKind

__all__ = ["Held", "held_level"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """The course of one gas with its alveolar level held from minute 0 on.

    ``states`` [1] has shape (n, t, 12), ``uptake_l_min`` (n, t) in litres of the lung;
    ``inspired`` [1] and ``end_tidal`` [1] are what an analyser would show.
    """

    times_min: Floats
    states: Floats
    uptake_l_min: Floats
    inspired: Floats
    end_tidal: Floats
    lung_l: Floats

    def needed_l(self, system_l: float) -> Floats:
        """Vapour brought up to each time: what was taken up, and what fills lung and system.

        Parameters
        ----------
        system_l : [L] of the breathing system, in litres of the lung.

        Returns
        -------
        [L] of the lung, shape (n, t); the integral is that of trapezoids between the times.

        Source: uptake_base (equation 19).
        """
        middle = 0.5 * (self.uptake_l_min[:, 1:] + self.uptake_l_min[:, :-1])
        taken = np.cumsum(middle * np.diff(self.times_min), axis=1)
        filled = self.states[:, :1, FA] * (self.lung_l[:, None] + system_l)
        found: Floats = filled + np.concatenate([np.zeros_like(filled), taken], axis=1)
        return found


def held_level(
    body: Body,
    gas: Solubility,
    level: float,
    times_min: Floats,
    effect_per_min: Floats | float = 0.0,
) -> Held:
    """Everything that follows from an alveolar level held constant from minute 0 on.

    Parameters
    ----------
    body : n animals.
    gas : its solubility in them.
    level : [1] alveolar fraction, above 0.
    times_min : [min] rising, from 0 on.
    effect_per_min : [/min] rate of the effect site.

    Raises
    ------
    InvalidQuantity : a level that is not above 0.

    Source: uptake_base (equation 19).
    """
    positive("level", level)
    still = Setting(start_min=0.0, fresh_gas_l_min=0.0)
    system = System(kind=SystemKind.OPEN)
    effect = np.broadcast_to(np.asarray(effect_per_min, dtype=float), body.count)
    matrix, _ = rates(body, gas, system, steady_streams(body, system, still), effect)
    matrix[:, FA] = 0.0  # whatever the blood takes is brought at once
    state = np.zeros((body.count, STATES))
    state[:, FA] = level
    states = propagated(matrix, state, times_min)
    carried = (1.0 - body.shunt_fraction) * body.cardiac_output_l_min * gas.blood_gas
    uptake = carried[:, None] * (level - states[..., PV])
    inspired = level + uptake / body.alveolar_l_min[:, None]
    states[..., FI] = inspired
    dead = body.dead_alveolar_fraction[:, None]
    return Held(
        times_min=times_min,
        states=states,
        uptake_l_min=uptake,
        inspired=inspired,
        end_tidal=(1.0 - dead) * level + dead * inspired,
        lung_l=lung_l(body, gas),
    )
