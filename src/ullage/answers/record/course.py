"""What the lines of a record tell the estimator: dial, flows and system at each change, levels.

Nothing is filled in. Where something is missing the case is not followed, and what is missing is
said; an entry that cannot be reckoned with is named and left out.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any

from ullage.answers.breathing_names import system_named
from ullage.answers.record.seen import CaseSeen, case_seen
from ullage.answers.record.things import AnyLine, EntryKind, EntryText
from ullage.answers.record.words import in_unit, variable
from ullage.answers.running_things import CaseSubject, LevelRead, RunningCase, SetTo
from ullage.answers.things import Place
from ullage.core.errors import UllageError

__all__ = [
    "VENTILATOR",
    "CaseGiven",
    "RunningRead",
    "moved_times",
    "oxygen_given",
    "running_of",
    "running_read",
]

#: Words of ventilation in which a machine breathes.
VENTILATOR = frozenset({"ventilator, by volume", "ventilator, by pressure"})
_BY_HAND = "controlled by hand"

_FLOWS = {"flow_oxygen": "oxygen", "flow_air": "air", "flow_nitrous_oxide": "nitrous_oxide"}
_READ = (
    *("dial", *_FLOWS),
    *("breathing_system", "ventilation", "tidal_volume"),
    *("respiratory_rate", "respiratory_rate_co2"),
)
#: The numbers of settings: unit in which they are reckoned, and the most that is no slip.
_NUMBERS = {
    "dial": ("%", 50.0),
    **dict.fromkeys(_FLOWS, ("L/min", 200.0)),
    "tidal_volume": ("L", 30.0),
    "respiratory_rate": ("/min", 500.0),
    "respiratory_rate_co2": ("/min", 500.0),
}
#: A minute volume that moves by less than this share is the same setting.
_SAME_BREATH = 0.15


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseGiven:
    """What is known of a case beside its lines: from its plan, its machine, its site.

    ``system`` and ``agent`` are those of the plan; an entry replaces them. ``chamber_l`` is the
    volume of the chamber and ``ventilator_l_min`` the minute volume that was planned. ``drugs``
    are doses that were studied, by name, as the plan has them.
    """

    agent: str = ""
    system: str = ""
    drugs: tuple[str, ...] | None = None
    place: Place = field(default_factory=Place)
    overrides: tuple[tuple[str, float], ...] = ()
    mac_fraction: float | None = None
    vaporizer_end_fraction: float | None = None
    vaporizer_accuracy_share: float | None = None
    chamber_l: float | None = None
    ventilator_l_min: float | None = None
    weight_is_right: bool = False
    draws: int = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class RunningRead:
    """A running case as its lines tell it, and what they do not tell.

    ``began`` is minute 0 of ``case``. ``missing`` is what nobody entered and the estimator cannot
    do without; ``left_out`` names entries that are not reckoned with; ``assumed`` what is taken.
    """

    case: RunningCase | None = None
    began: datetime | None = None
    missing: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()

    def at_min(self, at: datetime) -> float:
        """[min] from the beginning to a time; 0 before it."""
        if self.began is None:
            return 0.0
        return max((at - self.began).total_seconds() / 60.0, 0.0)


def running_of(
    lines: Iterable[AnyLine], now: datetime, given: CaseGiven | None = None, animal: str = ""
) -> RunningCase | None:
    """The case as the estimator wants it; None where something is missing.

    Parameters
    ----------
    lines : of one record, in their order; corrections and withdrawals are respected.
    now : what was seen later is left out.
    given : of plan, machine and site; None knows nothing beside the lines.
    animal : one of a group; empty takes all.

    >>> from datetime import UTC, datetime
    >>> running_of([], datetime(2026, 6, 8, 9, 0, tzinfo=UTC)) is None
    True
    """
    return running_read(case_seen(lines, animal), now, given).case


def running_read(seen: CaseSeen, now: datetime, given: CaseGiven | None = None) -> RunningRead:
    """The case as the estimator wants it, with what is missing, left out and assumed.

    Parameters
    ----------
    seen : the lines of one record as they stand, for one animal.
    now : what was seen later is left out.
    given : of plan, machine and site; None knows nothing beside the lines.
    """
    known = given or CaseGiven()
    seen = replace(seen, entries=tuple(e for e in seen.entries if e.times.observed <= now))
    settings = _settings(seen, known)
    agents = _agents(seen, known)
    missing = tuple(_missing(seen, agents, settings))
    left_out = tuple(dict.fromkeys(settings.left_out))
    if missing or not settings.found or len(agents) > 1:
        return RunningRead(missing=missing, left_out=(*left_out, *_two(agents)))
    began = settings.found[0][0]
    subject = CaseSubject(
        species=seen.fact("species"),
        weight_kg=seen.weight_kg or 0.0,
        agent=agents[0],
        drugs=() if known.drugs is None and seen.event("no other drug") else known.drugs,
        **{name: getattr(known, name) for name in _OF_SUBJECT},
    )
    levels = _Levels(agent=agents[0], began=began)
    readings = levels.of(seen)
    case = RunningCase(
        subject=subject,
        settings=tuple(_set_to(one, at, began, known) for at, one in settings.found),
        readings=readings,
        draws=known.draws,
    )
    return RunningRead(
        case=case,
        began=began,
        left_out=(*left_out, *levels.left_out),
        assumed=tuple(_assumed(seen, settings, known)),
    )


_OF_SUBJECT = (
    *("place", "overrides", "mac_fraction", "vaporizer_end_fraction"),
    *("vaporizer_accuracy_share", "weight_is_right"),
)


def _agents(seen: CaseSeen, known: CaseGiven) -> tuple[str, ...]:
    """The agents that were entered, each once; else that of the case as planned."""
    said = tuple(dict.fromkeys(one.typed.lower() for one in seen.of("agent")))
    planned = (seen.fact("agent") or known.agent).lower()
    return said or ((planned,) if planned else ())


def _two(agents: tuple[str, ...]) -> tuple[str, ...]:
    if len(agents) < 2:
        return ()
    return (f"Two agents are entered, {' and '.join(agents)}: levels are not foretold.",)


def _missing(seen: CaseSeen, agents: tuple[str, ...], settings: "_Settings") -> Iterator[str]:
    if not seen.fact("species"):
        yield "the species"
    if not seen.weight_kg or seen.weight_kg <= 0.0:
        yield "the weight"
    if not agents:
        yield "the agent"
    if settings.last.dial is None:
        yield "the dial"
    if settings.last.flow is None:
        yield "the flow"


@dataclass(frozen=True, slots=True)
class _Setting:
    """What stands after an entry; None: nobody entered it."""

    dial: float | None = None
    oxygen: float | None = None
    air: float | None = None
    nitrous_oxide: float | None = None
    system: str = ""
    ventilation: str = ""
    tidal_l: float | None = None
    rate_min: float | None = None
    breath_l_min: float | None = None

    @property
    def flow(self) -> float | None:
        """[L/min] of all gases that were entered."""
        given = [one for one in (self.oxygen, self.air, self.nitrous_oxide) if one is not None]
        return sum(given) if given else None

    @property
    def is_whole(self) -> bool:
        """Whether dial and flow are known."""
        return self.dial is not None and self.flow is not None


@dataclass(slots=True)
class _Settings:
    """The settings in the order of time, and entries that are not reckoned with."""

    found: list[tuple[datetime, _Setting]] = field(default_factory=list)
    last: _Setting = field(default_factory=_Setting)
    left_out: list[str] = field(default_factory=list)

    def takes(self, at: datetime, one: _Setting) -> None:
        """A setting from a time on; of two at one time the later stands."""
        if one.is_whole and (not self.found or _shown(self.found[-1][1]) != _shown(one)):
            if self.found and self.found[-1][0] == at:
                self.found.pop()
            self.found.append((at, one))
        self.last = one


def _shown(one: _Setting) -> _Setting:
    """What of a setting the estimator sees."""
    return replace(one, tidal_l=None, rate_min=None, ventilation="")


def _settings(seen: CaseSeen, known: CaseGiven) -> _Settings:
    found = _Settings(last=_Setting(system=seen.fact("system") or known.system))
    for one in seen.of(*_READ):
        after = _after(found, one, known)
        if after is not None:
            found.takes(one.times.observed, after)
    return found


def _after(settings: _Settings, one: EntryText, known: CaseGiven) -> _Setting | None:
    """What stands after one entry; None where it cannot be reckoned with."""
    before = settings.last
    if one.what == "ventilation":
        return _breathed(replace(before, ventilation=one.typed, breath_l_min=None), known)
    if one.what == "breathing_system":
        return replace(before, system=_system(one.typed))
    unit, most = _NUMBERS[one.what]
    value = None if one.value is None else in_unit(one.value, one.unit, unit)
    if value is None or not 0.0 <= value <= most:
        settings.left_out.append(_odd(one))
        return None
    if one.what == "dial":
        return replace(before, dial=value)
    if one.what in _FLOWS:
        changed: dict[str, Any] = {_FLOWS[one.what]: value}
        return replace(before, **changed)
    if one.what == "tidal_volume":
        return _breathed(replace(before, tidal_l=value), known)
    return _breathed(replace(before, rate_min=value), known)


def _odd(one: EntryText) -> str:
    said = f"{variable(one.what).name} {one.typed} at {one.times.observed:%H:%M} UTC"
    return f"{said} is not reckoned with: look at that entry."


def _system(typed: str) -> str:
    try:
        return system_named(typed).value
    except UllageError:
        return ""


def _breathed(one: _Setting, known: CaseGiven) -> _Setting:
    """The setting with the minute volume of the machine, where one breathes."""
    if one.ventilation not in VENTILATOR:
        return replace(one, breath_l_min=None)
    breath = known.ventilator_l_min
    if one.tidal_l and one.rate_min:
        breath = one.tidal_l * one.rate_min
    old = one.breath_l_min
    if old and breath and abs(breath - old) <= _SAME_BREATH * old:
        return one
    return replace(one, breath_l_min=breath)


def _set_to(one: _Setting, at: datetime, began: datetime, known: CaseGiven) -> SetTo:
    return SetTo(
        at_min=(at - began).total_seconds() / 60.0,
        dial_fraction=0.01 * (one.dial or 0.0),
        oxygen_l_min=one.oxygen or 0.0,
        air_l_min=one.air or 0.0,
        nitrous_oxide_l_min=one.nitrous_oxide or 0.0,
        system=one.system,
        ventilator_l_min=one.breath_l_min,
        chamber_l=known.chamber_l if one.system == "induction chamber" else None,
    )


@dataclass(slots=True, kw_only=True)
class _Levels:
    """Measured levels of the agent that is given."""

    agent: str
    began: datetime
    left_out: list[str] = field(default_factory=list)

    def of(self, seen: CaseSeen) -> tuple[LevelRead, ...]:
        """Every level that was read from the beginning on; both of one time together."""
        pairs: dict[datetime, dict[str, float]] = {}
        for one in seen.of("end_tidal_*", "inspired_*"):
            if one.what.endswith(("_co2", "_oxygen", "_nitrous_oxide")):
                continue
            value = self._percent(one)
            if value is None:
                self.left_out.append(_odd(one))
            elif one.times.observed >= self.began:
                kind = "end_tidal" if one.what.startswith("end_tidal") else "inspired"
                pairs.setdefault(one.times.observed, {})[f"{kind}_fraction"] = 0.01 * value
        return tuple(
            LevelRead(at_min=(at - self.began).total_seconds() / 60.0, **levels)
            for at, levels in sorted(pairs.items())
        )

    def _percent(self, one: EntryText) -> float | None:
        """[%] that was read; None for another agent, and for what no level can be."""
        if not one.what.endswith((f"_{self.agent}", "_agent")):
            return None
        value = None if one.value is None else in_unit(one.value, one.unit, "%")
        return value if value is not None and 0.0 <= value <= 100.0 else None


def _assumed(seen: CaseSeen, settings: _Settings, known: CaseGiven) -> Iterator[str]:
    if not settings.last.system:
        yield "No breathing system is entered: the one that suits this weight best is taken."
    ventilated = {one.typed for one in seen.of("ventilation")}
    blown = any(one.breath_l_min for _, one in settings.found)
    if ventilated & VENTILATOR and not blown:
        yield "No volume of the ventilator is entered: the animal's own breathing is taken."
    if _BY_HAND in ventilated:
        yield "While a hand breathes, the animal's own breathing is taken."
    if seen.kinds(EntryKind.DRUG) and known.drugs is None:
        yield "Drugs that were entered do not move the time to wake: their doses were not studied."


def oxygen_given(seen: CaseSeen, until: datetime) -> tuple[tuple[datetime, datetime, float], ...]:
    """From when to when which flow of oxygen ran [L/min], as it was entered.

    Parameters
    ----------
    seen : the lines of one record as they stand.
    until : the last flow is followed up to here.

    >>> from datetime import UTC, datetime
    >>> oxygen_given(CaseSeen(facts={}, entries=()), datetime(2026, 6, 8, 9, 0, tzinfo=UTC))
    ()
    """
    rows = [one for one in seen.of("flow_oxygen") if one.times.observed < until]
    ends = [*(one.times.observed for one in rows), until][1:]
    found = []
    for one, end in zip(rows, ends, strict=True):
        flow = None if one.value is None else in_unit(one.value, one.unit, "L/min")
        if flow and 0.0 < flow <= _MOST_FLOW and one.times.observed < end:
            found.append((one.times.observed, end, flow))
    return tuple(found)


def moved_times(seen: CaseSeen) -> tuple[datetime, ...]:
    """When the animal moved, by a depth sign or by an event.

    Parameters
    ----------
    seen : the lines of one record as they stand.

    >>> moved_times(CaseSeen(facts={}, entries=()))
    ()
    """
    signs = (one.times.observed for one in seen.of("movement") if one.typed != "none")
    events = (one.times.observed for one in seen.kinds(EntryKind.EVENT) if one.what == "moved")
    return tuple(sorted({*signs, *events}))


#: A flow above this is a slip [L/min].
_MOST_FLOW = 200.0
