"""What a whole check comes to: may be used, may be used with something, may not, or not yet."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ullage.answers.answer import Answer, Step, Verdict, WhereFrom
from ullage.answers.checks.steps import absent_here
from ullage.answers.checks.things import CheckEntry, CheckList, CheckStep

__all__ = ["check_result"]

_ENTERED = WhereFrom(source="reading", how_known="seen", text="What was entered, step by step.")
_LAST = "Relief valve open and pressure zero is its own entry, after every step that shuts it."
_CLOSE_AGAIN = "The relief valve was shut again after it was said to be open."


@dataclass(frozen=True, slots=True)
class _Told:
    """What one step of a list comes to: its verdict for the whole, and why."""

    step: CheckStep
    verdict: Verdict
    says: str
    todo: str = ""
    asks: str = ""
    with_what: str = ""


def check_result(check: CheckList, entries: Sequence[CheckEntry]) -> Answer:
    """Whether a machine may be used after a check, and why.

    Parameters
    ----------
    check : the version of the list that the check was made with.
    entries : in the order in which they were made; the last one of a step counts. Entries of
        steps that the list does not have are passed over.

    Returns
    -------
    [1] steps passed, a range while steps are open. Stop: may not be used. Not yet: something is
    open, or needs a second look first. Look again: may be used, with what is named. Fine: may be
    used.

    >>> from ullage.answers.checks import check_list, check_result
    >>> check_result(check_list("start_of_day"), []).sentence
    'Not yet: 10 of 10 steps are open.'
    """
    last = {one.step: one.answer for one in entries}
    told = [_told(step, last.get(step.key)) for step in check.steps]
    if _shut_again(check, entries):
        told = [_opened_no_more(one) for one in told]
    verdict = _verdict(told)
    passed = sum(one.verdict is Verdict.FINE for one in told)
    still_open = sum(one.verdict is Verdict.NOT_YET for one in told)
    total = len(check.steps)
    return Answer(
        question="May this machine be used?",
        value=None if still_open else float(passed),
        low=float(passed) if still_open else None,
        high=float(min(passed + still_open, total)) if still_open else None,
        covers="what the open steps may turn out to be" if still_open else "",
        unit=f"of {total} steps passed",
        verdict=verdict,
        sentence=_sentence(verdict, told, total),
        reasons=_reasons(verdict, told),
        todo=" ".join(dict.fromkeys(one.todo for one in _deciding(verdict, told) if one.todo)),
        settles=next((one.asks for one in told if one.asks), ""),
        steps=tuple(
            Step(what=one.step.title, result=one.verdict.value, note=one.says) for one in told
        ),
        where_from=_where_from(last.values()),
        cautions=(
            "A check says how the machine was when it was made; look at it again before each case.",
        ),
    )


def _told(step: CheckStep, answer: Answer | None) -> _Told:
    """One step for the whole: what is not grave does not stop, what needs a look is still open."""
    if answer is None:
        return _Told(step, Verdict.NOT_YET, "Not done yet.", asks=_asks(step))
    says, todo = answer.sentence, answer.todo
    if answer.verdict is Verdict.FINE:
        return _Told(step, Verdict.FINE, says)
    with_what = _may_be_used_with(step, answer)
    if with_what:
        return _Told(step, Verdict.LOOK_AGAIN, says, todo, with_what=with_what)
    if answer.verdict is Verdict.STOP:
        return _Told(step, Verdict.STOP, says, todo)
    return _Told(step, Verdict.NOT_YET, says, todo, answer.settles or _asks(step))


def _may_be_used_with(step: CheckStep, answer: Answer) -> str:
    """What to use a machine with after a step that did not pass; empty where nothing will do."""
    failed = answer.verdict in {Verdict.STOP, Verdict.LOOK_AGAIN}
    if absent_here(step, answer) or (failed and not step.grave):
        return step.with_what or answer.todo or answer.sentence
    return ""


def _asks(step: CheckStep) -> str:
    return f"Is it as it should be: {step.title[:1].lower()}{step.title[1:]}?"


def _opened_no_more(one: _Told) -> _Told:
    """The closing step that passed, and does not hold any more."""
    if not one.step.closes or one.verdict is not Verdict.FINE:
        return one
    return _Told(one.step, Verdict.NOT_YET, _CLOSE_AGAIN, one.step.todo, _asks(one.step))


def _shut_again(check: CheckList, entries: Sequence[CheckEntry]) -> bool:
    """Whether a step that shuts the system was entered after the closing one."""
    closing = {one.key for one in check.steps if one.closes}
    shuts = {one.key for one in check.steps if one.asks_no_animal}
    last = next((one.step for one in reversed(entries) if one.step in closing | shuts), None)
    return last in shuts and any(one.step in closing for one in entries)


def _verdict(told: Iterable[_Told]) -> Verdict:
    said = {one.verdict for one in told}
    for verdict in (Verdict.STOP, Verdict.NOT_YET, Verdict.LOOK_AGAIN):
        if verdict in said:
            return verdict
    return Verdict.FINE


def _deciding(verdict: Verdict, told: Iterable[_Told]) -> list[_Told]:
    return [one for one in told if one.verdict is verdict]


def _sentence(verdict: Verdict, told: Sequence[_Told], total: int) -> str:
    deciding = _deciding(verdict, told)
    named = "; ".join(dict.fromkeys(one.step.title for one in deciding))
    if verdict is Verdict.STOP:
        return f"May not be used: {named}."
    if verdict is Verdict.LOOK_AGAIN:
        with_what = "; ".join(dict.fromkeys(one.with_what for one in deciding if one.with_what))
        return f"May be used with: {(with_what or named).removesuffix('.')}."
    if verdict is Verdict.FINE:
        return f"May be used: {total} of {total} steps passed."
    if len(deciding) <= _MOST_NAMED:
        return f"Not yet: {named}."
    return f"Not yet: {len({one.step.key for one in deciding})} of {total} steps are open."


_MOST_NAMED = 3


def _reasons(verdict: Verdict, told: Iterable[_Told]) -> tuple[str, ...]:
    if verdict is Verdict.FINE:
        return ("Every step passed, and the relief valve is open.",)
    lines = (f"{one.step.title}: {one.says}" for one in _deciding(verdict, told))
    rest = (_LAST,) if verdict is Verdict.NOT_YET else ()
    return tuple(dict.fromkeys((*lines, *rest)))


def _where_from(answers: Iterable[Answer]) -> tuple[WhereFrom, ...]:
    return tuple(dict.fromkeys((_ENTERED, *(line for one in answers for line in one.where_from))))
