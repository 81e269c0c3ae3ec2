"""What an output test of a vaporizer is, what a site allows it, and what a test comes to."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from ullage.answers.answer import WhereFrom
from ullage.answers.lines import line_of
from ullage.answers.vaporizers import VaporizerKind, kind_for
from ullage.answers.words import figure
from ullage.core.checks import positive, within
from ullage.core.errors import RuleBroken
from ullage.core.units import STANDARD_ATMOSPHERE_KPA, celsius
from ullage.reference import Sourced, sourced

__all__ = ["Carrier", "OutputLimit", "OutputPoint", "OutputTest", "limit_of", "published_limits"]


class Carrier(StrEnum):
    """The gas that carried the vapour."""

    OXYGEN = "oxygen"
    AIR = "air"
    NITROUS_OXIDE = "nitrous oxide in oxygen"


@dataclass(frozen=True, slots=True)
class OutputPoint:
    """One dial setting, and what the analyser showed once it stood still."""

    dial_fraction: float
    measured_fraction: float

    def __post_init__(self) -> None:
        within("dial_fraction", self.dial_fraction, 0.0005, 0.5)
        within("measured_fraction", self.measured_fraction, 0.0, 0.9)


@dataclass(frozen=True, slots=True, kw_only=True)
class OutputTest:
    """An output test: where, with which gas, at which flow, and what was read at each dial.

    ``analyser_share`` is how far the analyser may be off, as a share of its reading; the flow
    range is the vaporizer's own, where it is known.
    """

    agent: str
    points: tuple[OutputPoint, ...]
    barometric_kpa: float
    temperature_k: float
    fresh_gas_l_min: float
    carrier: Carrier = Carrier.OXYGEN
    nitrous_fraction: float = 0.0
    kind: VaporizerKind | None = None
    calibrated_kpa: float = STANDARD_ATMOSPHERE_KPA
    calibrated_in: Carrier | None = None
    analyser_share: float | None = None
    flow_lowest_l_min: float | None = None
    flow_highest_l_min: float | None = None
    at: date | None = None

    def __post_init__(self) -> None:
        within("barometric_kpa", self.barometric_kpa, 45.0, 115.0)
        within("calibrated_kpa", self.calibrated_kpa, 45.0, 115.0)
        within("temperature_k", self.temperature_k, 263.15, 323.15)
        positive("fresh_gas_l_min", self.fresh_gas_l_min)
        within("nitrous_fraction", self.nitrous_fraction, 0.0, 0.8)
        if self.analyser_share is not None:
            within("analyser_share", self.analyser_share, 0.0, 0.5)
        if not self.points:
            raise RuleBroken("No dial was tested: write at least one setting with its reading.")

    @property
    def works_by(self) -> VaporizerKind:
        """The kind given, or the usual one of the agent."""
        return self.kind or kind_for(self.agent)

    @property
    def flows(self) -> tuple[float, float, tuple[Sourced, ...]]:
        """[L/min] the flow range, and the rows it rests on where it is not the vaporizer's own."""
        rows = tuple(sourced("agents", f"range.{end}_l_min") for end in ("lowest", "highest"))
        low = rows[0].value if self.flow_lowest_l_min is None else self.flow_lowest_l_min
        high = rows[1].value if self.flow_highest_l_min is None else self.flow_highest_l_min
        known = (self.flow_lowest_l_min, self.flow_highest_l_min)
        return low, high, tuple(row for row, own in zip(rows, known, strict=True) if own is None)

    @property
    def outside(self) -> tuple[str, str]:
        """Why this test says nothing, and how to test instead; empty where it does."""
        low, high, rows = self.flows
        if not low <= self.fresh_gas_l_min <= high:
            whose = "vaporizers of this kind are" if rows else "this vaporizer is"
            return (
                (
                    f"{figure(self.fresh_gas_l_min)} L/min is outside {figure(low)} to "
                    f"{figure(high)} L/min, the flows that {whose} made for: what it gives there "
                    "does not show whether its dial is true."
                ),
                f"Test it again with a flow between {figure(low)} and {figure(high)} L/min.",
            )
        cold, hot = (sourced("agents", f"range.{end}_c").value for end in ("lowest", "highest"))
        room = celsius(self.temperature_k)
        if not cold <= room <= hot:
            return (
                (
                    f"{figure(room)} °C is outside the {figure(cold)} to {figure(hot)} °C in which "
                    "vaporizers make up for warmth: its output there cannot be carried to its dial."
                ),
                (
                    f"Test it again in a room between {figure(cold)} and {figure(hot)} °C, after "
                    "it has stood there for some hours."
                ),
            )
        return "", ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OutputLimit:
    """How far from its dial a vaporizer may be: a share of the dial, or of the highest setting.

    The larger of the two holds. ``key`` and ``name`` say which published one it is; a site's own
    has none.
    """

    of_dial_share: float
    of_most_share: float = 0.0
    key: str = ""
    name: str = ""
    said: tuple[WhereFrom, ...] = ()

    def __post_init__(self) -> None:
        within("of_dial_share", self.of_dial_share, 0.01, 0.5)
        within("of_most_share", self.of_most_share, 0.0, 0.2)

    @property
    def words(self) -> str:
        """``±15 % of the dial``."""
        said = f"±{figure(100 * self.of_dial_share)} % of the dial"
        if self.of_most_share:
            said += f" or ±{figure(100 * self.of_most_share)} % of the highest setting"
        return said

    @property
    def where_from(self) -> tuple[WhereFrom, ...]:
        """On whose word: the page it stands on, or the site."""
        if self.said:
            return self.said
        rule = f"Limit of the site for its vaporizers: {self.words}."
        return (WhereFrom(source="site_rule", how_known="site", text=rule),)

    def allowed_fraction(self, dial_fraction: float, most_dial_fraction: float) -> float:
        """[1] how far off a reading at a dial may be."""
        return max(self.of_dial_share * dial_fraction, self.of_most_share * most_dial_fraction)


def published_limits() -> tuple[OutputLimit, ...]:
    """The limits that published pages hold vaporizers to; no two of them are averaged.

    >>> [one.words for one in published_limits()][:2]
    ['±15 % of the dial', '±20 % of the dial']
    """
    policy, study = (sourced("service", f"limit.{one}_percent") for one in ("policy", "study"))
    dial, most = (sourced("agents", f"accuracy.of_{one}_percent") for one in ("setting", "most"))
    return (
        _limit("policy", "a university's policy", policy),
        _limit("study", "the method of a study of machines in use", study),
        _limit("standard", "a standard for anaesthetic machines", dial, most),
    )


def _limit(key: str, name: str, of_dial: Sourced, of_most: Sourced | None = None) -> OutputLimit:
    return OutputLimit(
        of_dial_share=of_dial.value / 100.0,
        of_most_share=of_most.value / 100.0 if of_most else 0.0,
        key=key,
        name=name,
        said=(line_of(of_dial, "limit"),),
    )


def limit_of(key: str, of_dial_share: float | None = None) -> OutputLimit | None:
    """A published limit by its key, a site's own share of the dial, or none.

    >>> limit_of("policy").words, limit_of("own", 0.1).words, limit_of("")
    ('±15 % of the dial', '±10 % of the dial', None)
    """
    if of_dial_share is not None:
        return OutputLimit(of_dial_share=of_dial_share)
    return next((one for one in published_limits() if one.key == key), None)
