"""Waste gas of a planned case: what it comes to in the room, and what helps most."""

from collections.abc import Mapping
from dataclasses import dataclass

from ullage.answers.answer import Answer, Verdict, WhereFrom
from ullage.answers.case_things import CasePlan
from ullage.answers.exposure import day_average, room_level, task_average
from ullage.answers.exposure_air import Zone
from ullage.answers.exposure_helps import what_helps_most
from ullage.answers.exposure_judged import against_limit, measures_of
from ullage.answers.exposure_things import Escape, EscapeKind, WorkRoom, last_end_min
from ullage.answers.planned_escapes import WasteSetup, case_escapes, waste_questions

__all__ = ["CaseWaste", "case_waste", "waste_answers"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseWaste:
    """What escapes of a case, the answers by gas, and what nobody has said yet.

    The answers of a gas are ``peak`` and ``day`` at the work, ``room`` (highest in the room),
    ``task`` (mean while it lasts), ``limit`` and ``helps``.
    """

    escapes: tuple[Escape, ...]
    answers: Mapping[str, Mapping[str, Answer]]
    questions: tuple[str, ...] = ()

    @property
    def gases(self) -> tuple[str, ...]:
        """The gases that escape, in their order."""
        return tuple(dict.fromkeys(one.agent for one in self.escapes))


def case_waste(
    plan: CasePlan,
    room: WorkRoom,
    setup: WasteSetup | None = None,
    chosen: Mapping[str, str] | None = None,
    country: str = "",
) -> CaseWaste:
    """What a planned case does to the air of its room.

    Parameters
    ----------
    plan : of the case, with its dials.
    room : with its volume and air changes, where they are known.
    setup : scavenging, mask, purge; None where nobody has said anything.
    chosen : key of the limit that the site follows, by agent.
    country : two letters; its limits stand first.

    Returns
    -------
    Without dials nothing escapes yet, and the question that settles them is asked.
    """
    told = setup or WasteSetup()
    escapes = case_escapes(plan, told)
    questions = waste_questions(plan, escapes, room, told)
    if not escapes:
        return CaseWaste(
            escapes=(),
            answers={plan.given.agent: {"day": _nothing(plan, told)}},
            questions=questions,
        )
    answers = {
        gas: waste_answers(room, escapes, gas, (chosen or {}).get(gas), country)
        for gas in dict.fromkeys(one.agent for one in escapes)
    }
    return CaseWaste(escapes=escapes, answers=answers, questions=questions)


def waste_answers(
    room: WorkRoom,
    escapes: tuple[Escape, ...],
    gas: str,
    chosen: str | None = None,
    country: str = "",
) -> Mapping[str, Answer]:
    """The answers about one gas, of a case or of all cases of a room.

    Parameters
    ----------
    room : with its volume and air changes, where they are known.
    escapes : of the day.
    gas : one of those that escape.
    chosen : key of the limit that the site follows for it.
    country : two letters; its limits stand first.
    """
    told = [one for one in escapes if one.agent == gas]
    start = min(one.start_min for one in told)
    end = max(
        last_end_min([one for one in told if one.kind is not EscapeKind.RECOVERY]), start + 15.0
    )
    measures = measures_of(room, escapes, gas)
    return {
        "peak": room_level(room, escapes, gas),
        "room": room_level(room, escapes, gas, Zone.ROOM),
        "task": task_average(room, escapes, gas, (start, end)),
        "day": day_average(room, escapes, gas),
        "limit": against_limit(gas, chosen, measures, country),
        "helps": what_helps_most(room, escapes, gas),
    }


def _nothing(plan: CasePlan, setup: WasteSetup) -> Answer:
    """Nothing escapes, or nothing can be said before a dial is known."""
    dial = plan.answers.get("dial")
    settles = dial.settles if dial is not None else ""
    under = "The hood takes all of it" if setup.hood else "Nothing is known to escape"
    return Answer(
        question=f"What does {plan.case.name} do to the air of the room?",
        value=None if settles else 0.0,
        unit="ppm",
        sentence="Without a dial nothing can be said yet." if settles else f"{under}.",
        reasons=("What escapes is a share of what the vaporizer adds.",),
        where_from=(
            WhereFrom(source="waste_base", how_known="computed", text="Balance of the room."),
        ),
        settles=settles,
        verdict=Verdict.NOT_YET if settles else None,
        assumptions=("A hood is taken to catch all.",) if setup.hood else (),
    )
