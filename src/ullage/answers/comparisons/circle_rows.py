"""Rows in a circle: washing in, low flow, a level that is held."""

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from ullage.answers.comparisons.kit import Kit, adult_circle
from ullage.answers.comparisons.parts import BY_MACHINE, at, several, single, steadily, tidal
from ullage.answers.kinetics import needs_balance

if TYPE_CHECKING:
    from ullage.core.kinetics import Body, Floats

__all__ = ["closed_circle", "held_eight_hours", "low_flow", "two_steps", "wash_in"]
__all__ += ["wash_in_to_a_ratio"]

#: Published mean minutes to a ratio of 0.8.
_TO_RATIO = {"desflurane": 3.8, "sevoflurane": 8.2, "isoflurane": 19.7}
_SHORT = {"desflurane": "des", "sevoflurane": "sevo", "isoflurane": "iso"}

#: Fresh gas [L/min], dial [1], minute of the look.
_WASH_IN = {
    "1a": (1.0, 0.12, 3.0),
    "1b": (1.0, 0.18, 5.0),
    "2a": (2.0, 0.12, 2.0),
    "2b": (2.0, 0.10, 5.0),
    "4a": (4.0, 0.08, 5.0),
    "4b": (4.0, 0.10, 3.0),
}
_TWO_STEPS = (5.0, 10.0, 20.0, 30.0, 45.0)


def wash_in_to_a_ratio(kit: Kit) -> "Mapping[str, Floats]":
    """FE/FI at the minute at which it was 0.8 in the mean of the patients."""
    import numpy as np

    from ullage.core.kinetics import FI

    found = {}
    for agent, minute in _TO_RATIO.items():
        plan = [at(0, 6, {agent: 0.01})], np.array([minute])
        who = ("human", kit.body("human", 70.0))
        model, states = single(kit, who, agent, adult_circle(), plan, BY_MACHINE)
        found[f"H-CIRC80-{_SHORT[agent]}"] = tidal(model, states)[:, 0] / states[:, 0, FI]
    return found


def low_flow(kit: Kit) -> "Mapping[str, Floats]":
    """Two hours of 2 L/min at a dial of 2 %."""
    import numpy as np

    from ullage.core.kinetics import FI

    plan = [at(0, 2, {"sevoflurane": 0.02})], np.array([120.0])
    who = ("human", kit.body("human", 70.0))
    model, states = single(kit, who, "sevoflurane", adult_circle(), plan, BY_MACHINE)
    inspired, expired = states[:, 0, FI], tidal(model, states)[:, 0]
    return {
        "H-LF2-FI": 100.0 * inspired,
        "H-LF2-FA": 100.0 * expired,
        "H-LF2-FAFI": expired / inspired,
    }


def wash_in(kit: Kit) -> "Mapping[str, Floats]":
    """Desflurane washed in at three flows; a machine breathes 500 mL ten times a minute."""
    import numpy as np

    body = kit.body("human", 70.0)
    # The ventilator is set, so breathing is not drawn; dead space is the 30 % of the set-up.
    one = np.ones(body.count)
    body = replace(body, minute_volume_l_min=5.0 * one, alveolar_l_min=3.5 * one)
    return {f"H-DESW-{key}": 100.0 * _washed_in(kit, body, *row) for key, row in _WASH_IN.items()}


def _washed_in(kit: Kit, body: "Body", flow: float, dial: float, minute: float) -> "Floats":
    import numpy as np

    settings, times = [at(0, flow, {"desflurane": dial})], np.array([minute])
    if kit.shipped and needs_balance(settings):
        settings = [at(0, flow, {"desflurane": dial, "oxygen": 1.0 - dial})]
        names = ("desflurane", "oxygen", "nitrogen")
        model, states = several(kit, body, names, adult_circle(), (settings, times))
        return tidal(model, states[:, :, 0])[:, 0]
    who, plan = ("human", body), (settings, times)
    model, states = single(kit, who, "desflurane", adult_circle(), plan, BY_MACHINE)
    return tidal(model, states)[:, 0]


def two_steps(kit: Kit) -> "Mapping[str, Floats]":
    """Sevoflurane with nitrous oxide, three minutes at 6 L/min and then at 0.7 L/min."""
    import numpy as np

    def mixed(agent: float, oxygen: float) -> dict[str, float]:
        rest = 1.0 - agent
        return {
            "sevoflurane": agent,
            "oxygen": rest * oxygen,
            "nitrous oxide": rest * (1.0 - oxygen),
        }

    settings = [
        at(0, 8, {"oxygen": 1.0}),
        at(3, 6, mixed(0.02, 1 / 3)),
        at(6, 0.7, mixed(0.026, 3 / 7)),
        at(18, 0.7, mixed(0.02, 3 / 7)),
    ]
    names = ("sevoflurane", "nitrous oxide", "oxygen", "nitrogen")
    times = 3.0 + np.array(_TWO_STEPS)
    body = kit.body("human", 70.0)
    model, states = several(kit, body, names, adult_circle(), (settings, times))
    level = 100.0 * tidal(model, states[:, :, 0])
    return {f"H-TWOSTEP-{minute:g}": level[:, k] for k, minute in enumerate(_TWO_STEPS)}


def held_eight_hours(kit: Kit) -> "Mapping[str, Floats]":
    """Inspired over end-tidal sevoflurane while 3 % is held for eight hours."""
    import numpy as np

    from ullage.core.kinetics import held_level

    times = np.arange(0.0, 480.01, 0.05)
    body = kit.body("human", 70.0)
    steady = steadily(kit, body, 0.03 / kit.mac("human", "sevoflurane"))
    found = held_level(steady, kit.gas("sevoflurane"), 0.03, times)
    late = times >= 10.0
    ratio = (found.inspired / found.end_tidal)[:, late]
    return {"H-8H-FIFA-sevo": ratio.mean(axis=1)}


def closed_circle(kit: Kit) -> "Mapping[str, Floats]":
    """Liquid desflurane that holds 8 % in a closed circle, system filled [mL]."""
    import numpy as np

    from ullage.core.kinetics import held_level

    times = np.arange(0.0, 120.01, 0.05)
    body = kit.body("human", 70.0)
    steady = steadily(kit, body, 0.08 / kit.mac("human", "desflurane"))
    held = held_level(steady, kit.gas("desflurane"), 0.08, times)
    needed = held.needed_l(5.0 * kit.free) / kit.vapour * 1000.0 / 210.0
    at_min = {minute: needed[:, round(minute / 0.05)] for minute in (30, 60, 120)}
    return {f"H-CLOSED-des-{minute}": one for minute, one in at_min.items()}
