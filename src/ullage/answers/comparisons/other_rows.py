"""Rows of apparatus, of Mapleson systems, of mice in a chamber, of horses in a closed circle."""

from collections.abc import Mapping
from math import exp, log
from typing import TYPE_CHECKING
from zlib import crc32

from ullage.answers.comparisons.kit import Kit, Mechanism
from ullage.answers.comparisons.parts import at, tidal
from ullage.answers.comparisons.waking_rows import RIGHTING_LOST
from ullage.answers.kinetics import Mode
from ullage.reference import sourced

if TYPE_CHECKING:
    from ullage.core.kinetics import Floats

__all__ = ["apparatus", "bain", "drop", "horses", "spontaneous_bain", "test_lung"]

#: Drop method: minutes in which the liquid evaporates, and the share of the level that is enough.
_EVAPORATION_MIN, _ENOUGH = 0.6, 0.8

#: Both are assumed in the set-up; the logarithm of each is taken to be off by so much.
_EVAPORATION_SD, _ENOUGH_SD = 0.3, 0.1

#: A volume that no animal changes.
_WIDE_L = 1e4

#: Share of expiration in which an adult pauses, and carbon dioxide that counts as none: of the
#: set-up, and the two ends that are told (section 2.5 of the reference model).
_PAUSE, _NO_REBREATHING = 0.05, 0.001
_TOLD = ((0.20, 0.002), (0.0, 0.0005))


def test_lung(kit: Kit) -> "Mapping[str, Floats]":
    """Seconds to 4 % from a dial of 6 %, circle and test lung taken as one volume."""
    import numpy as np

    loses = kit.has(Mechanism.LOSS)
    volume = sourced("kinetics", "test_lung_l").value if loses else 7.7
    lost = sourced("kinetics", "lost.sevoflurane_l_min").value if loses else 0.0
    found = {}
    for key, flow in (("3", 3.0), ("1", 1.0), ("05", 0.5)):
        out = flow + lost
        seconds = 60.0 * volume / out * log(1.0 / (1.0 - 4.0 / 6.0 * out / flow))
        found[f"T-LUNG-{key}"] = np.array([seconds])
    return found


def apparatus(kit: Kit) -> "Mapping[str, Floats]":
    """Time constants of circles by volume over flow."""
    import numpy as np

    del kit
    return {
        "T-LARGE-3": np.array([49.26 / 3.0]),
        "T-LARGE-6": np.array([49.26 / 6.0]),
        "T-MILLER-05": np.array([100.0 * (1.0 - exp(-0.5 * 10.0 / 7.0))]),
    }


def bain(kit: Kit) -> "Mapping[str, Floats]":
    """Arterial carbon dioxide on a ventilated Mapleson D [mmHg], as the studies were set up."""
    import numpy as np

    from ullage.core.breathing import co2_mixed_expired_fraction

    rows = {
        "H-BAIN-70": (75.0, 150.0, 0.35, 3.0),
        "H-BAIN-100": (100.0, 150.0, 0.35, 3.0),
        "H-BAIN-CHILD": (2500.0 * 0.79, 3.0 * 2500.0 * 0.79, 0.30, 105.0),
    }
    spread = _metabolism(kit)
    found = {}
    for key, (fresh, minute, dead, made) in rows.items():
        share = co2_mixed_expired_fraction(
            made * kit.standard, fresh * kit.free, minute, minute * (1.0 - dead)
        )
        found[key] = 713.0 * share * spread
    return {key: np.asarray(one) for key, one in found.items()}


def _metabolism(kit: Kit) -> "Floats":
    """How far carbon dioxide of each draw is from the middle one."""
    body = kit.body("human", 70.0)
    middle = kit.middle.body("human", 70.0)
    return body.co2_output_l_min / middle.co2_output_l_min


def spontaneous_bain(kit: Kit) -> "Mapping[str, Floats]":
    """Fresh gas that an adult needs who breathes by himself on a Mapleson D [mL/kg/min].

    What decides is the pause after expiration and what counts as no rebreathing: both are drawn
    evenly over the ranges that are told.
    """
    import numpy as np

    if not kit.count:
        return {"H-BAIN-SPONT": np.array([_needed(kit, _PAUSE, _NO_REBREATHING)])}
    knots = np.linspace(0.0, 1.0, 5)
    (long, loose), (short, strict) = _TOLD
    needed = [
        _needed(kit, long + one * (short - long), loose * (strict / loose) ** one)
        for one in knots.tolist()
    ]
    return {"H-BAIN-SPONT": np.interp(np.linspace(0.0, 1.0, kit.count), knots, needed)}


