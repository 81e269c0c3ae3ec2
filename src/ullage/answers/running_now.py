"""A running case at one minute: the draws led to it, and weighed by what was measured."""

from dataclasses import dataclass
from functools import cached_property
from math import hypot, inf, sqrt
from typing import TYPE_CHECKING

from ullage.answers.running_course import Led, Piece, carried_on, led_to
from ullage.answers.running_things import RunningCase, SetTo, whole_moment
from ullage.answers.vaporizers import VaporizerKind, kind_for
from ullage.reference import sourced

if TYPE_CHECKING:
    from ullage.core.kinetics import Belief, Doubt, Floats, Measured, Narrowed

__all__ = ["Now", "belief", "doubt", "measured_by", "now_of", "reading_error_share"]

#: Below this fraction an analyser shows nothing.
_LEAST_FRACTION = 2e-4


def _of(name: str) -> float:
    return float(sourced("kinetics", f"narrow.{name}").value)


def doubt(agent: str, accuracy_share: float | None = None) -> "Doubt":
    """How far vaporizer, engine and analyser may be off, from the tables.

    A plan asks which dial gives a level, and widens the dial by the accuracy of the vaporizer. Here
    the dial is known, so that the accuracy widens the levels: the same error in all of them.

    Parameters
    ----------
    agent : given; a heated vaporizer keeps other limits.
    accuracy_share : [1] within which the vaporizer was found; None takes what one must keep.

    >>> round(doubt("isoflurane").staying_share, 3), doubt("isoflurane").calibration_share
    (0.129, 0.05)
    """
    from ullage.core.kinetics import Doubt

    whole, staying = sourced("kinetics", "model_error.level_share").value, _of("staying_share")
    heated = kind_for(agent) is VaporizerKind.HEATED
    row = sourced("agents", "accuracy.heated_percent" if heated else "accuracy.of_setting_percent")
    within = 0.01 * row.value if accuracy_share is None else accuracy_share
    return Doubt(
        staying_share=hypot(whole * sqrt(staying), within / sqrt(3.0)),
        passing_share=whole * sqrt(1.0 - staying),
        passing_min=_of("passing_min"),
        calibration_share=_of("calibration_share"),
    )


def belief() -> "Belief":
    """When a reading is not believed, from the tables.

    >>> belief().least_chance
    0.01
    """
    from ullage.core.kinetics import Belief

    return Belief(
        least_chance=_of("least_chance"), least_effective_share=_of("least_effective_share")
    )


def reading_error_share(fraction: float) -> float:
    """[1] one standard deviation of a reading as a share of it: breath, eye and steps of the show.

    Parameters
    ----------
    fraction : [1] that was read.

    >>> round(reading_error_share(0.012), 3), round(reading_error_share(0.002), 3)
    (0.038, 0.147)
    """
    step = 0.01 * _of("step_percent") / sqrt(12.0)
    return hypot(_of("noise_share"), step / max(fraction, _LEAST_FRACTION))


def measured_by(case: RunningCase, at_min: float) -> "tuple[Measured, ...]":
    """Every value that was read up to a minute, with its error, in the order of the readings.

    Parameters
    ----------
    case : with its readings.
    at_min : [min] now.
    """
    from ullage.core.kinetics import LevelKind, Measured

    found = []
    for one in case.readings:
        if one.at_min > whole_moment(at_min):
            continue
        both = (
            (LevelKind.END_TIDAL, one.end_tidal_fraction),
            (LevelKind.INSPIRED, one.inspired_fraction),
        )
        for kind, read in both:
            if read is not None:
                error = one.error_share or reading_error_share(read)
                found.append(
                    Measured(at_min=one.at_min, kind=kind, fraction=read, error_share=error)
                )
    return tuple(found)


@dataclass(frozen=True, kw_only=True)
class Now:
    """All draws at one minute, with their weights by what was measured."""

    led: Led
    measured: "tuple[Measured, ...]"
    narrowed: "Narrowed"

    @property
    def at_min(self) -> float:
        """[min] now."""
        return self.led.at_min

    @cached_property
    def ahead(self) -> Piece:
        """The draws carried on for a while at what is set."""
        return self.carried(self.led.setting)

    def carried(self, setting: SetTo) -> Piece:
        """The draws carried on for a while at another setting.

        Parameters
        ----------
        setting : that stands from now on.
        """
        return carried_on(self.led, setting, _of("ahead_min"))

    def bands(self, levels: "Floats", times_min: "Floats", name: str) -> "Floats":
        """Low, middle and high of a level at some times, shape (3, t).

        Parameters
        ----------
        levels : [1] of the draws, shape (n, t).
        times_min : [min] shape (t,).
        name : ``inspired``, ``end_tidal`` or ``brain``.
        """
        from ullage.core.kinetics import LevelKind

        kind = LevelKind.INSPIRED if name == "inspired" else LevelKind.END_TIDAL
        return self.narrowed.bands(levels, times_min, kind)

    def unread_bands(self, levels: "Floats") -> "Floats":
        """Low, middle and high of a level as if nothing had been read, shape (3, t).

        Parameters
        ----------
        levels : [1] of the draws, shape (n, t).
        """
        from ullage.core.kinetics import widened_bands

        held = self.narrowed.solved.doubt
        return widened_bands(levels, hypot(held.staying_share, held.passing_share))

    def in_effect(self, minutes: "Floats", effect: "Floats") -> "Floats":
        """[1] level at the place of the effect after some minutes, moved by what was measured.

        Parameters
        ----------
        minutes : [min] from now, shape (t,).
        effect : [1] of the draws, shape (n, t).
        """
        from ullage.core.kinetics import LevelKind

        factors, _ = self.narrowed.moved(self.at_min + minutes, LevelKind.END_TIDAL)
        moved: Floats = effect * factors
        return moved

    def time_band(self, draws: "Floats") -> tuple[float, float, float]:
        """[min] low, middle and high of a time of each draw; infinite where it does not come.

        Parameters
        ----------
        draws : [min] 0 or more, shape (n,).
        """
        from ullage.core.kinetics import weighted_middle, widened_band

        weights = self.narrowed.weights
        middle = float(weighted_middle(draws[:, None], weights)[0])
        if middle in {0.0, inf}:
            return float(draws[weights > 0.0].min()), middle, middle
        share = sourced("kinetics", "model_error.time_share").value
        least = draws.clip(min=1e-3 * middle)
        low, high = widened_band(middle, least, share, weights=weights)
        return low, middle, high


def now_of(case: RunningCase, at_min: float) -> Now:
    """The draws of a running case at a minute, weighed by what was measured up to then.

    Parameters
    ----------
    case : with its settings and readings.
    at_min : [min] now.

    Raises
    ------
    RuleBroken : nothing was set by then, or what cannot be; see `case_plan`.
    UnknownReference : a species, agent or system not known.
    """
    import numpy as np

    from ullage.core.kinetics import LevelKind, narrowed

    led = led_to(case, at_min)
    measured = measured_by(case, at_min)
    known = doubt(case.subject.agent, case.subject.vaporizer_accuracy_share)
    levels = np.zeros((case.draws, len(measured)))
    for name, kind in (("inspired", LevelKind.INSPIRED), ("end_tidal", LevelKind.END_TIDAL)):
        places = [k for k, one in enumerate(measured) if one.kind is kind]
        if places:
            minutes = np.array([measured[k].at_min for k in places])
            levels[:, places] = led.at(name, minutes)
    return Now(led=led, measured=measured, narrowed=narrowed(levels, measured, known, belief()))
