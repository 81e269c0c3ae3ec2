"""What a running case says at one moment, as plain values for programs."""

from datetime import datetime
from typing import Any

from ullage.answers import Answer
from ullage.answers.record.fixed import utc_text
from ullage.answers.record.warned import Warned
from ullage.core.errors import RuleBroken
from ullage.web.cases.models import CaseState, Record

__all__ = ["answer_plain", "case_now"]

_GOING_ON = {CaseState.RUNNING, CaseState.RECOVERING}


def case_now(record: Record, now: datetime, animal: str = "") -> dict[str, Any]:
    """What its page shows: since when, what is due, the oxygen left, warnings, last values.

    Raises
    ------
    RuleBroken : a case that is not going on.
    """
    if record.state not in _GOING_ON:
        is_now = record.get_state_display().lower()
        raise RuleBroken(f"The case is {is_now}, not running; nothing is reckoned of it now.")
    # What draws the page is loaded only where somebody asks for it.
    from ullage.web.cases.selectors.running import running_page

    page = running_page(record, now, animal)
    return {
        "record": str(record.code),
        "count": page.lines.count,
        "at": utc_text(now),
        "animal": page.animal,
        "running_min": page.running_min,
        "due": answer_plain(page.due.answer) if page.due else None,
        "due_at": utc_text(page.due.at) if page.due else None,
        "oxygen_left": answer_plain(page.oxygen_left) if page.oxygen_left else None,
        "fluids": answer_plain(page.fluids_given),
        "warnings": [_warning(one) for one in page.warnings],
        "last": {
            key: {
                "entry": one.id,
                "typed": one.typed,
                "number": one.number,
                "unit": one.unit,
                "observed": utc_text(one.times.observed),
            }
            for key, one in page.last.items()
        },
    }


def _warning(one: Warned) -> dict[str, Any]:
    return {
        "warning": one.warning,
        "cause": one.cause,
        "says": one.says,
        "todo": one.todo,
        "since": utc_text(one.since),
        "is_question": one.is_question,
        "verdict": one.verdict.value,
    }


def answer_plain(answer: Answer) -> dict[str, Any]:
    """An answer as plain values; where it comes from goes with it."""
    return {
        "question": answer.question,
        "text": answer.text,
        "value": answer.value,
        "low": answer.low,
        "high": answer.high,
        "unit": answer.unit,
        "sentence": answer.sentence,
        "verdict": answer.verdict.value if answer.verdict else None,
        "todo": answer.todo,
        "settles": answer.settles,
        "reasons": list(answer.reasons),
        "assumptions": list(answer.assumptions),
        "cautions": list(answer.cautions),
        "where_from": [
            {"source": one.source, "how_known": str(one.how_known), "text": one.text}
            for one in answer.where_from
        ],
    }
