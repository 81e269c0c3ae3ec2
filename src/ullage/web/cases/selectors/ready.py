"""What is known of a machine and its gas at the moment at which a case would begin."""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import datetime

from ullage.answers import Answer, Verdict
from ullage.answers.readiness import BEGIN_GRAVITY
from ullage.answers.record.beginning import Override, may_case_begin
from ullage.answers.record.fixed import utc_text
from ullage.web.checks.selectors import standings
from ullage.web.days.selectors import DayAnswers, day_answers, today_at
from ullage.web.machines.selectors import Machine, readiness_of, refusal_of

__all__ = ["Ready", "ready_of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ready:
    """Machine and gas as they stand: the answers, and the facts that a record keeps of them."""

    machine: Answer
    supplies: tuple[tuple[str, Answer], ...]
    is_out: bool
    answer: Answer
    facts: dict[str, str] = field(default_factory=dict)


def ready_of(machine: Machine, now: datetime, override: Override | None = None) -> Ready:
    """Whether a case may begin on a machine now; a few queries, whatever the machine."""
    ready = readiness_of([machine], now)[machine.pk]
    answers = day_answers(machine.site, today_at(machine.site), "board")
    supplies = tuple(_supplies(answers, machine))
    is_out = bool(refusal_of(machine))
    answer = may_case_begin(ready, [one for _, one in supplies], is_out=is_out, override=override)
    facts = {
        **_of_machine(machine, ready, now),
        **_of_gas(supplies, answers),
        **_without(answer, override),
    }
    return Ready(machine=ready, supplies=supplies, is_out=is_out, answer=answer, facts=facts)


def _supplies(answers: DayAnswers, machine: Machine) -> Iterator[tuple[str, Answer]]:
    """What was worked out for each source that the machine draws from as a rule."""
    for one in answers.outlooks:
        if one.is_main and machine.name in one.feeds:
            said = one.said_by or one.lasts_until
            yield one.name, replace(said, verdict=one.verdict)


def _of_machine(machine: Machine, ready: Answer, now: datetime) -> dict[str, str]:
    """The last check of the start of the day, by its time, and what the machine comes to."""
    last = standings([machine], now).get(machine.pk, {}).get("start_of_day")
    return {
        "check": ready.sentence,
        "check_verdict": (ready.verdict or Verdict.NOT_YET).value,
        "check_at": utc_text(last.ended_at) if last else "",
    }


def _of_gas(supplies: tuple[tuple[str, Answer], ...], answers: DayAnswers) -> dict[str, str]:
    if not supplies:
        return {}
    verdicts = [one.verdict or Verdict.NOT_YET for _, one in supplies]
    return {
        "supply": " ".join(_named(name, one.sentence) for name, one in supplies),
        "supply_verdict": min(verdicts, key=BEGIN_GRAVITY.index).value,
        "supply_at": utc_text(answers.worked_out_at) if answers.worked_out_at else "",
    }


def _named(name: str, sentence: str) -> str:
    return sentence if name in sentence else f"{name}: {sentence}"


def _without(answer: Answer, override: Override | None) -> dict[str, str]:
    """What the case begins without, who answers for it and why."""
    if override is None or not answer.value:
        return {}
    missing = [one for one in answer.steps if one.result in {"Stop", "Not yet"}]
    return {
        "started_without": " ".join(f"{one.what}: {one.note}" for one in missing),
        "override_by": override.by,
        "override_reason": override.reason,
    }
