"""Rows with several gases at once: nitrous oxide in and out, the second gas, nitrogen."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from ullage.answers.comparisons.kit import Kit, adult_circle, open_system
from ullage.answers.comparisons.parts import at, several, tidal

if TYPE_CHECKING:
    from ullage.core.kinetics import Floats

__all__ = ["nitrogen_in_circle", "nitrous_oxide_in", "nitrous_oxide_out", "second_gas"]

_N2O, _O2, _N2, _SEVO = "nitrous oxide", "oxygen", "nitrogen", "sevoflurane"
_AFTER = (1.0, 4.0, 10.0, 30.0, 60.0)


def nitrous_oxide_in(kit: Kit) -> "Mapping[str, Floats]":
    """Uptake of 70 % nitrous oxide after oxygen [mL/min of free gas], and its ratio at 30 min."""
    import numpy as np

    from ullage.core.kinetics import streams_at

    mixture = {_N2O: 0.7, _O2: 0.3}
    settings = [at(0, 8, {_O2: 1.0}), at(10, 8, mixture)]
    times = 10.0 + np.array(_AFTER)
    body = kit.body("human", 70.0)
    model, states = several(kit, body, (_N2O, _O2, _N2), open_system(), (settings, times))
    _, uptake = streams_at(model, states, kit.settings(settings)[1])
    found = {
        f"H-N2O-UP-{minute:g}": 1000.0 * uptake[:, k, 0] / kit.free
        for k, minute in enumerate(_AFTER)
    }
    ratio = tidal(model, states[:, :, 0])[:, _AFTER.index(30.0)] / 0.7
    return {**found, "H-N2O-FAFI30": ratio}


def nitrous_oxide_out(kit: Kit) -> "Mapping[str, Floats]":
    """Nitrous oxide breathed out one minute after an hour of it [mL/min of free gas]."""
    import numpy as np

    from ullage.core.kinetics import FA, streams_at

    settings = [
        at(0, 8, {_O2: 1.0}),
        at(10, 8, {_N2O: 0.68, _O2: 0.32}),
        at(70, 8, {_O2: 0.3, _N2: 0.7}),
    ]
    body = kit.body("human", 70.0)
    plan = settings, np.array([71.0])
    model, states = several(kit, body, (_N2O, _O2, _N2), open_system(), plan)
    streams, _ = streams_at(model, states, kit.settings(settings)[2])
    return {"H-N2O-OUT-1": 1000.0 * streams.out_of[:, 0] * states[:, 0, 0, FA] / kit.free}


def second_gas(kit: Kit) -> "Mapping[str, Floats]":
    """How much nitrous oxide raises end-tidal sevoflurane at two minutes [%]."""
    import numpy as np

    body, times = kit.body("human", 70.0), np.array([12.0])
    names = (_SEVO, _N2O, _O2, _N2)
    with_it = [at(0, 8, {_O2: 1.0}), at(10, 8, {_SEVO: 0.02, _N2O: 0.7, _O2: 0.28})]
    without = [
        at(0, 8, {_O2: 0.3, _N2: 0.7}),
        at(10, 8, {_SEVO: 0.02, _O2: 0.30, _N2: 0.68}),
    ]
    levels = []
    for settings in (with_it, without):
        model, states = several(kit, body, names, open_system(), (settings, times))
        levels.append(tidal(model, states[:, :, 0])[:, 0])
    return {"H-2GAS-2": 100.0 * (levels[0] / levels[1] - 1.0)}


def nitrogen_in_circle(kit: Kit) -> "Mapping[str, Floats]":
    """Nitrogen that comes back into a nearly closed circle, and what the blood gives off."""
    import numpy as np

    from ullage.core.kinetics import FI, streams_at

    settings = [at(0, 10, {_O2: 1.0}), at(1, 5, {_O2: 0.33, _N2O: 0.67})]
    for minute in range(41):
        oxygen = 0.28
        nitrous = 0.75 / (minute + 6.5) ** 0.5 + 0.09
        whole = oxygen + nitrous
        settings.append(at(7 + minute, whole, {_O2: oxygen / whole, _N2O: nitrous / whole}))
    body, times = kit.body("human", 70.0), np.array([17.0, 47.0])
    model, states = several(kit, body, (_N2O, _O2, _N2), adult_circle(), (settings, times))
    _, uptake = streams_at(model, states, kit.settings(settings)[-1])
    return {
        "H-N2-FI40": 100.0 * states[:, 1, 2, FI],
        "H-N2-OUT10": -1000.0 * uptake[:, 0, 2] / kit.free,
    }
