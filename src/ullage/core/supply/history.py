"""What is known of one cylinder since it was opened, and what is believed before any reading."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from ullage.core.checks import not_negative, positive, within
from ullage.core.errors import InvalidQuantity
from ullage.core.gas import Gas

__all__ = ["Beliefs", "Draw", "History", "Instrument", "Sighting"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sighting:
    """A gauge pressure or a weighed content, with the room, at a minute.

    ``is_open`` says whether the cylinder valve was open since the sighting before; None: not known.
    """

    at_min: float
    temperature_k: float
    gauge_kpa: float | None = None
    weighed_l: float | None = None
    is_open: bool | None = None

    def __post_init__(self) -> None:
        within("at_min", self.at_min, -1e9, 1e9)
        within("temperature_k", self.temperature_k, 200.0, 350.0)
        if self.gauge_kpa is not None:
            not_negative("gauge_kpa", self.gauge_kpa)
        if self.weighed_l is not None:
            within("weighed_l", self.weighed_l, -1e7, 1e7)


@dataclass(frozen=True, slots=True, kw_only=True)
class Draw:
    """A flow meant to be running from one minute to another; its meter's error as one SD."""

    start_min: float
    end_min: float
    flow_l_min: float
    error_share: float

    def __post_init__(self) -> None:
        not_negative("flow_l_min", self.flow_l_min)
        not_negative("error_share", self.error_share)
        positive("end_min - start_min", self.end_min - self.start_min)


@dataclass(frozen=True, slots=True, kw_only=True)
class Instrument:
    """How far the gauge and the scale may be wrong.

    Limits are uniform either way and stay with the instrument from one reading to the next.
    """

    full_scale_kpa: float
    gauge_limit_kpa: float
    gauge_step_kpa: float
    scale_limit_l: float = 0.0
    scale_step_l: float = 0.0
    temperature_limit_k: float = 1.0
    capacity_limit_share: float = 0.0

    def __post_init__(self) -> None:
        positive("full_scale_kpa", self.full_scale_kpa)
        positive("gauge_limit_kpa", self.gauge_limit_kpa)
        positive("gauge_step_kpa", self.gauge_step_kpa)
        for name in ("scale_limit_l", "scale_step_l", "temperature_limit_k"):
            not_negative(name, getattr(self, name))
        within("capacity_limit_share", self.capacity_limit_share, 0.0, 0.5)


@dataclass(frozen=True, slots=True, kw_only=True)
class Beliefs:
    """What is held likely before any reading; shares are chances, the rest one SD each."""

    leak_share: float
    leak_low_l_min: float
    leak_high_l_min: float
    late_leak_share: float
    flush_share: float
    flush_l: float
    flush_sd_l: float
    jump_share: float
    misread_share: float
    cold_share: float
    cold_drop_k: float
    cold_sd_k: float
    night_sd_k: float
    warming_min: float
    reading_sd_k: float
    setting_sd_share: float
    span_sd_share: float
    bend_sd_share: float
    flow_error_is_limit: bool = False

    def __post_init__(self) -> None:
        for name in ("leak_share", "late_leak_share", "flush_share", "cold_share"):
            within(name, getattr(self, name), 0.0, 1.0)
        for name in ("jump_share", "misread_share"):
            within(name, getattr(self, name), 0.0, 0.5)
        positive("leak_low_l_min", self.leak_low_l_min)
        positive("leak_high_l_min - leak_low_l_min", self.leak_high_l_min - self.leak_low_l_min)
        positive("warming_min", self.warming_min)


@dataclass(frozen=True, slots=True, kw_only=True)
class History:
    """One cylinder since it was opened: what was seen, what was meant to flow, and now."""

    gas: Gas
    water_capacity_l: float
    ambient_kpa: float
    sightings: tuple[Sighting, ...]
    draws: tuple[Draw, ...]
    now_min: float
    instrument: Instrument

    def __post_init__(self) -> None:
        positive("water_capacity_l", self.water_capacity_l)
        within("ambient_kpa", self.ambient_kpa, 50.0, 110.0)
        if not self.sightings:
            raise InvalidQuantity("number of readings", 0, "1 or more")
        if _falls([one.at_min for one in self.sightings]):
            raise InvalidQuantity("readings", len(self.sightings), "in the order of their times")
        not_negative("now_min - last reading", self.now_min - self.sightings[-1].at_min)

    def without_last(self) -> "History":
        """The same history before its last reading was known."""
        return History(
            gas=self.gas,
            water_capacity_l=self.water_capacity_l,
            ambient_kpa=self.ambient_kpa,
            sightings=self.sightings[:-1],
            draws=self.draws,
            now_min=self.now_min,
            instrument=self.instrument,
        )


def _falls(values: Sequence[float]) -> bool:
    return any(later < earlier for earlier, later in pairwise(values))
