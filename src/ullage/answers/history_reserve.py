"""When what is kept back is reached, by all readings and the flows that lie ahead."""

from dataclasses import replace

from ullage.answers.answer import Answer, Step, WhereFrom
from ullage.answers.asked import Asked, OtherDemand
from ullage.answers.held import Policy, shown_l
from ullage.answers.history_parts import Told, flow_text, leak_ml_min
from ullage.answers.liquefied import kept_liquefied_l
from ullage.answers.words import figure, minutes_text, span
from ullage.core.gas import contents_l
from ullage.core.supply import kept_back_l
from ullage.core.supply.estimate import Outlook, reserve_outlook
from ullage.core.supply.history import Draw

__all__ = ["future_draws", "reserve_answer"]

#: How far a flow that has no end is followed.
_LONG_MIN = 60.0 * 24 * 30
_QUESTION = "When is the reserve reached?"


def future_draws(told: Told) -> tuple[Draw, ...]:
    """Flows from now on; with none written down, the last one goes on."""
    now = told.known.history.now_min
    draws = told.known.history.draws
    ahead = tuple(
        replace(one, start_min=max(one.start_min, now)) for one in draws if one.end_min > now
    )
    if ahead or not draws:
        return ahead
    last_end = max(one.end_min for one in draws)
    last = tuple(one for one in draws if one.end_min == last_end and one.flow_l_min > 0)
    return tuple(replace(one, start_min=now, end_min=now + _LONG_MIN) for one in last)


def reserve_answer(told: Told, ahead: tuple[Draw, ...], policy: Policy) -> Answer:
    """Minutes from now until what is kept back is reached."""
    demand = max((one.flow_l_min for one in ahead), default=0.0)
    where = (
        WhereFrom(source="reading", how_known="seen", text="All readings of this cylinder."),
        *policy.where_from,
    )
    if demand <= 0.0:
        return Answer(
            question=_QUESTION,
            unit="min",
            sentence="No answer yet: no flow is written down for this cylinder.",
            reasons=("The time depends on what is drawn.",),
            where_from=where,
            settles="Which flow will run, and for how long?",
        )
    kept = _kept_l(told, policy, demand)
    outlook = reserve_outlook(told.found, ahead, kept)
    return Answer(
        question=_QUESTION,
        value=outlook.middle_min if outlook.high_min is not None else None,
        low=outlook.low_min,
        high=outlook.high_min,
        unit="min",
        covers="9 of 10 times, counted from now, a leak as far as it is likely included",
        sentence=_sentence(told, ahead, policy, outlook),
        reasons=(_flow_words(told, ahead),),
        steps=_steps(told, kept, policy),
        where_from=where,
        assumptions=_assumptions(told, ahead, policy),
        settles="" if outlook.high_min is not None else "What will be drawn after that?",
    )


def _kept_l(told: Told, policy: Policy, demand_l_min: float) -> float:
    """[L] inside, at the temperature of the last reading."""
    if told.cylinder.gas.liquefied:
        asked = Asked(
            cylinder=told.cylinder,
            reading=told.last,
            fresh_l_min=demand_l_min,
            other=OtherDemand(),
            policy=policy,
            place=told.place,
        )
        return kept_liquefied_l(asked)
    kelvin = told.known.history.sightings[-1].temperature_k
    at_rule, at_zero = (
        contents_l(
            told.cylinder.gas,
            told.cylinder.water_capacity_l,
            kpa,
            kelvin,
            told.place.barometric_kpa,
        )
        for kpa in (policy.rule.pressure_kpa, 0.0)
    )
    return kept_back_l(policy.rule, at_rule, at_zero, demand_l_min)


def _is_planned(told: Told) -> bool:
    history = told.known.history
    return any(one.end_min > history.now_min for one in history.draws)


def _flow_words(told: Told, ahead: tuple[Draw, ...]) -> str:
    flows = sorted({one.flow_l_min for one in ahead})
    which = " and ".join(f"{figure(one)} L/min" for one in flows[:3])
    if _is_planned(told):
        return f"By the flows written down from now on: {which}."
    return f"At {which}, the last flow, from now on."


def _sentence(told: Told, ahead: tuple[Draw, ...], policy: Policy, outlook: Outlook) -> str:
    gas = str(told.cylinder.gas).capitalize()
    if outlook.high_min is None or outlook.middle_min is None:
        plan = minutes_text(outlook.until_min)
        if outlook.low_min is None:
            return f"{gas} does not reach what is kept back within the {plan} written down."
        return (
            f"{gas} may reach what is kept back after {minutes_text(outlook.low_min)},"
            f" but need not within the {plan} written down."
        )
    if outlook.middle_min <= 0.0:
        return f"{gas} has reached what is kept back, {policy.words}."
    low, high = outlook.low_min or 0.0, outlook.high_min
    return (
        f"{gas} reaches what is kept back in {minutes_text(outlook.middle_min)}"
        f" ({span(low, high, 'min')}). {_flow_words(told, ahead)}"
    )


def _steps(told: Told, kept_l: float, policy: Policy) -> tuple[Step, ...]:
    left = told.found.contents_l.middle
    usable = max(0.0, left - kept_l)
    return (
        Step(what="Left by all readings", result=f"{figure(shown_l(left, told.place))} L"),
        Step(
            what=f"Less what is kept back: {policy.words}",
            result=f"{figure(shown_l(usable, told.place))} L",
            note=f"{figure(shown_l(kept_l, told.place))} L kept back",
        ),
    )


def _assumptions(told: Told, ahead: tuple[Draw, ...], policy: Policy) -> tuple[str, ...]:
    lines = ["The valve stays open from now on."]
    if not _is_planned(told):
        lines.append(_flow_words(told, ahead))
    leak = told.found.leak_l_min.middle
    if leak > 0.0:
        lines.append(f"The leak of about {flow_text(leak_ml_min(leak, told.place))} goes on.")
    if policy.assumption:
        lines.append(policy.assumption)
    return tuple(lines)
