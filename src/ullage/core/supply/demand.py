"""What a day asks of a source: fresh gas, drive gas, flushes, chambers, losses.

Plain numbers only. A stretch is a time of steady demand; a case is its stretches one after the
other; a machine's day is its cases in order.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from ullage.core.checks import not_negative, positive, within

__all__ = [
    "CaseDemand",
    "MachineDemand",
    "Stretch",
    "chamber_l",
    "concurrent_peak_l_min",
    "drive_gas_l_min",
    "flush_l",
    "leak_lost_l",
    "stretch_l",
    "whistle_l",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A time of steady demand for one gas, as it is meant to be.

    ``metered_l_min`` passes a flowmeter and shares its error; ``minute_volume_l_min`` draws drive
    gas by the factor of the machine; ``steady_l_min`` is drawn as it is; ``litres`` and
    ``flush_min`` are spread evenly over the stretch.
    """

    minutes: float
    metered_l_min: float = 0.0
    steady_l_min: float = 0.0
    minute_volume_l_min: float = 0.0
    litres: float = 0.0
    flush_min: float = 0.0

    def __post_init__(self) -> None:
        positive("minutes", self.minutes)
        for name in (
            "metered_l_min",
            "steady_l_min",
            "minute_volume_l_min",
            "litres",
            "flush_min",
        ):
            not_negative(name, getattr(self, name))


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseDemand:
    """One case: when its first stretch is meant to begin, and how well lengths are known.

    The first ``exact`` stretches (checks before the animal) have the length given; all later
    ones share one error of ``minutes_sd_share``.
    """

    begin_min: float
    stretches: tuple[Stretch, ...]
    exact: int = 0
    minutes_sd_share: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineDemand:
    """One machine's demand for one gas over the day, cases in the order of their start."""

    cases: tuple[CaseDemand, ...]
    flow_sd_share: float = 0.0
    drive_low: float = 0.0
    drive_high: float = 0.0
    flush_low_l_min: float = 0.0
    flush_high_l_min: float = 0.0

    @property
    def drive_factor(self) -> float:
        """[1] middle of the range of the drive gas factor."""
        return (self.drive_low + self.drive_high) / 2.0

    @property
    def flush_l_min(self) -> float:
        """[L/min] middle of the range of the flush."""
        return (self.flush_low_l_min + self.flush_high_l_min) / 2.0

    def steady_l_min(self, stretch: Stretch) -> float:
        """[L/min] steady demand of a stretch; flushes and fills are no steady demand."""
        driven = stretch.minute_volume_l_min * self.drive_factor
        return stretch.metered_l_min + stretch.steady_l_min + driven

    @property
    def total_l(self) -> float:
        """[L] whole demand of the day as it is meant to be."""
        return sum(
            stretch_l(stretch, self.drive_factor, self.flush_l_min)
            for case in self.cases
            for stretch in case.stretches
        )


def concurrent_peak_l_min(demands: Sequence[MachineDemand]) -> float:
    """Highest steady demand of several machines at one time, by the plan.

    Parameters
    ----------
    demands : of the machines that share a source; flushes and fills are no steady demand.

    Returns
    -------
    [L/min]

    >>> one = CaseDemand(begin_min=0, stretches=(Stretch(minutes=60, metered_l_min=2),))
    >>> two = CaseDemand(begin_min=90, stretches=(Stretch(minutes=60, metered_l_min=3),))
    >>> concurrent_peak_l_min([MachineDemand(cases=(one,)), MachineDemand(cases=(two,))])
    3.0
    """
    steps: list[tuple[float, float]] = []
    for demand in demands:
        for case in demand.cases:
            at_min = case.begin_min
            for one in case.stretches:
                steady = demand.steady_l_min(one)
                steps += [(at_min, steady), (at_min + one.minutes, -steady)]
                at_min += one.minutes
    flow = peak = 0.0
    for _, step in sorted(steps):  # at one time, what ends goes before what begins
        flow += step
        peak = max(peak, flow)
    return peak