def _needed(kit: Kit, pause_share: float, limit_fraction: float) -> float:
    from ullage.core.breathing import Breath, fresh_gas_without_rebreathing_l_min

    breath = Breath(
        tidal_l=0.45,
        breaths_per_min=16.0,
        dead_space_l=0.15,
        co2_output_l_min=0.19 * kit.standard,
        limb_l=0.5 * kit.free,
        pause_share=pause_share,
    )
    flow = fresh_gas_without_rebreathing_l_min(breath, limit_fraction)
    return 1000.0 * flow / kit.free / 70.0


def _factor(kit: Kit, name: str, sd: float) -> "Floats":
    """Log-normal factors of something that the set-up assumes; 1 for the middle."""
    import numpy as np

    if not kit.count:
        return np.ones(1)
    seed = (kit.seed or 0, crc32(name.encode()))
    drawn: Floats = np.exp(sd * np.random.default_rng(seed).standard_normal(kit.count))
    return drawn


def drop(kit: Kit) -> "Mapping[str, Floats]":
    """Seconds until mice in a still chamber with a drop of liquid lose their righting reflex.

    How fast the drop evaporates, and what share of the level is enough, is assumed, so both are
    drawn.
    """
    import numpy as np

    from ullage.core.kinetics import rises_to_min

    evaporation = _EVAPORATION_MIN * _factor(kit, "evaporation", _EVAPORATION_SD)
    enough = _ENOUGH * RIGHTING_LOST * _factor(kit, "enough", _ENOUGH_SD)
    times, found = 0.01 * np.arange(1.0, 1500.0), {}
    for key, final in (("17", 0.017), ("27", 0.027), ("37", 0.037)):
        level = _in_chamber(kit, final, evaporation, times)
        reached = rises_to_min(times, level / enough[:, None], 1.0)
        found[f"M-DROP-{key}"] = 60.0 * reached
    return found


def _in_chamber(kit: Kit, final: float, evaporation_min: "Floats", times_min: "Floats") -> "Floats":
    """Level at the place of the effect of mice in a chamber that fills exponentially."""
    import numpy as np

    from ullage.core.kinetics import EFFECT, TISSUE, Run, System, SystemKind

    species, kg = "mouse", 0.035
    body = kit.body(species, kg, conscious=True)
    gases = {"isoflurane": kit.gas("isoflurane", species)}
    feedback = kit.feedback(species, {"isoflurane": RIGHTING_LOST}, Mode(conscious=True))
    keep = EFFECT if kit.effect(kg) else TISSUE.start
    # A volume that no mouse changes, filled at the rate at which the liquid evaporates.
    chamber = System(kind=SystemKind.MIXED, inspiratory_l=_WIDE_L)
    whole = kit.model(body, gases, chamber, feedback)
    rows = []
    for number, minutes in enumerate(evaporation_min.tolist()):
        setting = at(0, _WIDE_L / minutes, {"isoflurane": final})
        run = Run(settings=[setting], times_min=times_min, keep=(keep,))
        rows.append(kit.course(whole.part(slice(number, number + 1)), run)[:, :, 0, 0])
    return np.concatenate(rows)


def horses(kit: Kit) -> "Mapping[str, Floats]":
    """End-tidal isoflurane of horses in a closed circle after doses of liquid [%]."""
    import numpy as np

    from ullage.core.kinetics import Run, System, SystemKind, dosed_course
    from ullage.core.kinetics import square_root_dose_times_min as dose_times_min

    body = kit.body("horse", 500.0)
    circle = System(kind=SystemKind.MIXED, inspiratory_l=33.0)
    model = kit.model(body, {"isoflurane": kit.gas("isoflurane", "horse")}, circle)
    dose = 4.2 * 195.0 / 1000.0 * kit.vapour
    times = 0.1 * np.arange(811.0)
    run = Run(settings=[at(0, 0.0)], times_min=times)
    doses = [(minute, dose) for minute in dose_times_min(81.0)]
    level = 100.0 * tidal(model, dosed_course(model, run, doses)[:, :, 0])
    return {
        "E-CLOSED-ISO": level[:, 11:].mean(axis=1),
        "E-CLOSED-ISO1": level[:, 1:11].mean(axis=1),
    }
