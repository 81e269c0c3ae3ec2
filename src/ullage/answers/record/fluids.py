"""Fluids of a running case: what each runs at, and how much was given so far."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime

from ullage.answers.answer import Answer, Step, WhereFrom
from ullage.answers.record.seen import CaseSeen
from ullage.answers.record.things import EntryKind, EntryText
from ullage.answers.record.words import MEASURES, in_unit, measure
from ullage.answers.words import figure
from ullage.core.errors import UllageError

__all__ = ["FluidNow", "fluids_given", "fluids_now"]

_TYPED = WhereFrom(source="entered", how_known="seen", text="Volumes and rates as they were typed.")
_ADDED = WhereFrom(
    source="proposal", how_known="computed", text="Each rate from its entry to the next one."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class FluidNow:
    """One fluid: what it runs at now, as typed, and how much of it was given [mL].

    ``since`` is when the rate was set. ``unknown`` says that some of it cannot be added up.
    """

    name: str
    rate: str
    rate_ml_h: float
    given_ml: float
    since: datetime
    unknown: bool = False


def fluids_now(seen: CaseSeen, now: datetime) -> tuple[FluidNow, ...]:
    """Each fluid in the order in which it was first given.

    Parameters
    ----------
    seen : the lines of one record as they stand, for one animal.
    now : up to which it is added up; what was seen later is left out.
    """
    names: dict[str, list[EntryText]] = {}
    for one in seen.kinds(EntryKind.FLUID):
        if one.times.observed <= now:
            names.setdefault(one.what, []).append(one)
    return tuple(_fluid(name, rows, seen.weight_kg, now) for name, rows in names.items())


def _fluid(name: str, rows: list[EntryText], weight_kg: float | None, now: datetime) -> FluidNow:
    given, rate, typed, since, unknown = 0.0, 0.0, "", rows[0].times.observed, False
    for one in rows:
        volume, told = _volume_ml(one), _rate_ml_h(one, weight_kg)
        given += volume or 0.0
        unknown |= volume is None and told is None
        if told is not None:
            given += rate * _hours(since, one.times.observed)
            rate, typed, since = told, one.details["rate"], one.times.observed
    return FluidNow(
        name=name,
        rate=typed,
        rate_ml_h=rate,
        given_ml=given + rate * _hours(since, now),
        since=since,
        unknown=unknown,
    )


def _hours(begin: datetime, end: datetime) -> float:
    return max((end - begin).total_seconds(), 0.0) / 3600.0


def _volume_ml(one: EntryText) -> float | None:
    try:
        read = measure(one.details.get("volume", ""), MEASURES["volume"], "Volume")
    except UllageError:
        return None
    value = float(read.number)
    return 0.001 * value if read.unit == "uL" else in_unit(value, read.unit, "mL")


def _rate_ml_h(one: EntryText, weight_kg: float | None) -> float | None:
    try:
        read = measure(one.details.get("rate", ""), MEASURES["rate"], "Rate")
    except UllageError:
        return None
    value = float(read.number)
    if read.unit == "mL/h":
        return value
    return None if weight_kg is None else value * weight_kg


def fluids_given(fluids: Iterable[FluidNow]) -> Answer:
    """How much fluid was given so far, all of it together.

    Parameters
    ----------
    fluids : as `fluids_now` gave them.

    >>> fluids_given([]).settles
    'No fluid is entered.'
    """
    kept = tuple(fluids)
    total = sum(one.given_ml for one in kept)
    return Answer(
        question="How much fluid was given?",
        value=total if kept else None,
        unit="mL",
        sentence=f"{figure(total)} mL of fluid were given so far." if kept else "",
        settles="" if kept else "No fluid is entered.",
        reasons=("A rate counts from its entry until the next rate of the same fluid.",),
        steps=tuple(
            Step(what=one.name, result=f"{figure(one.given_ml)} mL", note=_running(one))
            for one in kept
        ),
        where_from=(_TYPED, _ADDED),
        cautions=tuple(_cautions(kept)),
    )


def _running(one: FluidNow) -> str:
    return f"Runs at {one.rate} since {one.since:%H:%M} UTC." if one.rate_ml_h else ""


def _cautions(fluids: tuple[FluidNow, ...]) -> Iterator[str]:
    yield "It is what should have run; look at the bag."
    for one in fluids:
        if one.unknown:
            yield f"Some of {one.name} has no volume that can be added up."
