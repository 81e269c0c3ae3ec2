"""What is measured and what has gone where: end-tidal gas, arterial blood, amounts and flows.

States come as the engine gives them, shape (n, t, g, 12); amounts are litres of the lung.
"""

from collections.abc import Mapping

import numpy as np

from ullage.core.errors import InvalidQuantity
from ullage.core.kinetics.body import Body, Floats
from ullage.core.kinetics.feedback import Model, streams_at
from ullage.core.kinetics.matrices import FA, FI, FR, PV, TISSUE, Streams
from ullage.core.kinetics.run import Run
from ullage.core.kinetics.settings import Setting, SystemKind

__all__ = [
    "amounts_over",
    "arterial",
    "breathing_air",
    "end_tidal",
    "flows_over",
    "held_in_body_l",
    "held_in_system_l",
]

_VISCERA = 1


def end_tidal(body: Body, states: Floats) -> Floats:
    """What leaves the mouth at the end of a breath: alveolar gas and that of alveolar dead space.

    Parameters
    ----------
    body : n animals.
    states : [1] shape (n, t, g, 12).

    Returns
    -------
    [1] fractions, shape (n, t, g).

    Source: uptake_base (equation 3).
    """
    dead = body.dead_alveolar_fraction[:, None, None]
    found: Floats = (1.0 - dead) * states[..., FA] + dead * states[..., FI]
    return found


def arterial(body: Body, states: Floats) -> Floats:
    """Arterial blood, as the fraction that it is in equilibrium with.

    Parameters
    ----------
    body : n animals.
    states : [1] shape (n, t, g, 12).

    Returns
    -------
    [1] fractions, shape (n, t, g).

    Source: uptake_base (equation 2).
    """
    shunt = body.shunt_fraction[:, None, None]
    found: Floats = (1.0 - shunt) * states[..., FA] + shunt * states[..., PV]
    return found


def held_in_body_l(model: Model, states: Floats) -> Floats:
    """What lung, blood and tissues hold of each gas.

    Parameters
    ----------
    model : animals and gases.
    states : [1] shape (n, t, g, 12).

    Returns
    -------
    [L] of the lung, shape (n, t, g).

    Source: uptake_base (equations 1, 4 and 6).
    """
    shares = model.body.flow_fraction[:, None, :]
    in_tissue = model.blood_gas[..., None] * shares / model.per_output
    tissues = np.vecdot(states[..., TISSUE], in_tissue[:, None])
    pool = (model.blood_gas * model.body.venous_l[:, None])[:, None] * states[..., PV]
    found: Floats = model.lung[:, None] * states[..., FA] + pool + tissues
    return found


def held_in_system_l(model: Model, states: Floats) -> Floats:
    """What the breathing system holds of each gas; an open one holds nothing.

    Parameters
    ----------
    model : with the system.
    states : [1] shape (n, t, g, 12).

    Returns
    -------
    [L] of the lung, shape (n, t, g).

    Source: uptake_base (equations 9 and 10).
    """
    system = model.system
    found = np.zeros(states.shape[:3])
    if system.kind is not SystemKind.OPEN:
        found += system.inspiratory_l * states[..., FI]
    if system.kind is SystemKind.CIRCLE:
        found += system.reservoir_l * states[..., FR]
    return found


def flows_over(model: Model, run: Run, states: Floats) -> Mapping[str, Floats]:
    """Flow of each gas into, through and out of system and animal at each time of a run.

    Parameters
    ----------
    model : as the states were found with.
    run : its settings and times, every state kept.
    states : [1] shape (n, t, g, 12).

    Returns
    -------
    [L/min] by name, each of shape (n, t, g): ``delivered`` with the fresh gas, ``inhaled`` and
    ``exhaled`` by the alveoli, ``taken_up`` by the blood (oxygen used included), ``spilled``,
    ``lost`` to absorbent and circuit, ``destroyed`` in the liver.

    Raises
    ------
    InvalidQuantity : a run that kept only some of the states.

    Source: uptake_base (equations 1 to 15).
    """
    if run.keep is not None:
        raise InvalidQuantity("states kept", len(run.kept), "all of them")
    names = ("delivered", "inhaled", "exhaled", "taken_up", "spilled", "lost", "destroyed")
    found = {name: np.zeros(states.shape[:3]) for name in names}
    written = 0
    for piece, end in run.pieces():
        last = int(np.searchsorted(run.times_min, end, side="right"))
        inside = slice(written, last)
        for name, flow in _flows(model, piece, states[:, inside]).items():
            found[name][:, inside] = flow
        written = last
    return found


