"""Newton steps of one element: an arrowhead for each gas and each value of the scheme.

Every tissue is coupled only to the lung and to mixed venous blood, so it is eliminated by one
division; system, lung and venous pool are left as four equations, solved in closed form.
"""

import numpy as np
from numpy.typing import NDArray

from ullage.core.kinetics.body import Floats
from ullage.core.kinetics.collocation import STAGES, scheme
from ullage.core.kinetics.feedback import Model, streams_at
from ullage.core.kinetics.matrices import EFFECT, FA, FI, FR, PV, TISSUE, Streams
from ullage.core.kinetics.settings import Setting, SystemKind

__all__ = ["Newton"]

Complexes = NDArray[np.complex128]


class Newton:
    """The Jacobian at the start of an element, frozen and eliminated for every step after."""

    def __init__(self, model: Model, state: Floats, piece: Setting, length: float) -> None:
        whole = scheme()
        self.shape = state.shape
        self.difference = whole.difference / length
        self.from_start = (whole.from_start / length)[:, None] * state.reshape(state.shape[0], -1)[
            :, None
        ]
        streams, _ = streams_at(model, state[:, None], piece)
        shift = (whole.values / length)[:, None]  # (m, 1), against (n, 1, g)
        self._blood(model, streams, shift)
        self._system(model, streams, shift)

    def _blood(self, model: Model, streams: Streams, shift: Complexes) -> None:
        """Eliminate tissues and venous pool: what they give back to the lung."""
        body = model.body
        shunt = body.shunt_fraction[:, None, None]
        k = model.per_output[:, None] * streams.output[..., None, None]
        self.tissue_divisor = 1.0 / (shift[..., None] + k)
        pool = streams.output / body.venous_l[:, None]
        share = body.flow_fraction[:, None, None, :] * pool[..., None, None]
        self.returned = share * self.tissue_divisor
        self.from_lung = k * model.kept[:, None] * (1.0 - shunt[..., None])
        self.from_pool = k * model.kept[:, None] * shunt[..., None]
        self.pool_gain = (self.returned * self.from_lung).sum(-1)
        back = (self.returned * self.from_pool).sum(-1)
        self.pool_divisor = 1.0 / (shift + pool[..., None] - back)
        carried = (1.0 - shunt) * streams.output[..., None] * model.blood_gas[:, None]
        self.lung_from_pool = carried / model.lung[:, None]
        self.lung_loss = (streams.out_of[..., None] + carried) / model.lung[:, None]
        self.lung_from_system = streams.into[..., None] / model.lung[:, None]
        effect = model.effect_per_min[:, None, None]
        self.effect_rate = effect
        self.effect_divisor = 1.0 / (shift + effect)

    def _system(self, model: Model, streams: Streams, shift: Complexes) -> None:
        """Eliminate the breathing system, then the lung."""
        system = model.system
        zero = np.zeros_like(streams.into)[..., None]
        lost = model.lost[:, None]
        loss = recycled = side_from_lung = side_from_front = side_loss = front_from_lung = zero
        if system.kind is SystemKind.MIXED:
            loss = ((streams.into + streams.spill)[..., None] + lost) / system.inspiratory_l
            front_from_lung = streams.out_of[..., None] / system.inspiratory_l
        elif system.kind is SystemKind.CIRCLE:
            loss = (streams.fresh + streams.recycled)[..., None] / system.inspiratory_l
            recycled = streams.recycled[..., None] / system.inspiratory_l
            side_from_lung = streams.out_of[..., None] / system.reservoir_l
            side_from_front = (streams.dead + streams.excess)[..., None] / system.reservoir_l
            side_loss = ((streams.recycled + streams.spill)[..., None] + lost) / system.reservoir_l
        self.recycled, self.side_from_front = recycled, side_from_front
        self.side_from_lung = side_from_lung
        self.side_divisor = 1.0 / (shift + side_loss)
        through = recycled * self.side_divisor
        self.front_divisor = 1.0 / (shift + loss - through * side_from_front)
        self.front_gain = (front_from_lung + through * side_from_lung) * self.front_divisor
        self.lung_divisor = 1.0 / (
            shift
            + self.lung_loss
            - self.lung_from_system * self.front_gain
            - self.lung_from_pool * self.pool_gain * self.pool_divisor
        )

    def step(self, moments: Floats, change: Floats) -> Floats:
        """Newton step for all moments of an element at once.

        Parameters
        ----------
        moments, change : [1] states and their slopes, shape (n, STAGES, g, 12).

        Returns
        -------
        [1] what to add to the states.
        """
        whole = scheme()
        n, g, states = self.shape
        flat = moments.reshape(n, STAGES, -1)
        rest = change.reshape(flat.shape) - self.difference @ flat - self.from_start
        y = (whole.inverse @ rest).reshape(n, -1, g, states)
        self._solve(y)
        found: Floats = (whole.vectors @ y.reshape(n, -1, g * states)).real
        return found.reshape(moments.shape)

    def _solve(self, y: Complexes) -> None:
        """Replace the right side by the solution of the arrowhead system."""
        tissue = y[..., TISSUE]
        pool = y[..., PV] + (self.returned * tissue).sum(-1)
        front = y[..., FI] + self.recycled * self.side_divisor * y[..., FR]
        front *= self.front_divisor
        lung = y[..., FA] + self.lung_from_system * front
        lung += self.lung_from_pool * self.pool_divisor * pool
        lung *= self.lung_divisor
        pool += self.pool_gain * lung
        pool *= self.pool_divisor
        front += self.front_gain * lung
        y[..., FA], y[..., PV], y[..., FI] = lung, pool, front
        y[..., FR] += self.side_from_lung * lung + self.side_from_front * front
        y[..., FR] *= self.side_divisor
        tissue += self.from_lung * lung[..., None] + self.from_pool * pool[..., None]
        tissue *= self.tissue_divisor
        y[..., EFFECT] += self.effect_rate * tissue[..., 0]
        y[..., EFFECT] *= self.effect_divisor
