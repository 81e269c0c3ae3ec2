"""What changes while the animal goes deeper: breathing, output of the heart, volume balance.

The streams of one moment follow from the state of all gases at that moment; `slopes` gives the
rate of change of that state. Shapes: n animals, any number of moments s, g gases, 12 states.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property

import numpy as np

from ullage.core.checks import within
from ullage.core.errors import InvalidQuantity
from ullage.core.kinetics.body import Body, Floats, Solubility
from ullage.core.kinetics.matrices import EFFECT, FA, FI, FR, PV, TISSUE, Streams, lung_l
from ullage.core.kinetics.settings import Setting, System, SystemKind

__all__ = ["Feedback", "Model", "VentilationForm", "model_of", "slopes", "streams_at"]

_VISCERA = 1

#: Output of the heart is never followed below this share of what it is without anaesthetic.
_LEAST_OUTPUT = 0.05


class VentilationForm(StrEnum):
    """Two published forms of ventilation against depth; neither is averaged away."""

    LINEAR = "linear"
    EXPONENTIAL = "exponential"


@dataclass(frozen=True, slots=True, kw_only=True)
class Feedback:
    """Which feedbacks are on, and how strong they are.

    ``mac_fraction`` gives for each gas that deepens anaesthesia the fraction that is 1 MAC,
    a number or an array over animals. Ventilation is multiplied with 1 - slope x depth, or with
    exp(-slope x depth), and never falls below the floor; output of the heart with 1 - slope x
    (depth - ``output_from``) where the depth is above that. ``at_effect`` takes the depth from
    the effect site instead of the brain. ``balance`` switches the volume balance on; then
    ``oxygen`` names the gas that is used up, or none where oxygen is what the others leave (it is
    not dissolved, so that the others do not depend on it); either inspired or expired ventilation
    is held.
    """

    mac_fraction: Mapping[str, Floats | float] = field(default_factory=dict)
    ventilation_slope: float = 0.0
    ventilation_floor: float = 0.05
    ventilation_form: VentilationForm = VentilationForm.LINEAR
    output_slope: float = 0.0
    output_from: float = 0.0
    at_effect: bool = False
    balance: bool = False
    oxygen: str = "oxygen"
    hold_expired: bool = False

    def __post_init__(self) -> None:
        within("ventilation_slope", self.ventilation_slope, 0.0, 5.0)
        within("ventilation_floor", self.ventilation_floor, 0.0, 1.0)
        within("output_slope", self.output_slope, 0.0, 1.0)
        within("output_from", self.output_from, 0.0, 5.0)

    @property
    def acts(self) -> bool:
        """True where the equations are not linear."""
        deepens = bool(self.mac_fraction) and (self.ventilation_slope > 0 or self.output_slope > 0)
        return self.balance or deepens


@dataclass(frozen=True, kw_only=True)
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

    @cached_property
    def carried(self) -> Floats:
        """What a litre of output carries for each unit of difference, shunt left out; (n, 1, g)."""
        return ((1.0 - self.body.shunt_fraction)[:, None] * self.blood_gas)[:, None]

    @cached_property
    def extraction(self) -> Floats | None:
        """Share of the visceral inflow that is destroyed, (n, 1, g); None where nothing is."""
        found: Floats = 1.0 - self.kept[:, None, :, _VISCERA]
        return found if found.any() else None

    @cached_property
    def column(self) -> Mapping[str, Floats]:
        """Values of the body with an axis for the moments, shape (n, 1)."""
        body = self.body
        return {
            "alveolar": body.alveolar_l_min[:, None],
            "whole": body.minute_volume_l_min[:, None],
            "output": body.cardiac_output_l_min[:, None],
            "oxygen": body.oxygen_use_l_min[:, None],
            "net": (body.oxygen_use_l_min - body.co2_output_l_min)[:, None],
            "per_pool": 1.0 / body.venous_l[:, None],
            "shunt": body.shunt_fraction[:, None],
        }

    def gas(self, number: int) -> Solubility:
        """One gas again as it was given."""
        share = self.body.flow_fraction / self.body.tissue_l
        return Solubility(
            blood_gas=self.blood_gas[:, number],
            tissue_blood=share / self.per_output[:, number],
            extraction_fraction=1.0 - self.kept[:, number, _VISCERA],
            lost_l_min=self.lost[:, number],
        )

    def part(self, chosen: slice) -> "Model":
        """The same model with some of the animals."""
        stacked = ("blood_gas", "lung", "per_output", "kept", "potency", "used", "lost")
        cut = {name: getattr(self, name)[chosen] for name in (*stacked, "effect_per_min")}
        body = self.body.map(lambda values: values[chosen])
        return Model(body=body, system=self.system, feedback=self.feedback, names=self.names, **cut)


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
    effect_per_min : [/min] rate of the effect site.

    Raises
    ------
    InvalidQuantity : volume balance asked for and no oxygen among the gases.
    """
    names = tuple(gases)
    if feedback.balance and feedback.oxygen and feedback.oxygen not in names:
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


