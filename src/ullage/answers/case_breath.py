"""What the animal of a planned case takes up of a gas, and what it breathes out afterwards.

The middle animal is led through the levels that its plan expects, breathing them as they are; then
it breathes clean air. Litres are free gas, 70 °F and 1 atm.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ullage.answers.case_stretches import Planned
from ullage.answers.kinetics import (
    Mode,
    body_in_lung_litres,
    course,
    feedback_for,
    gas_in_lung_litres,
    litres_of,
    model_for,
)

if TYPE_CHECKING:
    from ullage.core.kinetics import Floats, Model

__all__ = ["Breathed", "Inspired", "breathed"]

#: How long breathing out is followed, and the stretches in which it is taken as even [min].
_EDGES_MIN = (0, 1, 2, 3, 5, 8, 12, 20, 30, 45, 60, 90, 120, 180, 240, 360, 480)


@dataclass(frozen=True, slots=True, kw_only=True)
class Inspired:
    """What is breathed in [1] from one minute of the case to another."""

    start_min: float
    end_min: float
    fraction: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Breathed:
    """Litres of gas: taken up in each stretch, and breathed out later (start, minutes, litres).

    ``given_back`` counts its minutes from the end of the last stretch. ``held_l`` is what the
    animal holds then.
    """

    taken_l: tuple[float, ...]
    given_back: tuple[tuple[float, float, float], ...]
    held_l: float


def breathed(planned: Planned, gas: str, inspired: Sequence[Inspired]) -> Breathed:
    """Uptake and breathing out of one animal.

    Parameters
    ----------
    planned : the case.
    gas : the agent, or nitrous oxide.
    inspired : what is breathed in, one stretch after the other.
    """
    import numpy as np

    from ullage.core.kinetics import Run, Setting, amounts_over, held_in_body_l

    litres = litres_of(planned.given.place.barometric_kpa)
    asleep, waking = (_model(planned, gas, waking=one) for one in (False, True))
    settings = [
        Setting(start_min=one.start_min, fresh_gas_l_min=1.0, delivered={gas: one.fraction})
        for one in inspired
    ]
    ends = np.array([inspired[0].start_min, *(one.end_min for one in inspired)])
    times = np.unique(np.concatenate([ends, np.arange(ends[0], ends[-1], 1.0)]))
    run = Run(settings=settings, times_min=times)
    states = course(asleep, run)
    gone = amounts_over(asleep, run, states)
    kept = (gone["inhaled"] - gone["exhaled"])[0, :, 0] / litres.of_free
    at_ends = np.interp(ends, times, kept)
    off = Run(
        settings=[Setting(start_min=0.0, fresh_gas_l_min=1.0)],
        times_min=_fine(),
        start=states[:, -1],
    )
    out = amounts_over(waking, off, course(waking, off))["exhaled"][0, :, 0] / litres.of_free
    return Breathed(
        taken_l=tuple(float(one) for one in np.diff(at_ends)),
        given_back=_in_pieces(out),
        held_l=float(held_in_body_l(asleep, states)[0, -1, 0]) / litres.of_free,
    )


def _model(planned: Planned, gas: str, *, waking: bool) -> "Model":
    """The middle animal breathing room gas; what deepens anaesthesia is the agent alone."""
    from ullage.core.kinetics import System, SystemKind

    litres = litres_of(planned.given.place.barometric_kpa)
    species = planned.animal.species
    macs = {gas: planned.mac_alone[1]} if gas == planned.given.agent else {}
    mode = Mode(spontaneous=waking or not planned.ventilated, recovering=waking)
    return model_for(
        body_in_lung_litres(planned.animal, litres),
        {gas: gas_in_lung_litres(gas, species, litres)},
        System(kind=SystemKind.OPEN),
        feedback_for(species, macs, mode),
    )


def _fine() -> "Floats":
    """Times at which breathing out is looked at; every edge is among them."""
    import numpy as np

    found: Floats = np.concatenate(
        [np.arange(0.0, 12.0, 0.125), np.arange(12.0, 60.0, 1.0), np.arange(60.0, 480.1, 5.0)]
    )
    return found


def _in_pieces(out_l: "Floats") -> tuple[tuple[float, float, float], ...]:
    import numpy as np

    edges = np.array(_EDGES_MIN, dtype=float)
    gone = np.interp(edges, _fine(), out_l)
    return tuple(
        (float(start), float(end - start), float(more))
        for start, end, more in zip(edges[:-1], edges[1:], np.diff(gone), strict=True)
    )
