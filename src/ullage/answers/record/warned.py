"""What is warned of while an animal is under, in the order of the fact base.

Nothing here senses anything. A warning that rests on an entry states it; one that rests on no entry
is a question. Who acknowledges a warning says a word, and it returns when its cause recurs.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, fields
from datetime import datetime, timedelta

from ullage.answers.answer import Verdict, WhereFrom
from ullage.answers.record.intervals import Phase
from ullage.answers.words import figure, minutes_text
from ullage.core.errors import PlanUnreadable, RuleBroken
from ullage.reference import sourced, stated
from ullage.reference.values import raw_table

__all__ = [
    "Acknowledged",
    "CaseWatched",
    "Noted",
    "Said",
    "Warned",
    "warning_order",
    "warnings_now",
]


def _zoned(*times: datetime) -> None:
    if not all(one.tzinfo for one in times):
        raise PlanUnreadable("A time of the record needs its zone; it is kept in UTC.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """A yes or no that somebody entered, and when."""

    is_so: bool
    at: datetime

    def __post_init__(self) -> None:
        _zoned(self.at)


@dataclass(frozen=True, slots=True, kw_only=True)
class Noted:
    """Something that another part of the house knows and that is warned of here.

    ``warning`` is one of `warning_order`. ``is_entered`` is no where it rests on no entry, and it
    is asked then.
    """

    warning: str
    cause: str
    says: str
    todo: str
    at: datetime
    is_entered: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseWatched:
    """What is known of a running case. None: nobody has entered it.

    ``phase_at`` is when the phase began. ``relief_open`` is the last word on the relief valve.
    ``changed_at`` is when bag, absorbent or hose were last changed. ``needed_l_min`` is what a
    non-rebreathing system needs.
    """

    now: datetime
    phase: Phase = Phase.ANAESTHESIA
    phase_at: datetime | None = None
    connected_at: datetime | None = None
    relief_open: Said | None = None
    leak_tests: tuple[datetime, ...] = ()
    hand_breaths: tuple[datetime, ...] = ()
    supply_read_at: datetime | None = None
    supply_left_min: float | None = None
    planned_left_min: float | None = None
    second_source: Said | None = None
    is_non_rebreathing: bool | None = None
    is_coaxial: bool | None = None
    inner_tube: Said | None = None
    flow_l_min: float | None = None
    needed_l_min: float | None = None
    flow_set_at: datetime | None = None
    inspired_co2_kpa: float | None = None
    inspired_co2_at: datetime | None = None
    disconnected_at: datetime | None = None
    flushed_at: datetime | None = None
    person_stays: Said | None = None
    temperature_at: datetime | None = None
    warming: Said | None = None
    changed_at: datetime | None = None
    noted: tuple[Noted, ...] = ()

    def __post_init__(self) -> None:
        given = [getattr(self, one.name) for one in fields(self)]
        _zoned(*(one for one in given if isinstance(one, datetime)))
        _zoned(*self.leak_tests, *self.hand_breaths, *(one.at for one in self.noted))


@dataclass(frozen=True, slots=True, kw_only=True)
class Acknowledged:
    """A word on a warning: which one, of which cause, when, by whom."""

    warning: str
    cause: str
    word: str
    at: datetime
    by: str

    def __post_init__(self) -> None:
        _zoned(self.at)
        if not self.word.strip():
            raise RuleBroken("Say a word on this warning, such as what was done.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Warned:
    """One warning that stands: place in the order, cause, words, what to do, since when."""

    warning: str
    rank: int
    cause: str
    says: str
    todo: str
    since: datetime
    is_question: bool
    verdict: Verdict
    where_from: tuple[WhereFrom, ...] = field(default=())


@dataclass(frozen=True, slots=True)
class _Cause:
    cause: str
    says: str
    todo: str
    at: datetime
    asks: bool = False


def warning_order() -> tuple[str, ...]:
    """The warnings by key, gravest first.

    >>> warning_order()[:3]
    ('relief_valve', 'supply', 'flow')
    """
    rows = raw_table("record")["warning"]
    return tuple(key for key, row in rows.items() if "text" in row)


_OPEN = "Look at the valve, open it, and see the gauge fall to zero."


def _relief_valve(case: CaseWatched) -> Iterator[_Cause]:
    if case.connected_at is None:
        return
    said = case.relief_open
    if said and not said.is_so:
        yield _Cause("closed", "The relief valve was entered as closed.", _OPEN, said.at)
        return
    moments = {
        "connection": (case.connected_at,),
        "leak test": case.leak_tests,
        "breath by hand": case.hand_breaths,
    }
    last = max(
        ((at, why) for why, times in moments.items() for at in times if at >= case.connected_at),
        default=(case.connected_at, "connection"),
    )
    if said is None or said.at < last[0]:
        asked = f"Is the relief valve open after the last {last[1]}?"
        yield _Cause(last[1], asked, _OPEN, last[0], asks=True)


def _supply(case: CaseWatched) -> Iterator[_Cause]:
    if case.connected_at is None:
        return
    left, planned = case.supply_left_min, case.planned_left_min
    change = "Make the next cylinder ready, open it, and read its gauge."
    if left is None:
        asked = "How long does the oxygen last: what does the gauge read?"
        yield _Cause(
            "not read", asked, "Read the gauge and enter it.", case.connected_at, asks=True
        )
    elif planned is not None and left < planned:
        short = minutes_text(planned - left)
        said = f"Oxygen ends {short} before the planned end: {minutes_text(max(left, 0.0))} left."
        yield _Cause("ends early", said, change, case.supply_read_at or case.connected_at)
    second = case.second_source
    if second is None:
        asked = "Is there a second source of oxygen, full and at hand?"
        yield _Cause("second source", asked, change, case.connected_at, asks=True)
    elif not second.is_so:
        yield _Cause("no second source", "There is no second source.", change, second.at)


def _flow(case: CaseWatched) -> Iterator[_Cause]:
    if case.connected_at is not None:
        yield from _below_need(case, case.connected_at)
        yield from _inner_tube(case, case.connected_at)
        yield from _breathed_in(case)


def _below_need(case: CaseWatched, since: datetime) -> Iterator[_Cause]:
    flow, need = case.flow_l_min, case.needed_l_min
    if case.is_non_rebreathing and flow is not None and need is not None and flow < need:
        said = f"Flow {figure(flow)} L/min is below the {figure(need)} L/min that is needed."
        yield _Cause("below need", said, "Turn the flow up.", case.flow_set_at or since)


def _inner_tube(case: CaseWatched, since: datetime) -> Iterator[_Cause]:
    tube, todo = case.inner_tube, "Test the inner tube, or take another system."
    if case.is_coaxial and tube is None:
        asked = "Is the inner tube whole and firmly on at both ends?"
        yield _Cause("inner tube", asked, todo, since, asks=True)
    elif case.is_coaxial and tube and not tube.is_so:
        yield _Cause("inner tube off", "The inner tube was entered as off.", todo, tube.at)


def _breathed_in(case: CaseWatched) -> Iterator[_Cause]:
    level = case.inspired_co2_kpa
    if level is not None and level > 0.0:
        said = f"The animal breathes in carbon dioxide: {figure(level)} kPa."
        todo = "Look at flow, valves and absorbent; then read it again."
        yield _Cause("breathed in", said, todo, case.inspired_co2_at or case.now)


def _connected(case: CaseWatched) -> Iterator[_Cause]:
    off, on = case.disconnected_at, case.connected_at
    if off and (on is None or on < off):
        said = "The animal was entered as disconnected."
        yield _Cause("disconnected", said, "Connect it, or say that it is over.", off)
    if case.flushed_at and case.is_non_rebreathing:
        said = "The flush was used on a non-rebreathing system."
        todo = "Look at chest and gauge now; do not flush with the animal connected."
        yield _Cause("flush", said, todo, case.flushed_at)


def _recovery(case: CaseWatched) -> Iterator[_Cause]:
    if case.phase is not Phase.RECOVERY:
        return
    stays, todo = case.person_stays, "Let a person stay until the recovery is over."
    if stays is None:
        since = case.phase_at or case.now
        yield _Cause("person", "Who stays with the animal?", todo, since, asks=True)
    elif not stays.is_so:
        yield _Cause("nobody", "Nobody stays with the animal.", todo, stays.at)


def _temperature(case: CaseWatched) -> Iterator[_Cause]:
    began = case.connected_at or (case.phase_at if case.phase is Phase.RECOVERY else None)
    if began is None:
        return
    most = timedelta(minutes=sourced("record", "warning.temperature_each_min").value)
    last = max((one for one in (case.temperature_at, began) if one), default=began)
    if case.now - last > most:
        asked = "What is the temperature? None was entered of late."
        yield _Cause("not measured", asked, "Take it and enter it.", last + most, asks=True)
    todo = "Warm it, and take its temperature; do not burn it."
    if case.warming is None:
        yield _Cause("warming", "Is the animal being warmed?", todo, began, asks=True)
    elif not case.warming.is_so:
        yield _Cause("not warmed", "The animal was entered as not warmed.", todo, case.warming.at)


def _leak(case: CaseWatched) -> Iterator[_Cause]:
    changed, tested = case.changed_at, max(case.leak_tests, default=None)
    if changed and (tested is None or tested < changed):
        asked = "Was the system tested for leaks since bag, absorbent or hose was changed?"
        todo = "Test it as soon as no animal is connected."
        yield _Cause("not tested", asked, todo, changed, asks=True)


_CAUSES: Mapping[str, Callable[[CaseWatched], Iterator[_Cause]]] = {
    "relief_valve": _relief_valve,
    "supply": _supply,
    "flow": _flow,
    "connected": _connected,
    "recovery": _recovery,
    "temperature": _temperature,
    "leak": _leak,
}
#: Warnings up to this place can kill within minutes.
_GRAVE = 4


def warnings_now(
    case: CaseWatched, acknowledged: Iterable[Acknowledged] = ()
) -> tuple[Warned, ...]:
    """What is warned of now, gravest first; what was acknowledged since its cause is left out.

    Parameters
    ----------
    case : what is known of it now.
    acknowledged : every word on a warning of this case so far.

    Raises
    ------
    RuleBroken : something noted under a warning that there is not.
    """
    order = warning_order()
    odd = [one.warning for one in case.noted if one.warning not in order]
    if odd:
        raise RuleBroken(f"{odd[0]!r} is no warning; they are {', '.join(order)}.")
    heard: dict[tuple[str, str], datetime] = {}
    for one in acknowledged:
        key = (one.warning, one.cause)
        heard[key] = max(one.at, heard.get(key, one.at))
    found = [_warned(key, rank, one) for rank, key in enumerate(order, 1) for one in _of(key, case)]
    return tuple(
        one
        for one in found
        if (one.warning, one.cause) not in heard or heard[one.warning, one.cause] < one.since
    )


def _of(key: str, case: CaseWatched) -> Iterator[_Cause]:
    if key in _CAUSES:
        yield from _CAUSES[key](case)
    for one in case.noted:
        if one.warning == key:
            yield _Cause(one.cause, one.says, one.todo, one.at, asks=not one.is_entered)


def _warned(key: str, rank: int, cause: _Cause) -> Warned:
    row = stated("record", f"warning.{key}")
    text = f"{row.where[:1].upper()}{row.where[1:]}: {row.text[:1].lower()}{row.text[1:]}."
    grave = Verdict.STOP if rank <= _GRAVE else Verdict.LOOK_AGAIN
    return Warned(
        warning=key,
        rank=rank,
        cause=cause.cause,
        says=cause.says,
        todo=cause.todo,
        since=cause.at,
        is_question=cause.asks,
        verdict=Verdict.NOT_YET if cause.asks else grave,
        where_from=(WhereFrom(source=row.source, how_known=row.how_known.value, text=text),),
    )
