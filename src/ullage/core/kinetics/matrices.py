"""The linear equations as matrices: rates between the parts of system, lung, blood and tissue.

The state of one gas is ``[FI, FR, FA, Pv, seven tissues, effect site]``, each as the partial
pressure it is in equilibrium with, in fractions of one atmosphere.
"""

from typing import NamedTuple

import numpy as np

from ullage.core.kinetics.body import Body, Floats, Solubility
from ullage.core.kinetics.settings import System, SystemKind

__all__ = ["EFFECT", "FA", "FI", "FR", "PV", "STATES", "TISSUE", "Streams", "lung_l", "rates"]

FI, FR, FA, PV = 0, 1, 2, 3
TISSUE = slice(4, 11)
EFFECT = 11
STATES = 12
_VISCERA = 1


class Streams(NamedTuple):
    """Flows between the parts at one moment [L/min], each of shape (n,) or (n, moments).

    ``into`` and ``out_of`` the alveoli, ``fresh`` gas, ``recycled`` from the reservoir side,
    ``past`` the alveoli to that side (dead space and fresh gas over what is breathed), ``spill`` of
    the system and ``output`` of the heart. ``margins`` are the signed quantities whose change of
    sign bends the course: overflow that shuts, a bag that is no longer breathed from, a floor.
    """

    into: Floats
    out_of: Floats
    fresh: float
    recycled: Floats
    past: Floats
    spill: Floats
    output: Floats
    margins: tuple[Floats, ...] = ()


def lung_l(body: Body, gas: Solubility) -> Floats:
    """Effective alveolar volume: gas of the lung and what arterial blood and lung tissue hold.

    Parameters
    ----------
    body : n animals.
    gas : its solubility in them.

    Returns
    -------
    [L] shape (n,).

    Source: uptake_base (section 2.1).
    """
    return body.lung_l + gas.blood_gas * (body.arterial_l + 1.2 * body.lung_tissue_l)


def rates(
    body: Body, gas: Solubility, system: System, streams: Streams, effect_per_min: Floats
) -> tuple[Floats, Floats]:
    """Matrix of rates and the vector that the delivered fraction is multiplied with.

    Parameters
    ----------
    body, gas : n animals and a gas in them.
    system : breathing system.
    streams : flows of the moment.
    effect_per_min : [/min] rate of the effect site, shape (n,); 0 leaves it at its start.

    Returns
    -------
    [1/min] M of shape (n, 12, 12) and b of shape (n, 12): dx/dt = M x + b FD.

    Source: uptake_base (equations 1 to 10).
    """
    count = body.count
    matrix = np.zeros((count, STATES, STATES))
    inflow = np.zeros((count, STATES))
    _system_rows(matrix, inflow, system, streams)
    _lost(matrix, gas, system)
    _blood_rows(matrix, body, gas, streams)
    matrix[:, EFFECT, TISSUE.start] = effect_per_min
    matrix[:, EFFECT, EFFECT] = -effect_per_min
    return matrix, inflow


def _system_rows(matrix: Floats, inflow: Floats, system: System, streams: Streams) -> None:
    """Fill in the breathing system (equations 9 and 10); an open one stays at FD by itself."""
    if system.kind is SystemKind.OPEN:
        return
    volume = system.inspiratory_l
    inflow[:, FI] = streams.fresh / volume
    if system.kind is SystemKind.MIXED:
        matrix[:, FI, FI] = -(streams.into + streams.spill) / volume
        matrix[:, FI, FA] = streams.out_of / volume
        return
    matrix[:, FI, FI] = -(streams.fresh + streams.recycled) / volume
    matrix[:, FI, FR] = streams.recycled / volume
    side = system.reservoir_l
    matrix[:, FR, FA] = streams.out_of / side
    matrix[:, FR, FI] = streams.past / side
    matrix[:, FR, FR] = -(streams.recycled + streams.spill) / side


def _lost(matrix: Floats, gas: Solubility, system: System) -> None:
    """Take away what absorbent and circuit take up; an open system has neither."""
    if system.kind is SystemKind.MIXED:
        matrix[:, FI, FI] -= gas.lost_l_min / system.inspiratory_l
    elif system.kind is SystemKind.CIRCLE:
        matrix[:, FR, FR] -= gas.lost_l_min / system.reservoir_l


def _blood_rows(matrix: Floats, body: Body, gas: Solubility, streams: Streams) -> None:
    """Fill in lung, venous pool and tissues (equations 1 to 8)."""
    alveoli = lung_l(body, gas)
    shunt = body.shunt_fraction
    carried = (1.0 - shunt) * streams.output * gas.blood_gas
    matrix[:, FA, FI] = streams.into / alveoli
    matrix[:, FA, FA] = -(streams.out_of + carried) / alveoli
    matrix[:, FA, PV] = carried / alveoli
    per_pool = streams.output / body.venous_l
    matrix[:, PV, PV] = -per_pool
    matrix[:, PV, TISSUE] = per_pool[:, None] * body.flow_fraction
    k = streams.output[:, None] * body.flow_fraction / (body.tissue_l * gas.tissue_blood)
    kept = np.ones_like(k)
    kept[:, _VISCERA] -= gas.extraction_fraction
    matrix[:, TISSUE, FA] = k * kept * (1.0 - shunt)[:, None]
    matrix[:, TISSUE, PV] = k * kept * shunt[:, None]
    rows = np.arange(TISSUE.start, TISSUE.stop)
    matrix[:, rows, rows] = -k