def _shares(model: Model, state: Floats) -> tuple[Floats | float, Floats | float, list[Floats]]:
    """Ventilation and output as shares of what they are without anaesthetic, and their margins."""
    feedback = model.feedback
    if not feedback.mac_fraction:
        return 1.0, 1.0, []
    site = EFFECT if feedback.at_effect else TISSUE.start
    depth = np.vecdot(state[..., site], model.potency[:, None])
    breathing: Floats | float = 1.0
    pumping: Floats | float = 1.0
    margins = []
    if feedback.ventilation_slope > 0.0:
        fall = feedback.ventilation_slope * depth
        linear = feedback.ventilation_form is VentilationForm.LINEAR
        above = (1.0 - fall if linear else np.exp(-fall)) - feedback.ventilation_floor
        breathing = np.maximum(above, 0.0) + feedback.ventilation_floor
        margins.append(above)
    if feedback.output_slope > 0.0:
        past = depth - feedback.output_from
        fall = feedback.output_slope * np.maximum(past, 0.0)
        pumping = np.maximum(1.0 - fall, _LEAST_OUTPUT)
        margins.append(past)
    return breathing, pumping, margins


def streams_at(model: Model, state: Floats, setting: Setting) -> tuple[Streams, Floats]:
    """Flows between the parts at each moment, and the uptake of each gas.

    Parameters
    ----------
    model : what stays the same.
    state : [1] shape (n, s, g, 12).
    setting : settings in force.

    Returns
    -------
    [L/min] streams of shape (n, s) or (n, 1) each; uptake of shape (n, s, g), oxygen used included.

    Source: uptake_base (equations 13 to 18).
    """
    streams, uptake, _ = _streams(model, state, setting)
    return streams, uptake


def _streams(model: Model, state: Floats, setting: Setting) -> tuple[Streams, Floats, Floats]:
    """Streams, uptake of each gas, and the difference between lung and mixed venous blood."""
    feedback, column, fresh = model.feedback, model.column, setting.fresh_gas_l_min
    breathing, pumping, margins = _shares(model, state)
    if setting.ventilation != 1.0:
        breathing *= setting.ventilation
    alveolar, lacking = column["alveolar"] * breathing, column["whole"] * breathing
    output = column["output"] * pumping
    difference = state[..., FA] - state[..., PV]
    uptake = difference * (model.carried * output[..., None])
    into = out_of = alveolar
    surplus = fresh - column["oxygen"]
    if feedback.balance:
        taken = np.vecdot(difference, model.carried) * output
        uptake += model.used[:, None]
        surplus = surplus - taken
        if feedback.hold_expired:
            net = taken + column["net"]
            into, lacking = alveolar + net, lacking + net
        else:
            out_of = alveolar - taken
            out_of -= column["net"]
    lacking -= fresh
    recycled = np.maximum(lacking, 0.0)
    past = recycled - into
    past += fresh
    spill = np.maximum(surplus, 0.0)
    flows = (into, out_of, fresh, recycled, past, spill, output, (surplus, lacking, *margins))
    return Streams(*flows), uptake, difference


def slopes(
    model: Model, state: Floats, setting: Setting, delivered: Floats, out: Floats
) -> tuple[Floats, Streams]:
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
    [1/min] the array ``out``, and the streams that it was worked out with.

    Source: uptake_base (equations 1 to 18).
    """
    streams, uptake, difference = _streams(model, state, setting)
    alveolar, tissue = state[..., FA], state[..., TISSUE]
    _system_slopes(model, state, streams, delivered, out)
    gained = streams.into[..., None] * state[..., FI]
    gained -= streams.out_of[..., None] * alveolar
    gained -= uptake
    np.divide(gained, model.lung[:, None], out=out[..., FA])
    mixed = np.vecdot(tissue, model.body.flow_fraction[:, None, None])
    mixed -= state[..., PV]
    pool = streams.output * model.column["per_pool"]
    np.multiply(mixed, pool[..., None], out=out[..., PV])
    difference *= model.column["shunt"][..., None]
    arterial = alveolar - difference
    into_tissue = arterial[..., None] - tissue
    if model.extraction is not None:
        into_tissue[..., _VISCERA] -= model.extraction * arterial
    into_tissue *= model.per_output[:, None]
    np.multiply(into_tissue, streams.output[..., None, None], out=out[..., TISSUE])
    lag = tissue[..., 0] - state[..., EFFECT]
    np.multiply(lag, model.effect_per_min[:, None, None], out=out[..., EFFECT])
    return out, streams


def _system_slopes(
    model: Model, state: Floats, streams: Streams, delivered: Floats, out: Floats
) -> None:
    """Rates of the breathing system; an open one does not change by itself."""
    system = model.system
    if system.kind is SystemKind.OPEN:
        out[..., FI] = out[..., FR] = 0.0
        return
    inspired, alveolar = state[..., FI], state[..., FA]
    kept = (delivered - inspired) * streams.fresh
    if system.kind is SystemKind.MIXED:
        kept += streams.out_of[..., None] * alveolar
        kept += (streams.fresh - streams.into - streams.spill)[..., None] * inspired
        kept -= model.lost[:, None] * inspired
        np.divide(kept, system.inspiratory_l, out=out[..., FI])
        out[..., FR] = 0.0
        return
    side = state[..., FR]
    kept += streams.recycled[..., None] * (side - inspired)
    np.divide(kept, system.inspiratory_l, out=out[..., FI])
    kept = streams.out_of[..., None] * alveolar
    kept += streams.past[..., None] * inspired
    kept -= ((streams.recycled + streams.spill)[..., None] + model.lost[:, None]) * side
    np.divide(kept, system.reservoir_l, out=out[..., FR])
