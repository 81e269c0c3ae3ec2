"""What changes while the animal goes deeper: breathing, output of the heart, volume balance.

The streams of one moment follow from the state of all gases at that moment; `slopes` gives the
rate of change of that state. Shapes: n animals, any number of moments s, g gases, 12 states.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from ullage.core.checks import within
from ullage.core.errors import InvalidQuantity
from ullage.core.kinetics.body import Body, Floats, Solubility
from ullage.core.kinetics.matrices import (
    EFFECT,
    FA,
    FI,
    FR,
    PV,
    TISSUE,
    Streams,
    lung_l,
)
from ullage.core.kinetics.settings import Setting, System, SystemKind

__all__ = ["Feedback", "Model", "model_of", "slopes", "streams_at"]

_VISCERA = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Feedback:
    """Which feedbacks are on, and how strong they are.

    ``mac_fraction`` gives for each gas that deepens anaesthesia the fraction that is 1 MAC,
    a number or an array over animals. ``balance`` switches the volume balance on; then
    ``oxygen`` names the gas that is used up, and either inspired or expired ventilation is held.
    """

    mac_fraction: Mapping[str, Floats | float] = field(default_factory=dict)
    ventilation_slope: float = 0.0
    ventilation_floor: float = 0.05
    output_slope: float = 0.0
    balance: bool = False
    oxygen: str = "oxygen"
    hold_expired: bool = False

    def __post_init__(self) -> None:
        within("ventilation_slope", self.ventilation_slope, 0.0, 5.0)
        within("ventilation_floor", self.ventilation_floor, 0.0, 1.0)
        within("output_slope", self.output_slope, 0.0, 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Model:
    """Everything that stays the same during a run, stacked over gases: shapes (n, g, ...)."""

    body: Body
    system: System
    feedback: Feedback
    names: tuple[str, ...]
    blood_gas: Floats
    lung: Floats
    per_output: Floats
    kept: Floats
    potency: Floats
    used: Floats
    lost: Floats
    effect_per_min: Floats

    def gas(self, number: int) -> Solubility:
        """One gas again as it was given."""
        share = self.body.flow_fraction / self.body.tissue_l
        return Solubility(
            blood_gas=self.blood_gas[:, number],
            tissue_blood=share / self.per_output[:, number],
            extraction_fraction=1.0 - self.kept[:, number, _VISCERA],
            lost_l_min=self.lost[:, number],
        )


def model_of(
    body: Body,
    gases: Mapping[str, Solubility],
    system: System,
    feedback: Feedback,
    effect_per_min: Floats | float = 0.0,
) -> Model:
    """Stack the gases; refuse a volume balance without the oxygen that is used up.

    Parameters
    ----------
    body : n animals.
    gases : solubility of each of the g gases.
    system, feedback : breathing system and feedbacks.
    effect_per_min : [1/min] rate of the effect site.

    Raises
    ------
    InvalidQuantity : volume balance asked for and no oxygen among the gases.
    """
    names = tuple(gases)
    if feedback.balance and feedback.oxygen not in names:
        raise InvalidQuantity("gases", len(names), f"with {feedback.oxygen} for a volume balance")
    each = list(gases.values())
    n, shape = body.count, (body.count, len(names))
    kept = np.ones((*shape, 7))
    kept[..., _VISCERA] -= np.stack([np.broadcast_to(g.extraction_fraction, n) for g in each], 1)
    potency = np.zeros(shape)
    used = np.zeros(shape)
    for number, name in enumerate(names):
        if name in feedback.mac_fraction:
            potency[:, number] = 1.0 / np.asarray(feedback.mac_fraction[name])
        if feedback.balance and name == feedback.oxygen:
            used[:, number] = body.oxygen_use_l_min
    tissue_blood = np.stack([np.broadcast_to(g.tissue_blood, (n, 7)) for g in each], 1)
    return Model(
        body=body,
        system=system,
        feedback=feedback,
        names=names,
        blood_gas=np.stack([np.broadcast_to(g.blood_gas, n) for g in each], 1),
        lung=np.stack([lung_l(body, g) for g in each], 1),
        per_output=(body.flow_fraction / body.tissue_l)[:, None, :] / tissue_blood,
        kept=kept,
        potency=potency,
        used=used,
        lost=np.stack([np.broadcast_to(g.lost_l_min, n) for g in each], 1),
        effect_per_min=np.broadcast_to(np.asarray(effect_per_min, dtype=float), n),
    )


def _uptake(model: Model, state: Floats, output: Floats) -> Floats:
    """Uptake of each gas from lung to blood, oxygen used included; shape (n, s, g)."""
    carried = (1.0 - model.body.shunt_fraction)[:, None] * model.blood_gas
    difference = state[..., FA] - state[..., PV]
    taken: Floats = carried[:, None] * output[..., None] * difference + model.used[:, None]
    return taken


def streams_at(model: Model, state: Floats, setting: Setting) -> tuple[Streams, Floats]:
    """Flows between the parts at each moment, and the uptake of each gas.

    Parameters
    ----------
    model : what stays the same.
    state : [1] shape (n, s, g, 12).
    setting : settings in force.

    Returns
    -------
    [L/min] streams of shape (n, s) each; uptake of shape (n, s, g).

    Source: uptake_base (equations 13 to 18).
    """
    body, feedback = model.body, model.feedback
    depth = np.einsum("nsg,ng->ns", state[..., TISSUE.start], model.potency)
    awake = np.maximum(feedback.ventilation_floor, 1.0 - feedback.ventilation_slope * depth)
    awake *= setting.ventilation
    alveolar = body.alveolar_l_min[:, None] * awake
    whole = body.minute_volume_l_min[:, None] * awake
    scale = np.maximum(1.0 - feedback.output_slope * depth, 0.05)
    output = body.cardiac_output_l_min[:, None] * scale
    uptake = _uptake(model, state, output)
    fresh = np.full_like(alveolar, setting.fresh_gas_l_min)
    if not feedback.balance:
        into = out_of = alveolar
        spill = np.maximum(fresh - body.oxygen_use_l_min[:, None], 0.0)
        recycled, excess = np.maximum(whole - fresh, 0.0), np.maximum(fresh - whole, 0.0)
    else:
        net = uptake.sum(axis=-1) - body.co2_output_l_min[:, None]
        into = alveolar + net if feedback.hold_expired else alveolar
        out_of = alveolar if feedback.hold_expired else alveolar - net
        breathed = into + whole - alveolar
        recycled, excess = np.maximum(breathed - fresh, 0.0), np.maximum(fresh - breathed, 0.0)
        spill = np.maximum(_spilled(model, (into, out_of), whole - alveolar, fresh), 0.0)
    streams = Streams(
        into=into,
        out_of=out_of,
        fresh=fresh,
        recycled=recycled,
        excess=excess,
        spill=spill,
        dead=whole - alveolar,
        output=output,
    )
    return streams, uptake


def _spilled(model: Model, through: tuple[Floats, Floats], dead: Floats, fresh: Floats) -> Floats:
    """Gas that leaves the system: what comes in less what the animal keeps (equation 14a)."""
    into, out_of = through
    if model.system.kind is SystemKind.MIXED:
        return fresh + out_of - into - model.body.co2_output_l_min[:, None]
    breathed = into + dead
    recycled, excess = np.maximum(breathed - fresh, 0.0), np.maximum(fresh - breathed, 0.0)
    return out_of + dead + excess - model.body.co2_output_l_min[:, None] - recycled


def slopes(model: Model, state: Floats, setting: Setting, delivered: Floats, out: Floats) -> Floats:
    """Rate of change of every state, written into ``out``.

    Parameters
    ----------
    model : what stays the same.
    state : [1] shape (n, s, g, 12).
    setting : settings in force.
    delivered : [1] fraction of each gas in the fresh gas, shape (g,).
    out : [1/min] array of the shape of the state, overwritten.

    Returns
    -------
    [1/min] the array ``out``.

    Source: uptake_base (equations 1 to 18).
    """
    streams, uptake = streams_at(model, state, setting)
    inspired, alveolar, venous = state[..., FI], state[..., FA], state[..., PV]
    into, out_of = streams.into[..., None], streams.out_of[..., None]
    _system_slopes(model, state, streams, delivered, out)
    out[..., FA] = (into * inspired - out_of * alveolar - uptake) / model.lung[:, None]
    tissue = state[..., TISSUE]
    mixed = np.einsum("nsgi,ni->nsg", tissue, model.body.flow_fraction)
    pool = streams.output / model.body.venous_l[:, None]
    out[..., PV] = pool[..., None] * (mixed - venous)
    shunt = model.body.shunt_fraction[:, None, None]
    arterial = (1.0 - shunt) * alveolar + shunt * venous
    inflow = model.kept[:, None] * arterial[..., None]
    rate = model.per_output[:, None] * streams.output[..., None, None]
    out[..., TISSUE] = rate * (inflow - tissue)
    lag = state[..., TISSUE.start] - state[..., EFFECT]
    out[..., EFFECT] = model.effect_per_min[:, None, None] * lag
    return out


def _system_slopes(
    model: Model, state: Floats, streams: Streams, delivered: Floats, out: Floats
) -> None:
    """Rates of the breathing system; an open one does not change by itself."""
    system, lost = model.system, model.lost[:, None]
    inspired, side, alveolar = state[..., FI], state[..., FR], state[..., FA]
    fresh, out_of = streams.fresh[..., None], streams.out_of[..., None]
    recycled, spill = streams.recycled[..., None], streams.spill[..., None]
    if system.kind is SystemKind.OPEN:
        out[..., FI] = out[..., FR] = 0.0
        return
    if system.kind is SystemKind.MIXED:
        through = out_of * alveolar - streams.into[..., None] * inspired
        kept = fresh * delivered + through - (spill + lost) * inspired
        out[..., FI] = kept / system.inspiratory_l
        out[..., FR] = 0.0
        return
    kept = fresh * delivered + recycled * side - (fresh + recycled) * inspired
    out[..., FI] = kept / system.inspiratory_l
    past = (streams.dead + streams.excess)[..., None] * inspired
    out[..., FR] = (
        out_of * alveolar + past - (recycled + spill + lost) * side
    ) / system.reservoir_l
