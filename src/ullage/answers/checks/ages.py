"""How old a check is, and what of it must be done again before the next case."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime

from ullage.answers.answer import Answer, Step, Verdict, WhereFrom
from ullage.answers.checks.lists import check_list
from ullage.answers.checks.things import Change, ChangeKind, CheckList, CheckStep, Lasts
from ullage.answers.words import minutes_text
from ullage.core.errors import InvalidQuantity

__all__ = ["EACH_CASE", "check_covers"]

#: How the reason of a step begins that no check of the morning stands for.
EACH_CASE = "Before each case"

_KITTEN = WhereFrom(
    source="machine_S76",
    how_known="seen",
    text="A kitten of 1.4 kg met a closed relief valve although the check of the day was done.",
)
_MONTH_DAYS = 31
_CHANGED = {
    ChangeKind.CASE: "a case was begun",
    ChangeKind.CONNECTION: "a connection was opened",
    ChangeKind.CYLINDER: "a cylinder was changed",
    ChangeKind.REGULATOR: "a regulator was changed",
    ChangeKind.ABSORBENT: "the absorbent was changed",
    ChangeKind.HOSE: "a hose was changed",
    ChangeKind.BAG: "the bag was changed",
    ChangeKind.VAPORIZER: "a vaporizer was changed",
    ChangeKind.SCAVENGING: "the scavenging was changed",
    ChangeKind.SERVICE: "it came back from service",
}


@dataclass(frozen=True, slots=True)
class _Again:
    """One step that must be done again, and why."""

    step: CheckStep
    why: str


def check_covers(
    check: CheckList, done_at: datetime, now: datetime, changes: Iterable[Change] = ()
) -> Answer:
    """Whether a check still stands now, and what must be done again before the next case.

    Parameters
    ----------
    check : the list that was passed.
    done_at : when it ended, in the time of the site.
    now : the moment that is asked about, in the time of the site.
    changes : what was changed or begun; what lies before the check does not matter.

    Returns
    -------
    [min] the age of the check. Fine: it stands. Not yet: the steps named must be done again. A
    check of the day never stands for relief valve, leak and connection of a case.

    Raises
    ------
    InvalidQuantity : a check that ends after now, one time with a time zone and one without.

    >>> from datetime import datetime
    >>> from ullage.answers.checks import check_covers, check_list
    >>> morning, noon = datetime(2026, 6, 8, 8, 0), datetime(2026, 6, 8, 12, 0)
    >>> check_covers(check_list("start_of_day"), morning, noon).verdict.value
    'Not yet'
    """
    minutes = _age_min(done_at, now)
    since = sorted((one for one in changes if done_at < one.at <= now), key=lambda one: one.at)
    over = _over(check, done_at, now, since)
    again = list(_again(check, since, over))
    verdict = Verdict.NOT_YET if over or again else Verdict.FINE
    return Answer(
        question="Does this check still stand?",
        value=minutes,
        unit="min",
        verdict=verdict,
        sentence=_sentence(check, over, again, minutes),
        reasons=_reasons(over, again),
        todo=_todo(check, over, again),
        settles="" if verdict is Verdict.FINE else "Were these steps done again?",
        steps=tuple(Step(what=one.step.title, result="again", note=one.why) for one in again),
        where_from=(
            WhereFrom(source="reading", how_known="seen", text="When the check was made."),
            _KITTEN,
        ),
        cautions=("A check of the morning does not protect the third case of the day.",),
    )


def _age_min(done_at: datetime, now: datetime) -> float:
    if (done_at.tzinfo is None) != (now.tzinfo is None):
        raise InvalidQuantity("now", 0.0, "in the same kind of time as the check, with its zone")
    minutes = (now - done_at).total_seconds() / 60.0
    if minutes < 0.0:
        raise InvalidQuantity("age of the check in minutes", minutes, "0 or more")
    return minutes


def _over(check: CheckList, done_at: datetime, now: datetime, since: list[Change]) -> str:
    """Why the whole check has run out; empty while it has not."""
    days = (now.date() - done_at.date()).days
    if check.lasts is Lasts.DAY and days > 0:
        return "It was made on another day."
    if check.lasts is Lasts.MONTH and days >= _MONTH_DAYS:
        return "It was made more than a month ago."
    for one in since:
        if check.lasts is Lasts.CASE and one.kind is ChangeKind.CASE:
            return "It was made before another case."
        if one.kind in check.after:
            return f"After it {_CHANGED[one.kind]}."
        if one.kind is ChangeKind.SERVICE:
            return "After it the machine came back from service: the first user checks all of it."
    return ""


def _again(check: CheckList, since: list[Change], over: str) -> Iterator[_Again]:
    """Every step to do again: all of a check that has run out; else what it cannot stand for."""
    if over:
        yield from (_Again(step, over) for step in check.steps)
        return
    for step in check.steps:
        after = next((one for one in since if one.kind in step.again_after), None)
        if after is not None:
            yield _Again(step, f"After the check {_CHANGED[after.kind]}.")
        elif step.each_case and check.lasts is Lasts.DAY:
            yield _Again(step, f"{EACH_CASE}.")
    if check.then:
        yield from _of_each_case(check)


def _of_each_case(check: CheckList) -> Iterator[_Again]:
    """What must be done before each case and this list does not hold at all."""
    for step in check_list(check.then).steps:
        if step.required and check.step(step.key) is None:
            yield _Again(step, f"{EACH_CASE}; this list does not hold it.")


def _sentence(check: CheckList, over: str, again: list[_Again], minutes: float) -> str:
    age = minutes_text(minutes)
    if over:
        return f"{check.title}, {age} ago, no longer stands. {over}"
    if again:
        named = ", ".join(one.step.title for one in again)
        return f"{check.title}, {age} ago, stands but for: {named}."
    return f"{check.title}, {age} ago, stands."


def _reasons(over: str, again: list[_Again]) -> tuple[str, ...]:
    if over:
        return (over,)
    lines = tuple(dict.fromkeys(f"{one.step.title}: {one.why}" for one in again))
    return lines or ("Nothing was changed since, and it has not run out.",)


def _todo(check: CheckList, over: str, again: list[_Again]) -> str:
    if over:
        return f"Do the whole list again: {check.title}."
    return "Do these steps again before the next animal." if again else ""
