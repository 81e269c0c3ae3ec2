"""What its checks say of the readiness of a machine: today's check, and what was done since."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from ullage.answers.answer import Answer, Step, Verdict
from ullage.answers.checks.ages import EACH_CASE
from ullage.answers.checks.things import CheckList, Lasts
from ullage.answers.readiness import Remark

__all__ = ["LastCheck", "checks_say"]

#: The list that a machine is not used without, and the one before each case.
_DAILY, _EACH = "start_of_day", "before_each_case"


@dataclass(frozen=True, slots=True, kw_only=True)
class LastCheck:
    """The last check by one list: when it ended, what it came to, what it still covers."""

    list: CheckList
    ended_at: datetime
    verdict: Verdict
    sentence: str
    todo: str
    covers: Answer


def checks_say(
    last: Mapping[str, LastCheck], *, is_out: bool = False, begun: Collection[str] = ()
) -> tuple[Remark, ...]:
    """What the last check by each list says of a machine.

    Parameters
    ----------
    last : key of a list -> its last check that ended; times in the time of the site.
    is_out : the machine is out of use already, and its state says why.
    begun : keys of the lists by which a check was begun and not finished.

    Returns
    -------
    A remark on the check of the day, one on the check before each case, and one on each other
    check that failed or no longer holds what was changed since.

    >>> [one.verdict.value for one in checks_say({})]
    ['Not yet', 'Fine']
    """
    said = (*_daily(last.get(_DAILY), _DAILY in begun), *_each_case(last), *_others(last))
    return tuple(one for one in said if not (is_out and one.verdict is Verdict.STOP))


def _daily(last: LastCheck | None, is_begun: bool) -> Iterator[Remark]:
    if last is None and is_begun:
        yield Remark(
            about="start of day",
            verdict=Verdict.NOT_YET,
            sentence="The check of the start of the day was begun and is not finished.",
            todo="Finish the check of the start of the day.",
        )
    elif last is None:
        yield Remark(
            about="start of day",
            verdict=Verdict.NOT_YET,
            sentence="No check of the start of the day is known.",
            todo="Do the check of the start of the day.",
        )
    else:
        yield _of(last)


#: How a remark goes on after list and time, by what the check came to.
_CAME_TO = {
    Verdict.LOOK_AGAIN: "passed, to be used with",
    Verdict.STOP: "failed",
    Verdict.NOT_YET: "is open",
}


def _of(last: LastCheck) -> Remark:
    """One check that ended: failed or open, run out, changed since, or standing."""
    verdict = last.verdict
    again = [one for one in last.covers.steps if not one.note.startswith(EACH_CASE)]
    begins = f"{last.list.title}, {last.ended_at:%H:%M},"
    if verdict in {Verdict.STOP, Verdict.NOT_YET} or not again:
        _, _, why = last.sentence.partition(": ")
        said = (
            f"{begins} {_CAME_TO[verdict]}: {why}"
            if verdict is not Verdict.FINE
            else f"{begins} passed."
        )
        todo = last.todo
    else:
        verdict, todo = Verdict.NOT_YET, last.covers.todo
        said = f"{begins} no longer stands. {_why(last, again)}"
    return Remark(about=last.list.title.lower(), verdict=verdict, sentence=said, todo=todo)


def _why(last: LastCheck, again: Sequence[Step]) -> str:
    if len(again) >= len(last.list.steps):
        return again[0].note
    return " ".join(dict.fromkeys(f"{one.what}: {one.note}" for one in again))


def _each_case(last: Mapping[str, LastCheck]) -> Iterator[Remark]:
    """The check before each case: said where it stands; due before the next case otherwise."""
    each = last.get(_EACH)
    failed = each is not None and each.verdict is Verdict.STOP
    if each is not None and (failed or each.covers.verdict is Verdict.FINE):
        yield _of(each)
    else:
        yield Remark(
            about="before each case",
            verdict=Verdict.FINE,
            sentence="Relief valve, leak and connection are checked again before each case.",
        )


def _others(last: Mapping[str, LastCheck]) -> Iterator[Remark]:
    """Other lists speak where they failed after the check of the day."""
    daily = last.get(_DAILY)
    for key, one in last.items():
        if key in {_DAILY, _EACH} or one.verdict is not Verdict.STOP:
            continue
        if daily is None or one.ended_at > daily.ended_at or one.list.lasts is not Lasts.DAY:
            yield _of(one)
