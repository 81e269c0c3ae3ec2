"""Short words for what every row needs: a setting, one gas in a system, end-tidal gas, air."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from ullage.answers.comparisons.kit import Kit, Mechanism
from ullage.answers.kinetics import Mode, output_at

if TYPE_CHECKING:
    from ullage.core.kinetics import Body, Floats, Model, Setting, System

__all__ = ["AIR", "BY_MACHINE", "at", "several", "single", "steadily", "tidal"]

#: Fractions in the circuit of a run that begins on air; lung and body have their own.
AIR: Mapping[str, float] = {"oxygen": 0.21, "nitrogen": 0.79}
#: A row with a ventilator, and one that does not say how its animals breathed.
BY_MACHINE = Mode(spontaneous=False)

_OXYGEN_IN_LUNG, _NITROGEN_IN_BODY = 0.15, 0.80

#: A volume that no animal changes, and the rate of the open system of the reference runs.
_WIDE_L, _FOLLOWS_PER_MIN = 1e4, 50.0


def at(
    start_min: float, fresh_gas_l_min: float, delivered: Mapping[str, float] | None = None
) -> "Setting":
    """A setting from one minute on."""
    from ullage.core.kinetics import Setting

    return Setting(
        start_min=start_min, fresh_gas_l_min=fresh_gas_l_min, delivered=dict(delivered or {})
    )


def single(
    kit: Kit,
    who: "tuple[str, Body]",
    agent: str,
    system: "System",
    plan: "tuple[Sequence[Setting], Floats]",
    mode: Mode | None = None,
) -> "tuple[Model, Floats]":
    """One gas in an animal of a species: the model, and its states of shape (n, t, 12).

    Without a mode the level is a trace, at which nothing acts.
    """
    from ullage.core.kinetics import Run

    species, body = who
    feedback = None
    if mode is not None:
        feedback = kit.feedback(species, {agent: kit.mac(species, agent)}, mode)
    model = kit.model(body, {agent: kit.gas(agent, species)}, system, feedback)
    settings, times = plan
    return model, kit.course(model, Run(settings=settings, times_min=times))[:, :, 0]


def several(
    kit: Kit,
    body: "Body",
    names: Sequence[str],
    system: "System",
    plan: "tuple[Sequence[Setting], Floats]",
) -> "tuple[Model, Floats]":
    """Several gases with their volume balance, from air on: states of shape (n, t, g, 12).

    A machine breathes, so inspired flow is held; what the liver destroys is left out, as the
    set-ups say. The first gas, unless it is nitrous oxide, is the one that deepens anaesthesia.
    """
    from ullage.core.kinetics import Run, SystemKind, breathing_air

    settings, times = plan
    if not kit.shipped and system.kind is SystemKind.OPEN:
        system, settings = _follows(settings)
    gases = {name: kit.gas(name, metabolised=False) for name in names}
    macs = {} if names[0] == "nitrous oxide" else {names[0]: kit.mac("human", names[0])}
    feedback = kit.feedback("human", macs, BY_MACHINE, balance=True)
    model = kit.model(body, gases, system, feedback)
    start = breathing_air(model, AIR, _OXYGEN_IN_LUNG, _NITROGEN_IN_BODY)
    return model, kit.course(model, Run(settings=settings, times_min=times, start=start))


def _follows(settings: "Sequence[Setting]") -> "tuple[System, tuple[Setting, ...]]":
    """An open system as the reference runs had it: inspired gas follows at a rate of 50 /min."""
    from ullage.core.kinetics import System, SystemKind

    system = System(kind=SystemKind.MIXED, inspiratory_l=_WIDE_L)
    flow = _FOLLOWS_PER_MIN * _WIDE_L
    return system, tuple(replace(one, fresh_gas_l_min=flow) for one in settings)


def tidal(model: "Model", states: "Floats") -> "Floats":
    """End-tidal fraction of one gas, shape (n, t)."""
    from ullage.core.kinetics import end_tidal

    return end_tidal(model.body, states[:, :, None])[:, :, 0]


def steadily(kit: Kit, body: "Body", depth: float) -> "Body":
    """The body at a depth that is held: output of the heart as it is there."""
    if not kit.has(Mechanism.CIRCULATION):
        return body
    return replace(body, cardiac_output_l_min=body.cardiac_output_l_min * output_at(depth))
