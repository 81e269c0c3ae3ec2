"""The pace of a running case: its phases, the next observation, and what was seen last."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from ullage.answers.answer import Answer
from ullage.answers.record.intervals import Phase, SiteInterval, interval_rule, next_due
from ullage.answers.record.seen import CaseSeen
from ullage.answers.record.things import EntryKind, EntryText
from ullage.answers.record.watching import phase_of

__all__ = ["DueNext", "PhaseSpan", "began_of", "due_of", "last_seen", "phases_of"]

_OBSERVED = (EntryKind.VITAL, EntryKind.GAS, EntryKind.DEPTH)

#: Phases in their order: key, words, and the entries with which they begin.
_PHASES = (
    ("before", "Checks, premedication", ()),
    ("induction", "Induction", ("induction", "anaesthesia began")),
    ("preparation", "Preparation", ("preparation", "transport", "waiting")),
    ("procedure", "Procedure", ("imaging", "procedure began")),
    ("recovery", "Recovery", ("recovery", "anaesthesia ended")),
    ("closed", "Closed", ()),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PhaseSpan:
    """One phase of a case: when it began and ended; None where nobody entered it.

    ``about`` is when it is planned, where it has not begun; ``is_ahead`` that it comes after the
    one that is now.
    """

    key: str
    words: str
    began: datetime | None = None
    ended: datetime | None = None
    about: datetime | None = None
    is_now: bool = False
    is_ahead: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class DueNext:
    """When the next observation is due: the time, the rule, and the answer with its verdict."""

    at: datetime
    rule: Answer
    answer: Answer


def began_of(seen: CaseSeen) -> datetime | None:
    """When the animal was first given gas, by the event or by the first dial; None before it.

    Parameters
    ----------
    seen : the lines of one record as they stand.

    >>> began_of(CaseSeen(facts={}, entries=())) is None
    True
    """
    told = [seen.event("anaesthesia began")]
    told += [one.times.observed for one in seen.of("dial")[:1]]
    return min((one for one in told if one is not None), default=None)


def phases_of(
    seen: CaseSeen, now: datetime, about: Mapping[str, datetime] | None = None
) -> tuple[PhaseSpan, ...]:
    """The phases of a case in their order, each with its times as they were entered.

    Parameters
    ----------
    seen : the lines of one record as they stand.
    now : what was seen later is left out.
    about : when a phase is planned, by its key.
    """
    begun = _begun(seen, now)
    current = max(begun, key=lambda key: (begun[key], _place(key)), default="")
    ends = sorted(begun.values())
    return tuple(
        PhaseSpan(
            key=key,
            words=words,
            began=begun.get(key),
            ended=_ended(begun.get(key), ends) if key != current else None,
            about=(about or {}).get(key) if key not in begun else None,
            is_now=key == current,
            is_ahead=not current or _place(key) > _place(current),
        )
        for key, words, _ in _PHASES
    )


def _place(key: str) -> int:
    return [one for one, _, _ in _PHASES].index(key)


def _ended(began: datetime | None, starts: list[datetime]) -> datetime | None:
    """A phase ends when the next one begins."""
    return next((one for one in starts if began is not None and one > began), began)


def _begun(seen: CaseSeen, now: datetime) -> dict[str, datetime]:
    """When each phase first began, as entered."""
    found: dict[str, datetime] = {}
    gas = began_of(seen)
    for one in seen.entries:
        at = one.times.observed
        if at > now:
            break
        key = _phase_of(one)
        if key:
            found.setdefault(key, at)
        elif gas is None or at < gas:
            found.setdefault("before", at)
    if gas is not None and gas <= now:
        found["induction"] = min(gas, found.get("induction", gas))
    return found


def _phase_of(one: EntryText) -> str:
    if one.kind is EntryKind.SETTING and one.what == "phase":
        word = one.typed
    elif one.kind is EntryKind.EVENT:
        word = one.what
    else:
        return ""
    return next((key for key, _, words in _PHASES if word in words), "")


def due_of(
    seen: CaseSeen, now: datetime, choice: SiteInterval | None = None, *, group: bool = False
) -> DueNext | None:
    """When the next observation is due; None before gas is given.

    Parameters
    ----------
    seen : the lines of one record as they stand, for one animal.
    now : with its zone; what was seen later is left out.
    choice : of the site or the protocol; None takes what is proposed.
    group : several animals on one bench, treated alike.
    """
    phase, since = phase_of(seen)
    began = since if phase is Phase.RECOVERY and since else began_of(seen)
    if began is None or began > now:
        return None
    rule = interval_rule(seen.fact("species"), phase, group=group, choice=choice)
    last = max(
        (
            one.times.observed
            for one in seen.kinds(*_OBSERVED)
            if began <= one.times.observed <= now
        ),
        default=None,
    )
    answer = next_due(rule, began, last, now)
    return DueNext(at=now + timedelta(minutes=answer.value or 0.0), rule=rule, answer=answer)


def last_seen(seen: CaseSeen, now: datetime) -> dict[str, EntryText]:
    """The last entry of each variable.

    Parameters
    ----------
    seen : the lines of one record as they stand, for one animal.
    now : what was seen later is left out.
    """
    return {one.what: one for one in _variables(seen) if one.times.observed <= now}


def _variables(seen: CaseSeen) -> Iterator[EntryText]:
    named = {EntryKind.DRUG, EntryKind.FLUID, EntryKind.EVENT, EntryKind.TEXT}
    return (one for one in seen.entries if one.kind not in named)
