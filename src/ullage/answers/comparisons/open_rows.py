"""Rows with an inspired level that is set: volunteers at trace levels, a child, piglets."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from ullage.answers.comparisons.kit import Kit, open_system
from ullage.answers.comparisons.parts import BY_MACHINE, at, single, tidal

if TYPE_CHECKING:
    from ullage.core.kinetics import Floats

__all__ = ["child_uptake", "half_times", "metabolised", "piglets_arterial", "piglets_uptake"]
__all__ += ["volunteers", "washout_ratio"]

_SHORT = {"desflurane": "des", "sevoflurane": "sevo", "isoflurane": "iso", "halothane": "halo"}
_SHORT["enflurane"] = "enf"
_TRACE = 0.01


def volunteers(kit: Kit) -> "Mapping[str, Floats]":
    """Half an hour at a trace level, then five minutes without: FA/FI and FA/FA0."""
    import numpy as np

    found = {}
    body = kit.body("human", 70.0)
    for agent in ("desflurane", "sevoflurane", "isoflurane", "halothane"):
        plan = [at(0, 1, {agent: _TRACE}), at(30, 1)], np.array([30.0, 35.0])
        model, states = single(kit, ("human", body), agent, open_system(), plan)
        # At minute 30 the inspired level still stands; at 35 it is gone.
        level = tidal(model, states)
        found[f"H-FAFI30-{_SHORT[agent]}"] = level[:, 0] / _TRACE
        if agent != "sevoflurane":
            found[f"H-FAFA0-5-{_SHORT[agent]}"] = level[:, 1] / level[:, 0]
    return found


def washout_ratio(kit: Kit) -> "Mapping[str, Floats]":
    """How much slower isoflurane leaves than desflurane, over two hours."""
    import numpy as np

    times = np.array([60.0, 65.0, 75.0, 90.0, 120.0, 180.0])
    left = {}
    for agent in ("isoflurane", "desflurane"):
        plan = [at(0, 1, {agent: _TRACE}), at(60, 1)], times
        who = ("human", kit.body("human", 70.0))
        level = tidal(*single(kit, who, agent, open_system(), plan))
        left[agent] = level[:, 1:] / level[:, :1]
    return {"H-WASHRATIO": (left["isoflurane"] / left["desflurane"]).mean(axis=1)}


def half_times(kit: Kit) -> "Mapping[str, Floats]":
    """Minutes until half of the inspired level is breathed out."""
    import numpy as np

    from ullage.core.kinetics import rises_to_min

    times = np.arange(0.01, 15.0, 0.01)
    found = {}
    for agent in ("isoflurane", "sevoflurane"):
        plan = [at(0, 1, {agent: _TRACE})], times
        who = ("human", kit.body("human", 70.0))
        level = tidal(*single(kit, who, agent, open_system(), plan))
        found[f"H-T50-{_SHORT[agent]}"] = rises_to_min(times, level, 0.5 * _TRACE)
    return found


def metabolised(kit: Kit) -> "Mapping[str, Floats]":
    """Two hours at a trace level and a week after: share of the uptake that the liver destroys."""
    import numpy as np

    from ullage.core.kinetics import FA, Run, flows_over

    inside, after = 0.2 * np.arange(601.0), 120.0 + 5.0 * np.arange(1.0, 2017.0)
    times, trace = np.concatenate([inside, after]), 0.002
    found: dict[str, Floats] = {}
    for agent in ("halothane", "enflurane", "sevoflurane"):
        plan = [at(0, 1, {agent: trace}), at(120, 1)], times
        who = ("human", kit.body("human", 70.0))
        model, states = single(kit, who, agent, open_system(), plan)
        run = Run(settings=plan[0], times_min=times)
        destroyed = flows_over(model, run, states[:, :, None])["destroyed"][:, :, 0]
        taken = model.body.alveolar_l_min[:, None] * (trace - states[:, : inside.size, FA])
        share = np.trapezoid(destroyed, times) / np.trapezoid(taken, inside)
        found[f"H-MET-{_SHORT[agent]}"] = 100.0 * share
    return found


def child_uptake(kit: Kit) -> "Mapping[str, Floats]":
    """Halothane that a child of 21 kg takes up in an hour at 1 % inspired [mg/kg]."""
    import numpy as np

    from ullage.core.kinetics import FA

    step, kg = 0.05, 21.0
    times = step * np.arange(1.0, 1201.0)
    plan = [at(0, 1, {"halothane": 0.01})], times
    who = ("human", kit.body("human", kg))
    model, states = single(kit, who, "halothane", open_system(), plan, BY_MACHINE)
    taken = model.body.alveolar_l_min[:, None] * (0.01 - states[:, :, FA])
    litres = taken.sum(axis=1) * step / kit.vapour
    return {"H-CHILD-HALO-UP": litres * 1000.0 / kg * 197.4 / 24.06}


def piglets_arterial(kit: Kit) -> "Mapping[str, Floats]":
    """Minutes until arterial blood of a ventilated piglet has come to a share of its plateau."""
    import numpy as np

    from ullage.core.kinetics import arterial, rises_to_min

    times = np.concatenate([0.005 * np.arange(1.0, 400.0), 0.05 * np.arange(40.0, 901.0)])
    found: dict[str, Floats] = {}
    for agent, key, share in (
        ("isoflurane", "P-ISO-P90", 0.9),
        ("desflurane", "P-DES-P50", 0.5),
    ):
        plan = [at(0, 1, {agent: _TRACE})], times
        who = ("pig", kit.body("pig", 26.7))
        model, states = single(kit, who, agent, open_system(), plan, BY_MACHINE)
        blood = arterial(model.body, states[:, :, None])[:, :, 0]
        found[key] = rises_to_min(times, blood / blood[:, -1:], share)
    return found


def piglets_uptake(kit: Kit) -> "Mapping[str, Floats]":
    """Desflurane in piglets: late over early uptake, and what is washed out in two hours."""
    import numpy as np

    from ullage.core.kinetics import FA, PV, held_in_body_l

    plan = [at(0, 1, {"desflurane": 0.06}), at(120, 1)], np.array([5.0, 120.0, 240.0])
    who = ("pig", kit.body("pig", 25.0))
    model, states = single(kit, who, "desflurane", open_system(), plan, BY_MACHINE)
    uptake = states[..., FA] - states[..., PV]
    held = held_in_body_l(model, states[:, :, None])[:, :, 0] - model.lung * states[..., FA]
    return {
        "P-DES-UPRATIO": uptake[:, 1] / uptake[:, 0],
        "P-DES-WASHED": 100.0 * (1.0 - held[:, 2] / held[:, 1]),
    }
