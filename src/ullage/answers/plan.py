"""The things of a day plan: sources, machines, cases, and what is kept back.

All times are minutes after midnight of the day; a time after 1440 is the next day. Litres and
flows are free gas at 70 °F and 1 atm. A field that nobody has filled is None, never a guess.
"""

from dataclasses import dataclass, field
from enum import StrEnum

from ullage.answers.things import Cylinder, Place, Reading, ReservePolicy
from ullage.core.checks import each_said, not_negative, positive, within
from ullage.core.errors import RuleBroken
from ullage.core.gas import Gas

__all__ = [
    "Case",
    "Chamber",
    "DayPlan",
    "Drive",
    "GasSource",
    "Held",
    "Machine",
    "Phase",
    "SourceKind",
    "Ventilation",
]


def _a_share(name: str, value: float) -> float:
    return within(name, value, 0.0, 1.0)


class SourceKind(StrEnum):
    """Anything that gas comes from."""

    CYLINDER = "cylinder"
    SEQUENCE = "sequence"
    MANIFOLD = "manifold"
    PIPELINE = "pipeline"
    CONCENTRATOR = "concentrator"
    LIQUID = "liquid"

    @property
    def has_cylinders(self) -> bool:
        """True when a gauge on a cylinder says what is left."""
        return self in {SourceKind.CYLINDER, SourceKind.SEQUENCE, SourceKind.MANIFOLD}


class Drive(StrEnum):
    """What moves the bellows of a ventilator: a gas drawn besides the fresh gas, or none."""

    NONE = "none"
    OXYGEN = "oxygen"
    AIR = "air"
    ELECTRIC = "electric"


