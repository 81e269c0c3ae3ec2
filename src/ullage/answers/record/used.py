"""Gas and agent that a case used, from the flows and dials that were entered."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo

from ullage.answers.agent_use import Delivery, agent_used
from ullage.answers.agents import LIQUIDS
from ullage.answers.answer import Answer, Step, WhereFrom
from ullage.answers.lines import line_of
from ullage.answers.record.printed import clock_text
from ullage.answers.record.seen import CaseSeen
from ullage.answers.record.things import EntryText
from ullage.answers.record.words import in_unit
from ullage.answers.words import figure, minutes_text
from ullage.reference import sourced

__all__ = ["agent_of_case", "oxygen_of_case", "used_in"]

_FLOWS = ("flow_oxygen", "flow_air", "flow_nitrous_oxide")
#: Above these an entry is a slip [L/min], [%].
_MOST = {**dict.fromkeys(_FLOWS, 200.0), "dial": 50.0}
_ENTERED = WhereFrom(source="entered", how_known="seen", text="Flows and dials as entered.")
_UNTIL_NEXT = "Each setting is counted until the next one, the last until the last entry."


@dataclass(frozen=True, slots=True, kw_only=True)
class _Run:
    """What was set from one time to another: flows [L/min], dial [%], agent by name."""

    begins: datetime
    minutes: float
    flows: dict[str, float]
    dial: float
    agent: str

    @property
    def fresh_gas_l_min(self) -> float:
        """[L/min] of all gases together."""
        return sum(self.flows.values())


def used_in(seen: CaseSeen) -> tuple[Answer, ...]:
    """Oxygen and each agent that a case used.

    Parameters
    ----------
    seen : the lines of one record as they stand.

    >>> [one.settles for one in used_in(CaseSeen(facts={}, entries=()))]
    ['Which flow of oxygen ran, and from when to when?', 'Which agent, at which dial and flow?']
    """
    return oxygen_of_case(seen), *agent_of_case(seen)


def oxygen_of_case(seen: CaseSeen) -> Answer:
    """How much oxygen flowed, from the flows that were entered.

    Parameters
    ----------
    seen : the lines of one record as they stand.

    Returns
    -------
    [L] as the flowmeter reads; none where no flow was entered.

    >>> oxygen_of_case(CaseSeen(facts={}, entries=())).value is None
    True
    """
    runs = [one for one in _runs(seen) if one.flows.get("flow_oxygen")]
    share = sourced("check_limits", "reading.flow_share")
    litres = sum(one.flows["flow_oxygen"] * one.minutes for one in runs)
    known = {
        "question": "How much oxygen was used?",
        "unit": "L",
        "reasons": ("Flow times time, as entered; no gauge was read for this number.",),
        "where_from": (_ENTERED, line_of(share, "how far a flowmeter may be off")),
        "assumptions": (_UNTIL_NEXT,),
        "cautions": ("Leaks, and gas that was let out beside the flowmeter, are not in it.",),
    }
    if not runs:
        return Answer(
            sentence="No flow of oxygen was entered.",
            settles="Which flow of oxygen ran, and from when to when?",
            **known,  # type: ignore[arg-type]  # names of the fields above
        )
    minutes = sum(one.minutes for one in runs)
    return Answer(
        value=litres,
        low=litres * (1.0 - share.value),
        high=litres * (1.0 + share.value),
        covers="accuracy of the flowmeter",
        sentence=f"{figure(litres)} L of oxygen flowed in {minutes_text(minutes)}.",
        steps=tuple(
            Step(
                what=f"{clock_text(one.begins, seen.zone)}, {minutes_text(one.minutes)}",
                result=f"{figure(one.flows['flow_oxygen'])} L/min",
            )
            for one in runs
        ),
        **known,  # type: ignore[arg-type]  # names of the fields above
    )


def agent_of_case(seen: CaseSeen) -> tuple[Answer, ...]:
    """How much liquid of each agent was used, from dial and flow as entered.

    Parameters
    ----------
    seen : the lines of one record as they stand.

    Returns
    -------
    [mL] of liquid, an answer for each agent; one without a number where nothing was entered.

    >>> agent_of_case(CaseSeen(facts={}, entries=()))[0].sentence
    'No agent with its dial and a flow was entered.'
    """
    runs = [one for one in _runs(seen) if one.dial and one.fresh_gas_l_min and one.agent in LIQUIDS]
    if runs:
        named = dict.fromkeys(one.agent for one in runs)
        return tuple(
            _liquid(name, [one for one in runs if one.agent == name], seen.zone) for name in named
        )
    return (
        Answer(
            question="How much agent was used?",
            unit="mL",
            sentence="No agent with its dial and a flow was entered.",
            settles="Which agent, at which dial and flow?",
            reasons=("Use is reckoned from dial and fresh gas flow.",),
            where_from=(_ENTERED,),
        ),
    )


def _liquid(agent: str, runs: Sequence[_Run], zone: tzinfo) -> Answer:
    """Liquid of one agent: the use of each setting added up."""
    used = [
        agent_used(
            Delivery(
                agent=agent,
                fraction=0.01 * one.dial,
                fresh_gas_l_min=one.fresh_gas_l_min,
                minutes=one.minutes,
            )
        )
        for one in runs
    ]
    total = sum(one.value or 0.0 for one in used)
    return Answer(
        question=f"How much {agent} was used?",
        value=total,
        unit="mL",
        low=sum(one.low or 0.0 for one in used),
        high=sum(one.high or 0.0 for one in used),
        covers=used[0].covers,
        sentence=f"{figure(total)} mL of liquid {agent}; it was not measured.",
        reasons=used[0].reasons,
        steps=tuple(
            Step(
                what=f"{clock_text(run.begins, zone)}, {minutes_text(run.minutes)}",
                result=f"{figure(run.dial)} % in {figure(run.fresh_gas_l_min)} L/min",
                note=f"{figure(one.value or 0.0)} mL.",
            )
            for run, one in zip(runs, used, strict=True)
        ),
        where_from=(_ENTERED, *used[0].where_from),
        assumptions=(*used[0].assumptions, _UNTIL_NEXT),
        cautions=used[0].cautions,
    )


def _runs(seen: CaseSeen) -> Iterator[_Run]:
    """What stood set between one entry and the next."""
    set_to: dict[str, float] = {}
    agent = seen.fact("agent").lower()
    rows = seen.of("agent", "dial", *_FLOWS)
    last = max((one.times.observed for one in seen.entries), default=None)
    for place, one in enumerate(rows):
        if one.what == "agent":
            agent = one.typed.strip().lower()
        else:
            value = _number(one)
            if value is not None:
                set_to[one.what] = value
        ends = rows[place + 1].times.observed if place + 1 < len(rows) else last
        minutes = (ends - one.times.observed).total_seconds() / 60.0 if ends else 0.0
        if minutes > 0.0:
            flows = {name: flow for name in _FLOWS if (flow := set_to.get(name))}
            dial = set_to.get("dial", 0.0)
            yield _Run(
                begins=one.times.observed, minutes=minutes, flows=flows, dial=dial, agent=agent
            )


def _number(one: EntryText) -> float | None:
    unit = "%" if one.what == "dial" else "L/min"
    value = None if one.value is None else in_unit(one.value, one.unit, unit)
    return value if value is not None and 0.0 <= value <= _MOST[one.what] else None
