"""What is asked of the engine: settings over time, when to look, and where it starts."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ullage.core.errors import InvalidQuantity
from ullage.core.kinetics.body import Floats
from ullage.core.kinetics.feedback import Model
from ullage.core.kinetics.matrices import STATES
from ullage.core.kinetics.settings import Setting, ordered

__all__ = ["Run"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """Settings in force from their start on, and the times at which states are wanted.

    ``times_min`` rise and none lies before the first setting. ``start`` is the state at the
    first setting, shape (n, g, 12); without one everything starts at zero. ``keep`` names the
    states that are returned, so that an ensemble does not fill the memory.
    """

    settings: Sequence[Setting]
    times_min: Floats
    start: Floats | None = None
    keep: Sequence[int] | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "settings", ordered(self.settings))
        times = np.atleast_1d(np.asarray(self.times_min, dtype=float))
        object.__setattr__(self, "times_min", times)
        first = self.settings[0].start_min
        if times.size == 0 or np.any(np.diff(times) < 0) or not times[0] >= first:
            value = float(times[0]) if times.size else 0.0
            raise InvalidQuantity("times_min", value, "rising times, none before the start")

    @property
    def kept(self) -> Sequence[int]:
        """The states returned, in their order."""
        return range(STATES) if self.keep is None else self.keep

    def pieces(self) -> list[tuple[Setting, float]]:
        """Each setting that matters, with the minute at which it ends [min]."""
        last = float(self.times_min[-1])
        begun = [one for one in self.settings if one.start_min <= last]
        ends = [one.start_min for one in begun[1:]]
        return list(zip(begun, [*ends, last], strict=True))

    def first_state(self, model: Model) -> Floats:
        """A copy of the state at the first setting, zero where none was given."""
        shape = (model.body.count, len(model.names), STATES)
        return np.zeros(shape) if self.start is None else np.array(self.start, dtype=float)