@dataclass(frozen=True, slots=True, kw_only=True)
class Phase:
    """One stretch of a case at steady flows; its minutes are the expected ones."""

    name: str
    minutes: float
    oxygen_l_min: float = 0.0
    air_l_min: float = 0.0
    nitrous_oxide_l_min: float = 0.0

    def __post_init__(self) -> None:
        positive("minutes", self.minutes)
        for name in ("oxygen_l_min", "air_l_min", "nitrous_oxide_l_min"):
            within(name, getattr(self, name), 0.0, 200.0)

    def flow_l_min(self, gas: Gas) -> float:
        """[L/min] fresh gas of one kind in this phase.

        >>> Phase(name="procedure", minutes=75, oxygen_l_min=1.7).flow_l_min(Gas.OXYGEN)
        1.7
        """
        return {
            Gas.OXYGEN: self.oxygen_l_min,
            Gas.AIR: self.air_l_min,
            Gas.NITROUS_OXIDE: self.nitrous_oxide_l_min,
        }.get(gas, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Chamber:
    """An induction chamber: how often it is filled and purged, each by some of its volumes."""

    volume_l: float
    fills: int = 1
    purges: int = 1
    volumes: float = 3.0

    def __post_init__(self) -> None:
        positive("volume_l", self.volume_l)
        positive("volumes", self.volumes)
        within("fills", self.fills, 0, 1000)
        within("purges", self.purges, 0, 1000)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ventilation:
    """Ventilation by machine: the minute volume, and in which phases (none named: in all)."""

    minute_volume_l_min: float
    phases: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        within("minute_volume_l_min", self.minute_volume_l_min, 0.0, 200.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One anaesthetic of the day: when, on which machine, and the gas it asks for by phase.

    ``start_min`` is the first gas to the animal; checks and one flush come before it.
    ``minutes_sd_share`` None takes the assumed spread of durations.
    """

    name: str
    machine: str
    start_min: float
    phases: tuple[Phase, ...]
    species: str = ""
    weight_kg: float | None = None
    system: str = ""
    flushes: int = 0
    chamber: Chamber | None = None
    ventilation: Ventilation | None = None
    checked: bool = False
    minutes_sd_share: float | None = None

    def __post_init__(self) -> None:
        within("start_min", self.start_min, 0.0, 2880.0)
        within("flushes", self.flushes, 0, 1000)
        each_said(self, positive, "weight_kg")
        each_said(self, _a_share, "minutes_sd_share")
        if not self.phases:
            raise RuleBroken(f"{self.name} has no phase; give it at least one with its minutes.")

    @property
    def minutes(self) -> float:
        """[min] expected length, all phases."""
        return sum(phase.minutes for phase in self.phases)

    @property
    def end_min(self) -> float:
        """[min] expected end, after midnight."""
        return self.start_min + self.minutes


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """One anaesthetic machine as far as gas is concerned; None where nobody has said.

    ``drive_factor`` is litres of drive gas for each litre of minute volume; ``checks_l`` is what
    one pre-use check takes of each gas besides the flush; ``whistle`` says that the oxygen
    failure whistle is sounded at each check.
    """

    name: str
    oxygen_alarm: bool | None = None
    ventilator: Drive = Drive.NONE
    drive_factor: float | None = None
    drive_factor_low: float | None = None
    drive_factor_high: float | None = None
    control_l_min: float = 0.0
    sampling_l_min: float = 0.0
    basal_l_min: float = 0.0
    whistle: bool = False
    checks_l: float | None = None
    flow_sd_share: float | None = None

    def __post_init__(self) -> None:
        for name in ("control_l_min", "sampling_l_min", "basal_l_min"):
            within(name, getattr(self, name), 0.0, 100.0)
        each_said(self, not_negative, "drive_factor", "drive_factor_low", "drive_factor_high")
        each_said(self, not_negative, "checks_l")
        each_said(self, _a_share, "flow_sd_share")


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """A cylinder with its last reading; in a bank, how many like it share the gauge.

    ``estimate_l`` (low, middle, high), where given, is what the readings together say is left
    in all of them at the time of the reading: it is used instead of the one reading.
    """

    cylinder: Cylinder
    reading: Reading
    count: int = 1
    estimate_l: tuple[float, float, float] | None = None

    def __post_init__(self) -> None:
        within("count", self.count, 1, 1000)
        if self.estimate_l is not None:
            low_l, middle_l, high_l = self.estimate_l
            within("estimate_l", middle_l, not_negative("estimate_l", low_l), high_l)


@dataclass(frozen=True, slots=True, kw_only=True)
class GasSource:
    """One source of one gas, the machines it feeds, and what it stands behind.

    ``cylinders``: one for a cylinder, in their order for a sequence, duty bank before standby
    bank for a manifold. ``reserve_of`` names the source that this one stands behind: it is
    drawn on only when that one fails. A source that is open leaks ``leak_l_min`` from
    ``opens_min`` to ``closes_min``; None means from the first check to the end of the last case.
    """

    name: str
    kind: SourceKind
    gas: Gas = Gas.OXYGEN
    feeds: tuple[str, ...] = ()
    cylinders: tuple[Held, ...] = ()
    reserve_of: str = ""
    leak_l_min: float = 0.0
    leak_band_l_min: float = 0.0
    opens_min: float | None = None
    closes_min: float | None = None
    change_over_kpa: float | None = None
    flow_limit_l_min: float | None = None
    oxygen_fraction: float | None = None
    outlet_kpa: float | None = None
    liquid_l: float | None = None
    liquid_band_share: float | None = None
    daily_loss_share: float = 0.0
    read_at_min: float | None = None

    def __post_init__(self) -> None:
        not_negative("leak_l_min", self.leak_l_min)
        within("leak_band_l_min", self.leak_band_l_min, 0.0, self.leak_l_min)
        within("daily_loss_share", self.daily_loss_share, 0.0, 1.0)
        each_said(self, positive, "flow_limit_l_min", "oxygen_fraction", "outlet_kpa")
        each_said(self, not_negative, "change_over_kpa", "liquid_l")
        each_said(self, _a_share, "oxygen_fraction", "liquid_band_share")
        wanted = {SourceKind.CYLINDER: (1, 1), SourceKind.SEQUENCE: (1, 100)}.get(
            self.kind, (2, 2) if self.kind is SourceKind.MANIFOLD else (0, 0)
        )
        if not wanted[0] <= len(self.cylinders) <= wanted[1]:
            raise RuleBroken(_count_sentence(self.name, self.kind, len(self.cylinders)))
        if self.kind is SourceKind.LIQUID and self.liquid_l is None:
            raise RuleBroken(f"{self.name} is liquid oxygen; say how much liquid it holds.")

    @property
    def reading_min(self) -> float | None:
        """[min] when the contents were last seen; None: not said, so before the first use."""
        if self.cylinders:
            return self.cylinders[0].reading.at_min
        return self.read_at_min


def _count_sentence(name: str, kind: SourceKind, count: int) -> str:
    if kind is SourceKind.MANIFOLD:
        return f"{name} has {count} banks; a manifold has two: duty first, then standby."
    if kind.has_cylinders:
        return f"{name} has {count} cylinders; a {kind} has one, a sequence one or more."
    return f"{name} is a {kind} and holds no cylinders; put them in a source with reserve_of."


@dataclass(frozen=True, slots=True, kw_only=True)
class DayPlan:
    """All of one day: sources, machines, cases, the place, and what is kept back.

    ``now_min`` is the time from which the plan looks ahead; cases that ended before it are kept
    in the sums but get no chance of their own. None looks at the whole day.
    """

    sources: tuple[GasSource, ...]
    machines: tuple[Machine, ...]
    cases: tuple[Case, ...]
    policy: ReservePolicy = field(default_factory=ReservePolicy)
    place: Place = field(default_factory=Place)
    name: str = ""
    now_min: float | None = None
    reading_interval_min: float | None = None

    def __post_init__(self) -> None:
        each_said(self, positive, "reading_interval_min")
        if self.now_min is not None:
            within("now_min", self.now_min, -1e9, 1e9)
        for what, things in (("source", self.sources), ("machine", self.machines)):
            names = [thing.name for thing in things]
            twice = next((name for name in names if names.count(name) > 1), None)
            if twice is not None:
                raise RuleBroken(f"Two {what}s are called {twice}; give each its own name.")
        machines = {machine.name for machine in self.machines}
        for case in self.cases:
            if case.machine not in machines:
                known = ", ".join(sorted(machines)) or "none"
                raise RuleBroken(
                    f"{case.name} is on {case.machine}, which is no machine here. Known: {known}."
                )
        self._check_feeds(machines)

    def _check_feeds(self, machines: set[str]) -> None:
        names = {source.name for source in self.sources}
        fed: dict[tuple[str, Gas], str] = {}
        for source in self.sources:
            if source.reserve_of and source.reserve_of not in names:
                raise RuleBroken(f"{source.name} stands behind {source.reserve_of}, not a source.")
            if source.reserve_of == source.name:
                raise RuleBroken(f"{source.name} stands behind itself; name another source.")
            for machine in source.feeds:
                if machine not in machines:
                    raise RuleBroken(f"{source.name} feeds {machine}, which is no machine here.")
                if source.reserve_of:
                    continue
                other = fed.setdefault((machine, source.gas), source.name)
                if other != source.name:
                    raise RuleBroken(
                        f"{other} and {source.name} both feed {source.gas} to {machine}. "
                        "Put them in one sequence, or let one stand behind the other (reserve_of)."
                    )
