"""Oxygen that is breathed in over a planned case, from the volumes of all gases."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ullage.answers.case_engine import NITROGEN, OXYGEN, Engine
from ullage.answers.case_things import Stretch

if TYPE_CHECKING:
    from ullage.core.kinetics import Accuracy, Floats

__all__ = ["inspired_oxygen", "oxygen_band"]

#: Animals that oxygen is followed in where the agent alone is followed in all.
_DRAWS = 48
_TAILS = (0.05, 0.5, 0.95)


def inspired_oxygen(
    engine: Engine,
    led: Sequence[tuple[Stretch, float]],
    times_min: "Floats",
    accuracy: "Accuracy | None" = None,
) -> "Floats":
    """[1] oxygen breathed in at rising times, shape (n, t), for a case without nitrous oxide.

    Breathing at depth is left out: it hardly changes what a circle holds. On an open system it is
    what is delivered.

    Parameters
    ----------
    engine : of the agent; the same animals are drawn again, fewer of them.
    led : stretches with the fraction of agent in each.
    times_min : [min] at which it is wanted.
    accuracy : of the engine.
    """
    import numpy as np

    from ullage.core.kinetics import FI, SystemKind

    if all(engine.breathes_from(engine.stage(one)).kind is SystemKind.OPEN for one, _ in led):
        own = Engine(engine.planned, 0, 0, (OXYGEN, NITROGEN))
        ends = [one.end_min + 1e-9 for one, _ in led]
        given = [own.setting(one, fraction).delivered[OXYGEN] for one, fraction in led]
        last = np.minimum(np.searchsorted(ends, times_min), len(led) - 1)
        open_mask: Floats = np.array(given)[last][None]
        return open_mask
    planned, drawn = engine.planned, engine.drawn
    own = Engine(planned, min(drawn.count, _DRAWS), drawn.seed or 0, (OXYGEN, NITROGEN))
    found: Floats = own.course(led, times_min, accuracy=accuracy)[:, :, 0, FI]
    return found


def oxygen_band(oxygen: "Floats") -> "Floats":
    """[1] low, middle and high of the draws at each time, shape (3, t).

    No error of the model is added: what is breathed in follows from flows and from what is used.
    Where less comes than is used, it ends at nothing.

    Parameters
    ----------
    oxygen : [1] of the draws, shape (n, t).

    >>> import numpy as np
    >>> oxygen_band(np.array([[0.3, 0.4]])).T.round(2).tolist()
    [[0.3, 0.3, 0.3], [0.4, 0.4, 0.4]]
    """
    import numpy as np

    found: Floats = np.quantile(np.clip(oxygen, 0.0, 1.0), _TAILS, axis=0)
    return found
