"""Newton steps of one element: an arrowhead for each gas and each value of the scheme.

Every tissue is coupled only to the lung and to mixed venous blood, so it is eliminated by one
division; system, lung and venous pool are left as four equations, solved in closed form.
"""

import numpy as np
from numpy.typing import NDArray

from ullage.core.kinetics.body import Floats
from ullage.core.kinetics.collocation import STAGES, scheme
from ullage.core.kinetics.feedback import Model
from ullage.core.kinetics.matrices import EFFECT, FA, FI, FR, PV, TISSUE, Streams
from ullage.core.kinetics.settings import SystemKind

__all__ = ["Newton"]

Complexes = NDArray[np.complex128]


def _at(flow: Floats, moment: int) -> Floats:
    """A flow at one moment, shape (n, 1, 1)."""
    return flow[:, moment if flow.shape[1] > 1 else 0, None, None]


class Newton:
    """The Jacobian in the middle of an element, frozen and eliminated for every step after."""

    def __init__(self, model: Model, state: Floats, streams: Streams, length: float) -> None:
        whole = scheme()
        self.shape, self.system = state.shape, model.system.kind
        self.difference = whole.difference / length
        shift = (whole.values / length)[:, None]  # (m, 1), against (n, 1, g)
        self.still = (1.0 / shift)[..., None]
        self._blood(model, streams, shift)
        self._alveoli(model, streams, shift)

    def _blood(self, model: Model, streams: Streams, shift: Complexes) -> None:
        """Eliminate tissues and venous pool: what they give back to the lung."""
        output = _at(streams.output, STAGES // 2)
        self.shunt = model.body.shunt_fraction[:, None, None]
        k = model.per_output[:, None] * output[..., None]
        self.tissue_divisor = 1.0 / (shift[..., None] + k)
        pool = output / model.body.venous_l[:, None, None]
        share = model.body.flow_fraction[:, None, None, :] * pool[..., None]
        self.returned = share * self.tissue_divisor.conj()  # the product below takes its conjugate
        self.from_blood = k if model.extraction is None else k * model.kept[:, None]
        whole = np.vecdot(self.returned, self.from_blood.astype(complex))
        self.pool_gain = (1.0 - self.shunt) * whole
        self.pool_divisor = 1.0 / (shift + pool - self.shunt * whole)
        carried = model.carried * output / model.lung[:, None]
        self.pool_to_lung = carried * self.pool_divisor
        self.lung_rest = shift + carried - self.pool_to_lung * self.pool_gain
        self.effect_rate = model.effect_per_min[:, None, None]
        self.effect_divisor = 1.0 / (shift + self.effect_rate)

    def _alveoli(self, model: Model, streams: Streams, shift: Complexes) -> None:
        """Eliminate the breathing system, then the lung."""
        system, moment = model.system, STAGES // 2
        into, out_of = _at(streams.into, moment), _at(streams.out_of, moment)
        lung = model.lung[:, None]
        rest = self.lung_rest + out_of / lung
        if system.kind is not SystemKind.OPEN:
            lost, spill = model.lost[:, None], _at(streams.spill, moment)
            self.front_to_lung = into / lung
        if system.kind is SystemKind.MIXED:
            loss = (into + spill + lost) / system.inspiratory_l
            self.front_divisor = 1.0 / (shift + loss)
            self.front_gain = out_of / system.inspiratory_l * self.front_divisor
            rest = rest - self.front_to_lung * self.front_gain
        elif system.kind is SystemKind.CIRCLE:
            recycled = _at(streams.recycled, moment)
            self.front_to_side = _at(streams.past, moment) / system.reservoir_l
            self.lung_to_side = out_of / system.reservoir_l
            self.side_divisor = 1.0 / (shift + (recycled + spill + lost) / system.reservoir_l)
            self.side_to_front = recycled / system.inspiratory_l * self.side_divisor
            loss = (recycled + streams.fresh) / system.inspiratory_l
            self.front_divisor = 1.0 / (shift + loss - self.side_to_front * self.front_to_side)
            self.front_gain = self.side_to_front * self.lung_to_side * self.front_divisor
            rest = rest - self.front_to_lung * self.front_gain
        self.lung_divisor = 1.0 / rest

    def step(self, states: Floats, change: Floats) -> Floats:
        """Newton step for all moments of an element at once.

        Parameters
        ----------
        states : [1] at start and moments, shape (n, STAGES + 1, g, 12).
        change : [1/min] slopes at the moments, shape (n, STAGES, g, 12).

        Returns
        -------
        [1] what to add to the states at the moments.
        """
        whole = scheme()
        n, g, kinds = self.shape
        rest = self.difference @ states.reshape(n, STAGES + 1, -1)
        np.subtract(change.reshape(n, STAGES, -1), rest, out=rest)
        y = (whole.inverse @ rest).reshape(n, -1, g, kinds)
        self._solve(y)
        found: Floats = (whole.vectors @ y.reshape(n, -1, g * kinds)).real
        return found.reshape(change.shape)

    def _solve(self, y: Complexes) -> None:
        """Replace the right side by the solution of the arrowhead system."""
        tissue, pool, lung, front = y[..., TISSUE], y[..., PV], y[..., FA], y[..., FI]
        pool += np.vecdot(self.returned, tissue)
        if self.system is SystemKind.OPEN:
            y[..., : FR + 1] *= self.still
        else:
            if self.system is SystemKind.CIRCLE:
                front += self.side_to_front * y[..., FR]
            front *= self.front_divisor
            lung += self.front_to_lung * front
        lung += self.pool_to_lung * pool
        lung *= self.lung_divisor
        pool += self.pool_gain * lung
        pool *= self.pool_divisor
        if self.system is not SystemKind.OPEN:
            front += self.front_gain * lung
        if self.system is SystemKind.CIRCLE:
            side = y[..., FR]
            side += self.lung_to_side * lung + self.front_to_side * front
            side *= self.side_divisor
        elif self.system is SystemKind.MIXED:
            y[..., FR] *= self.still[..., 0]
        arterial = lung + self.shunt * (pool - lung)
        tissue += self.from_blood * arterial[..., None]
        tissue *= self.tissue_divisor
        effect = y[..., EFFECT]
        effect += self.effect_rate * tissue[..., 0]
        effect *= self.effect_divisor
