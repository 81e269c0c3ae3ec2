"""A case that runs, as the estimator wants it: what was set, what was read, and what comes back.

Minutes count from the beginning of the case. Nothing here is filled in by itself: a setting or
a reading that nobody wrote down is not there.
"""

from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, field
from typing import TYPE_CHECKING, Any

from ullage.answers.answer import Answer
from ullage.answers.breathing import system_named
from ullage.answers.case_things import Changes
from ullage.answers.things import Place
from ullage.core.checks import positive, within
from ullage.core.errors import RuleBroken

if TYPE_CHECKING:
    from ullage.answers.running_now import Now

__all__ = [
    "CaseNow",
    "CaseSubject",
    "Expected",
    "LevelRead",
    "ReadingFound",
    "RunningCase",
    "SetTo",
    "whole_moment",
]

#: A case of more minutes than these is a mistake in a time.
_LONGEST_MIN = 2880.0


def whole_moment(at_min: float) -> float:
    """A minute of a case to the thousandth, which no engine and no person tells apart.

    Parameters
    ----------
    at_min : [min] from the beginning of the case, 0 to two days.

    Raises
    ------
    InvalidQuantity : any other number.

    >>> whole_moment(12.00049)
    12.0
    """
    return round(within("at_min", at_min, 0.0, _LONGEST_MIN), 3)


@dataclass(frozen=True, slots=True, kw_only=True)
class SetTo:
    """What stands on the machine from a minute on: dial, flows, system.

    ``ventilator_l_min`` is the minute volume of a machine that breathes; None breathes by itself.
    ``chamber_l`` is the volume of a chamber, where the system is one.
    """

    at_min: float
    dial_fraction: float
    oxygen_l_min: float
    air_l_min: float = 0.0
    nitrous_oxide_l_min: float = 0.0
    system: str = ""
    ventilator_l_min: float | None = None
    chamber_l: float | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "at_min", whole_moment(self.at_min))
        within("dial_fraction", self.dial_fraction, 0.0, 0.5)
        for name in ("oxygen_l_min", "air_l_min", "nitrous_oxide_l_min"):
            within(name, getattr(self, name), 0.0, 200.0)
        if self.ventilator_l_min is not None:
            within("ventilator_l_min", self.ventilator_l_min, 0.0, 200.0)
        if self.chamber_l is not None:
            within("chamber_l", positive("chamber_l", self.chamber_l), 0.0, 10_000.0)
        if self.system:
            object.__setattr__(self, "system", system_named(self.system).value)

    @property
    def flow_l_min(self) -> float:
        """[L/min] of fresh gas."""
        return self.oxygen_l_min + self.air_l_min + self.nitrous_oxide_l_min


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelRead:
    """What an analyser showed at a minute: end-tidal, inspired, or both.

    ``error_share`` is one standard deviation of a reading as a share of it; None takes the usual.
    """

    at_min: float
    end_tidal_fraction: float | None = None
    inspired_fraction: float | None = None
    error_share: float | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "at_min", whole_moment(self.at_min))
        given = [
            one for one in (self.end_tidal_fraction, self.inspired_fraction) if one is not None
        ]
        if not given:
            raise RuleBroken("A reading needs an end-tidal or an inspired value.")
        for one in given:
            within("fraction read", one, 0.0, 1.0)
        if self.error_share is not None and self.error_share != float("inf"):
            positive("error_share", self.error_share)


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseSubject:
    """What stays the same while a case runs: animal, agent, drugs, place.

    ``drugs`` None means that nobody said which were given. ``overrides`` are values of the animal
    that the site set, by name. ``vaporizer_accuracy_share`` is within how much of the dial the
    vaporizer was found; None takes what a new one must keep.
    """

    species: str
    weight_kg: float
    agent: str
    drugs: tuple[str, ...] | None = None
    place: Place = field(default_factory=Place)
    overrides: tuple[tuple[str, float], ...] = ()
    mac_fraction: float | None = None
    vaporizer_end_fraction: float | None = None
    vaporizer_accuracy_share: float | None = None
    weight_is_right: bool = False

    def __post_init__(self) -> None:
        positive("weight_kg", self.weight_kg)
        if self.vaporizer_accuracy_share is not None:
            within("vaporizer_accuracy_share", self.vaporizer_accuracy_share, 0.0, 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class RunningCase:
    """A case so far. Of two settings at one minute the later one in the list stands.

    ``draws`` animals are followed; the same ``seed`` gives the same ones.
    """

    subject: CaseSubject
    settings: tuple[SetTo, ...]
    readings: tuple[LevelRead, ...] = ()
    draws: int = 200
    seed: int = 20_260

    def __post_init__(self) -> None:
        if self.draws < 20:
            raise RuleBroken(f"{self.draws} draws tell no range; draw 20 or more.")
        within("draws", self.draws, 20, 5000)
        standing = {one.at_min: one for one in self.settings}
        kept = tuple(standing[at] for at in sorted(standing))
        object.__setattr__(self, "settings", kept)

    def set_by(self, at_min: float) -> tuple[SetTo, ...]:
        """Settings that stood up to a minute.

        Raises
        ------
        RuleBroken : nothing was set by then.
        """
        found = tuple(one for one in self.settings if one.at_min <= whole_moment(at_min))
        if not found:
            raise RuleBroken("No dial and flow is written yet: write what is set.")
        return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """Levels at one minute, in per cent: low, middle and high of each."""

    at_min: float
    inspired: tuple[float, float, float]
    end_tidal: tuple[float, float, float]
    brain: tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingFound:
    """One value that was read, beside what the settings and the readings before it foretold.

    In per cent. ``agrees`` where it lies in the range of nine of ten values; ``believed`` False
    where none of the animals explains it: it is then not used.
    """

    at_min: float
    kind: str
    read: float
    low: float
    middle: float
    high: float
    chance: float
    agrees: bool
    believed: bool
    sentence: str


@dataclass(frozen=True, kw_only=True)
class CaseNow:
    """A running case at one minute: answers, curves with their bands, and what was read.

    ``effective_draws`` of ``draws`` still count; ``readings_in_full`` False where more readings
    than the draws can explain were taken with less weight.
    """

    case: RunningCase
    at_min: float
    answers: Mapping[str, Answer]
    levels: tuple[Expected, ...]
    readings: tuple[ReadingFound, ...]
    effective_draws: float
    readings_in_full: bool
    now: "Now" = field(repr=False, compare=False)

    @property
    def ahead(self) -> tuple[Expected, ...]:
        """The part of the curves that lies ahead."""
        return tuple(one for one in self.levels if one.at_min >= self.at_min)

    @property
    def changes(self) -> tuple[Changes, ...]:
        """What flow halved or doubled and the dial a step up or down would do."""
        from ullage.answers.running_changes import usual_changes_now

        return usual_changes_now(self)

    @property
    def not_believed(self) -> Iterator[ReadingFound]:
        """Values that none of the animals explains."""
        return (one for one in self.readings if not one.believed)

    def as_dict(self) -> dict[str, Any]:
        """Everything by name but the changes, fit for JSON."""
        return {
            "at_min": self.at_min,
            "answers": {name: one.as_dict() for name, one in self.answers.items()},
            "levels": [asdict(one) for one in self.levels],
            "readings": [asdict(one) for one in self.readings],
            "effective_draws": self.effective_draws,
            "readings_in_full": self.readings_in_full,
        }
