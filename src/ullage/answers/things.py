"""Things as they stand in the room: plain, frozen, valid once they exist.

Times are minutes from an origin that the caller chooses (midnight of the day for a day plan,
the first reading for a cylinder's history). Litres are free gas at 70 °F and 1 atm inside;
`Place.condition` says at which condition they are shown.
"""

from dataclasses import dataclass
from enum import StrEnum

from ullage.core.checks import each_said, not_negative, positive, within
from ullage.core.gas import C15, Gas, ReferenceCondition
from ullage.core.units import STANDARD_ATMOSPHERE_KPA

__all__ = [
    "Cylinder",
    "FlowPeriod",
    "Gas",
    "Place",
    "Reading",
    "ReservePolicy",
    "Valve",
]


class Valve(StrEnum):
    """What the cylinder valve was doing since the reading before."""

    OPEN = "open"
    CLOSED = "closed"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """The room: barometric pressure, temperature with its band, and the litres it speaks in."""

    barometric_kpa: float = STANDARD_ATMOSPHERE_KPA
    temperature_k: float = 293.15
    temperature_band_k: float = 5.0
    temperature_given: bool = False
    condition: ReferenceCondition = C15
    pressure_unit: str = "bar"

    def __post_init__(self) -> None:
        within("barometric_kpa", self.barometric_kpa, 50.0, 110.0)
        within("temperature_k", self.temperature_k, 243.15, 338.15)
        not_negative("temperature_band_k", self.temperature_band_k)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cylinder:
    """One cylinder with its gauge; None where the stamp or label was not read."""

    gas: Gas
    water_capacity_l: float
    full_scale_kpa: float = 20_684.0
    gauge_error_share: float | None = None
    water_capacity_share: float | None = None
    test_pressure_kpa: float | None = None
    fill_gauge_kpa: float | None = None
    tare_kg: float | None = None
    label: str = ""
    capacity_source: str = ""

    def __post_init__(self) -> None:
        positive("water_capacity_l", self.water_capacity_l)
        positive("full_scale_kpa", self.full_scale_kpa)
        for name in ("gauge_error_share", "water_capacity_share"):
            if (share := getattr(self, name)) is not None:
                within(name, share, 0.0, 1.0)
        each_said(self, not_negative, "test_pressure_kpa", "fill_gauge_kpa", "tare_kg")


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What a person saw: a gauge or a scale, and the room; never changed afterwards."""

    at_min: float
    gauge_kpa: float | None = None
    weight_kg: float | None = None
    temperature_k: float | None = None
    valve_before: Valve = Valve.UNKNOWN

    def __post_init__(self) -> None:
        within("at_min", self.at_min, -1e9, 1e9)


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowPeriod:
    """A flow meant to be running: from, to, how much, and how well the meter is known."""

    start_min: float
    end_min: float
    flow_l_min: float
    flow_sd_share: float | None = None

    def __post_init__(self) -> None:
        not_negative("flow_l_min", self.flow_l_min)
        positive("end_min - start_min", self.end_min - self.start_min)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReservePolicy:
    """What a site keeps back; the largest of those given. None given: the proposal."""

    pressure_kpa: float | None = None
    volume_l: float | None = None
    minutes: float | None = None
    begin_kpa: float | None = None

    def __post_init__(self) -> None:
        each_said(self, not_negative, "pressure_kpa", "volume_l", "minutes", "begin_kpa")

    @property
    def is_proposal(self) -> bool:
        """True when the site has not set its own rule."""
        return self.pressure_kpa is None and self.volume_l is None and self.minutes is None
