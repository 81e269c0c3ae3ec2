"""One step of a check, done: what was entered becomes its result."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from ullage.answers.answer import Answer, Verdict
from ullage.answers.chain_links.judge import Extras, fine, judge, look_again
from ullage.answers.checks.asked import GRAVEST, Asked, asked
from ullage.answers.checks.fields import ABSENT
from ullage.answers.checks.measures import MEASURES
from ullage.answers.checks.things import CheckStep, Limit
from ullage.answers.things import Place

__all__ = ["absent_here", "step_result"]


def step_result(
    step: CheckStep,
    given: Mapping[str, Any],
    limits: Mapping[str, Limit] | None = None,
    place: Place | None = None,
) -> Answer:
    """What a step comes to, from what a person read or saw.

    Parameters
    ----------
    step : of a check list.
    given : name of a field -> number in our unit, text with a unit, yes or no, or a word; None
        and empty text stay unanswered. ``absent`` where the part is not there, if the step allows.
    limits : name of a limit -> the one that the site has chosen; a leak has none until then.
    place : barometric pressure, and the unit in which pressures of the supply are shown.

    Returns
    -------
    The answer: Fine, Look again, Stop or Not yet, with the number where there is one, the working,
    and those who set a limit side by side.

    Raises
    ------
    UnreadableQuantity : a field that the step does not have, or an entry that cannot be read.

    >>> from ullage.answers.checks import check_list, site_leak_limit, step_result
    >>> step = check_list("start_of_day").step("leak")
    >>> given = {"held_kpa": "30 cmH2O", "held_flow_l_min": "450 mL/min"}
    >>> answer = step_result(step, given, {"leak": site_leak_limit(0.3, 2.941995)})
    >>> answer.verdict.value, answer.text
    ('Stop', '450 mL/min (400 to 500 mL/min)')
    """
    found = asked(step, given, limits or {}, place or Place())
    answer = _absent(found) if found.yes(ABSENT) else MEASURES[step.kind](found)
    return replace(
        answer,
        unit=answer.unit or "of 1 as it should be",
        cautions=(*answer.cautions, *((step.caution,) if step.caution else ())),
        where_from=tuple(dict.fromkeys((*answer.where_from, *step.where_from))),
    )


def absent_here(step: CheckStep, answer: Answer) -> bool:
    """Whether a result says that the part is not there, and not that it failed.

    >>> from ullage.answers.checks import check_list
    >>> step = check_list("start_of_day").step("oxygen_failure_alarm")
    >>> absent_here(step, step_result(step, {"absent": True}))
    True
    """
    return step.may_be_absent and answer.sentence == step.when_absent


def _absent(found: Asked) -> Answer:
    """A part that a machine does not have: no fault of its own, and seldom no matter."""
    step = found.step
    said = (
        fine(step.when_absent)
        if step.absent_is_fine
        else look_again(step.when_absent, step.when_absent)
    )
    extras = Extras(value=0.0, unit="of 1 here")
    answer = judge(f"Is it here: {step.title}?", [said], extras, GRAVEST)
    return replace(answer, todo="") if said.verdict is Verdict.FINE else answer