def _flows(model: Model, piece: Setting, states: Floats) -> Mapping[str, Floats]:
    """The flows of one setting."""
    streams, uptake = streams_at(model, states, piece)
    delivered = np.array([piece.delivered.get(name, 0.0) for name in model.names])
    inspired, alveolar = states[..., FI], states[..., FA]
    shares = model.body.flow_fraction[:, _VISCERA, None, None]
    carried = model.blood_gas[:, None] * streams.output[..., None] * shares
    extracted = 0.0 if model.extraction is None else model.extraction
    return {
        "delivered": _delivered(model, (piece, streams), delivered, inspired),
        "inhaled": streams.into[..., None] * inspired,
        "exhaled": streams.out_of[..., None] * alveolar,
        "taken_up": np.broadcast_to(uptake, inspired.shape),
        "spilled": streams.spill[..., None] * _leaving(model, states),
        "lost": model.lost[:, None] * _leaving(model, states),
        "destroyed": carried * extracted * arterial(model.body, states),
    }


def _delivered(
    model: Model, now: tuple[Setting, Streams], delivered: Floats, inspired: Floats
) -> Floats:
    """An open system brings what is inhaled; any other what flows in."""
    piece, streams = now
    if model.system.kind is SystemKind.OPEN:
        brought: Floats = streams.into[..., None] * inspired
        return brought
    return np.broadcast_to(piece.fresh_gas_l_min * delivered, inspired.shape)


def _leaving(model: Model, states: Floats) -> Floats:
    """The gas that spills and meets the absorbent: reservoir gas, or that of the one volume."""
    if model.system.kind is SystemKind.OPEN:
        return np.zeros(states.shape[:3])
    return states[..., FR if model.system.kind is SystemKind.CIRCLE else FI]


def amounts_over(model: Model, run: Run, states: Floats) -> Mapping[str, Floats]:
    """What has gone where since the first time of a run, by the rule of trapezoids.

    Parameters
    ----------
    model : as the states were found with.
    run : its settings and times, every state kept; best with each change among the times.
    states : [1] shape (n, t, g, 12).

    Returns
    -------
    [L] of the lung by name as in `flows_over`, each of shape (n, t, g); the first is 0.

    Raises
    ------
    InvalidQuantity : a run that kept only some of the states.

    Source: uptake_base (equations 1 to 15).
    """
    found = {name: np.zeros(states.shape[:3]) for name in flows_over(model, run, states)}
    written = 1
    for piece, end in run.pieces():
        last = int(np.searchsorted(run.times_min, end, side="right"))
        if last <= written:
            continue
        inside = states[:, written - 1 : last].copy()
        if model.system.kind is SystemKind.OPEN:  # after a change the new gas is breathed at once
            inside[:, 0, :, FI] = [piece.delivered.get(name, 0.0) for name in model.names]
        steps = np.diff(run.times_min[written - 1 : last])[:, None]
        for name, flow in _flows(model, piece, inside).items():
            added = np.cumsum(0.5 * (flow[:, 1:] + flow[:, :-1]) * steps, axis=1)
            found[name][:, written:last] = found[name][:, written - 1, None] + added
        written = last
    return found


def breathing_air(
    model: Model, air: Mapping[str, float], oxygen_in_lung: float, nitrogen_in_body: float
) -> Floats:
    """State of animals that breathe air, with the breathing system full of it.

    Parameters
    ----------
    model : animals and gases; a gas that is not in air starts at 0.
    air : [1] fraction of each gas in the system.
    oxygen_in_lung : [1] fraction of oxygen in the lung.
    nitrogen_in_body : [1] fraction of nitrogen in lung, blood and tissues.

    Returns
    -------
    [1] shape (n, g, 12).

    Source: uptake_base (section 2.4).
    """
    state = np.zeros((model.body.count, len(model.names), TISSUE.stop + 1))
    for number, name in enumerate(model.names):
        state[:, number, : FR + 1] = air.get(name, 0.0)
        if name == model.feedback.oxygen:
            state[:, number, FA] = oxygen_in_lung
        elif name == "nitrogen":
            state[:, number, FA:] = nitrogen_in_body
    return state
