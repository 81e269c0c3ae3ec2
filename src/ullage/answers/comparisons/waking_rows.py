"""Rows of waking: a level held for hours, then agent-free gas until the animal wakes."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ullage.answers.comparisons.kit import Kit, adult_circle, open_system
from ullage.answers.comparisons.parts import at, steadily
from ullage.answers.kinetics import Mode
from ullage.reference import sourced

if TYPE_CHECKING:
    from ullage.core.kinetics import Floats, System

__all__ = [
    "RIGHTING_LOST",
    "Held",
    "dogs",
    "eyes_open",
    "mice",
    "rats",
    "responds",
    "waking_thresholds",
]


#: Level at which half of the mice lose the righting reflex on isoflurane [1].
RIGHTING_LOST = 0.0091

#: Weights, levels and published times of the set-ups whose isoflurane row gives the threshold.
_RAT_KG, _RAT_MIN = 0.30, 23.2
_DOG_KG, _DOG_MIN = 20.0, 26.3
_DOG_LEVELS = {"isoflurane": 0.020, "sevoflurane": 0.032}
_MOUSE_MIN = 6.19


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """What was given: agent, alveolar level [1], minutes, and the fraction that counts as 1 MAC."""

    species: str
    kg: float
    agent: str
    level: float
    minutes: float
    mac_fraction: float


_MOUSE = Held(
    species="mouse",
    kg=0.022,
    agent="isoflurane",
    level=1.25 * RIGHTING_LOST,
    minutes=120.0,
    mac_fraction=RIGHTING_LOST,
)


def _after(
    kit: Kit, held: Held, system: "System", fresh_gas_l_min: float
) -> "tuple[Floats, Floats]":
    """Minutes since the agent is off, and the level [MAC] at the place of the effect."""
    import numpy as np

    from ullage.core.kinetics import EFFECT, FI, FR, TISSUE, Run, SystemKind, held_level

    body, gas = kit.body(held.species, held.kg), kit.gas(held.agent, held.species)
    step = 0.05 if held.kg > 2.0 else 0.01
    effect = kit.effect(held.kg)
    steady = steadily(kit, body, held.level / held.mac_fraction)
    ends = np.array([0.0, held.minutes])
    loaded = held_level(steady, gas, held.level, ends, effect).states[:, -1]
    loaded[:, FI : FR + 1] = 0.0 if system.kind is SystemKind.OPEN else held.level
    feedback = kit.feedback(held.species, {held.agent: held.mac_fraction}, Mode(recovering=True))
    model = kit.model(body, {held.agent: gas}, system, feedback)
    times = np.arange(0.0, 120.0, step)
    keep = EFFECT if effect else TISSUE.start
    run = Run(
        settings=[at(0, fresh_gas_l_min)], times_min=times, start=loaded[:, None], keep=(keep,)
    )
    return times, kit.course(model, run)[:, :, 0, 0] / held.mac_fraction


def _woken(
    kit: Kit, held: Held, threshold: float, system: "System", fresh_gas_l_min: float = 1.0
) -> "Floats":
    from ullage.core.kinetics import falls_to_min

    return falls_to_min(*_after(kit, held, system, fresh_gas_l_min), threshold)


def _threshold(kit: Kit, held: Held, published_min: float) -> float:
    """The level at which the middle animal stands when the published one woke."""
    import numpy as np

    times, level = _after(kit.middle, held, open_system(), 1.0)
    return float(np.interp(published_min, times, level[0]))


def responds(kit: Kit) -> "Mapping[str, Floats]":
    """Volunteers after eight hours of 9 % desflurane; MAC of their age is 7.2 %."""
    held = Held(
        species="human", kg=70.0, agent="desflurane", level=0.09, minutes=480.0, mac_fraction=0.072
    )
    return {
        "H-8H-CMD-des": _woken(kit, held, sourced("kinetics", "waking.human").value, open_system())
    }


def eyes_open(kit: Kit) -> "Mapping[str, Floats]":
    """Patients after five hours of about 1 MAC of isoflurane, circle with 6 L/min of oxygen."""
    mac = kit.mac("human", "isoflurane")
    held = Held(
        species="human", kg=70.0, agent="isoflurane", level=mac, minutes=300.0, mac_fraction=mac
    )
    return {
        "H-5H-EYE-iso": _woken(
            kit, held, sourced("kinetics", "waking.human").value, adult_circle(), 6.0
        )
    }


def waking_thresholds(kit: Kit) -> Mapping[str, float]:
    """Level of each species at the minute at which its isoflurane study woke, in MAC."""
    return {
        "rat": _threshold(kit, _pair(kit, "rat", _RAT_KG, _rat_levels(kit))[0], _RAT_MIN),
        "dog": _threshold(kit, _pair(kit, "dog", _DOG_KG, _DOG_LEVELS)[0], _DOG_MIN),
        "mouse": _threshold(kit, _MOUSE, _MOUSE_MIN),
    }


def _rat_levels(kit: Kit) -> Mapping[str, float]:
    return {one: 1.2 * kit.mac("rat", one) for one in ("isoflurane", "sevoflurane")}


def _pair(kit: Kit, species: str, kg: float, levels: Mapping[str, float]) -> "list[Held]":
    return [
        Held(
            species=species,
            kg=kg,
            agent=agent,
            level=level,
            minutes=120.0,
            mac_fraction=kit.mac(species, agent),
        )
        for agent, level in levels.items()
    ]


def rats(kit: Kit) -> "Mapping[str, Floats]":
    """Coordination after two hours of 1.2 MAC; the threshold is that of isoflurane, 23.2 min."""
    return _two(kit, _pair(kit, "rat", _RAT_KG, _rat_levels(kit)), "R-COORD", _RAT_MIN)


def dogs(kit: Kit) -> "Mapping[str, Floats]":
    """Standing after two hours at 2.0 and 3.2 %; the threshold is that of isoflurane, 26.3 min."""
    return _two(kit, _pair(kit, "dog", _DOG_KG, _DOG_LEVELS), "D-STAND", _DOG_MIN)


def _two(kit: Kit, pair: "list[Held]", start: str, published_min: float) -> "Mapping[str, Floats]":
    first, second = pair
    threshold = _threshold(kit, first, published_min)
    return {
        f"{start}-iso": _woken(kit, first, threshold, open_system()),
        f"{start}-sevo": _woken(kit, second, threshold, open_system()),
    }


def mice(kit: Kit) -> "Mapping[str, Floats]":
    """Righting after two hours of 1.25 times the level that takes it away; fitted on itself."""
    threshold = _threshold(kit, _MOUSE, _MOUSE_MIN)
    return {"M-EMERGE-iso": _woken(kit, _MOUSE, threshold, open_system())}
