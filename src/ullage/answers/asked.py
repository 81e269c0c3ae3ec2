"""The question about one cylinder in one piece, and what its numbers came to."""

from dataclasses import dataclass

from ullage.answers.answer import WhereFrom
from ullage.answers.held import Policy, shown_l
from ullage.answers.things import Cylinder, Place, Reading
from ullage.answers.words import figure, span
from ullage.core.checks import not_negative
from ullage.core.supply import CylinderBands, Doubt, Spread
from ullage.reference import Sourced, sourced

__all__ = ["Asked", "Found", "OtherDemand", "flow_doubt", "flow_error", "with_flow"]


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherDemand:
    """What is drawn besides the fresh gas: drive gas and a leak."""

    drive_l_min: float = 0.0
    leak_l_min: float = 0.0

    def __post_init__(self) -> None:
        not_negative("drive_l_min", self.drive_l_min)
        not_negative("leak_l_min", self.leak_l_min)

    @property
    def l_min(self) -> float:
        """[L/min] both together."""
        return self.drive_l_min + self.leak_l_min


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """The question in one piece."""

    cylinder: Cylinder
    reading: Reading
    fresh_l_min: float
    other: OtherDemand
    policy: Policy
    place: Place

    @property
    def flow_l_min(self) -> float:
        """[L/min] whole demand."""
        return self.fresh_l_min + self.other.l_min

    @property
    def flow_words(self) -> str:
        """The demand in words, its parts named."""
        parts = [f"{self.fresh_l_min:.3g} L/min"]
        if self.other.drive_l_min:
            parts.append(f"{self.other.drive_l_min:.3g} L/min to drive the ventilator")
        if self.other.leak_l_min:
            parts.append(f"{self.other.leak_l_min:.3g} L/min leaking")
        return " and ".join(parts)

    def litres(self, litres: float) -> str:
        """Inside litres as the place counts them, in words."""
        return f"{figure(shown_l(litres, self.place))} L"

    def litres_span(self, spread: Spread) -> str:
        """The ends of a band as the place counts litres, in words."""
        return span(shown_l(spread.low, self.place), shown_l(spread.high, self.place), "L")


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What the numbers came to, and how the contents were found."""

    bands: CylinderBands
    how: str
    note: str
    where_from: tuple[WhereFrom, ...]
    assumptions: tuple[str, ...]
    cautions: tuple[str, ...] = ()


def flow_error(flow_l_min: float) -> Sourced:
    """The error of a flow that was set: a limit at low flow, else a standard deviation."""
    low = sourced("planning", "flow_low_l_min").value
    return sourced("supply", "flow_low_error_share" if flow_l_min < low else "flow_sd_share")


def flow_doubt(flow_l_min: float, flow_sd_share: float | None = None) -> Doubt:
    """The same as numbers; a share known for the meter comes first."""
    if flow_sd_share is not None:
        return Doubt(flow_sd_share=flow_sd_share)
    error = flow_error(flow_l_min)
    if error.key == "flow_sd_share":
        return Doubt(flow_sd_share=error.value)
    return Doubt(flow_limit_share=error.value)


def with_flow(doubt: Doubt, asked: Asked) -> Doubt:
    """The doubt about a cylinder with that of the fresh gas, as a share of the whole demand."""
    flow = flow_doubt(asked.fresh_l_min)
    part = asked.fresh_l_min / asked.flow_l_min
    return Doubt(
        gauge_kpa=doubt.gauge_kpa,
        temperature_k=doubt.temperature_k,
        water_share=doubt.water_share,
        flow_sd_share=flow.flow_sd_share * part,
        flow_limit_share=flow.flow_limit_share * part,
    )