def flush_l(count: int, seconds_s: float, flush_flow_l_min: float) -> float:
    """Gas that oxygen flushes take.

    Parameters
    ----------
    count : [1] how many, 0 or more.
    seconds_s : [s] how long each is held, 0 or more.
    flush_flow_l_min : [L/min] flow of the flush, 0 or more.

    Returns
    -------
    [L]

    Source: supply_S20 (a flush runs past flowmeter and vaporizer at 35 to 75 L/min).

    >>> round(flush_l(1, 10.0, 35.0), 1), round(flush_l(1, 10.0, 75.0), 1)
    (5.8, 12.5)
    """
    not_negative("count", count)
    not_negative("seconds_s", seconds_s)
    not_negative("flush_flow_l_min", flush_flow_l_min)
    return count * seconds_s / 60.0 * flush_flow_l_min


def drive_gas_l_min(
    minute_volume_l_min: float, drive_factor: float, control_l_min: float = 0.0
) -> float:
    """Gas that a ventilator draws besides the fresh gas.

    Parameters
    ----------
    minute_volume_l_min : [L/min] tidal volume times rate, 0 or more.
    drive_factor : [1] litres of drive gas for each litre of minute volume; 0 for an electric one.
    control_l_min : [L/min] what its control circuit takes, 0 or more.

    Returns
    -------
    [L/min]

    Source: supply_S51 (drive gas against minute volume of a field ventilator).

    >>> round(drive_gas_l_min(10.0, 0.376), 2)
    3.76
    """
    not_negative("minute_volume_l_min", minute_volume_l_min)
    within("drive_factor", drive_factor, 0.0, 10.0)
    return minute_volume_l_min * drive_factor + not_negative("control_l_min", control_l_min)


def chamber_l(volume_l: float, times: int, volumes: float) -> float:
    """Gas that filling or purging an induction chamber takes.

    Parameters
    ----------
    volume_l : [L] of the chamber, above 0.
    times : [1] fills and purges together, 0 or more.
    volumes : [1] chamber volumes swept each time; 3 bring a stirred chamber to 95 %.

    Returns
    -------
    [L]

    >>> chamber_l(10.0, 2, 3.0)
    60.0
    """
    positive("volume_l", volume_l)
    not_negative("times", times)
    return volume_l * times * positive("volumes", volumes)


def whistle_l(whistle_flow_l_min: float, seconds_s: float) -> float:
    """Gas that one sounding of an oxygen failure whistle takes.

    Parameters
    ----------
    whistle_flow_l_min : [L/min] while it sounds, 0 or more.
    seconds_s : [s] how long it sounds, 0 or more.

    Returns
    -------
    [L]

    Source: supply_S18 (at least 7 s at about 2 L/min).

    >>> round(whistle_l(2.0, 7.0), 2)
    0.23
    """
    not_negative("whistle_flow_l_min", whistle_flow_l_min)
    return whistle_flow_l_min * not_negative("seconds_s", seconds_s) / 60.0


def leak_lost_l(leak_l_min: float, open_min: float) -> float:
    """Gas that a leak takes while a source is open.

    Parameters
    ----------
    leak_l_min : [L/min] 0 or more.
    open_min : [min] how long the source is open, 0 or more.

    Returns
    -------
    [L]

    >>> leak_lost_l(0.1, 14 * 60.0)
    84.0
    """
    return not_negative("leak_l_min", leak_l_min) * not_negative("open_min", open_min)


def stretch_l(stretch: Stretch, drive_factor: float, flush_flow_l_min: float) -> float:
    """Gas that one stretch takes when everything goes as meant.

    Parameters
    ----------
    stretch : its length, its flows and its lumps.
    drive_factor : [1] litres of drive gas for each litre of minute volume.
    flush_flow_l_min : [L/min] flow of the flush.

    Returns
    -------
    [L]

    >>> stretch_l(Stretch(minutes=10, metered_l_min=2, flush_min=0.5), 0.0, 50.0)
    45.0
    """
    steady_l_min = (
        stretch.metered_l_min
        + stretch.steady_l_min
        + drive_gas_l_min(stretch.minute_volume_l_min, drive_factor)
    )
    return (
        steady_l_min * stretch.minutes
        + stretch.litres
        + stretch.flush_min * not_negative("flush_flow_l_min", flush_flow_l_min)
    )
