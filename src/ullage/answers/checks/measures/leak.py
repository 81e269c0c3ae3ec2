"""Does the breathing system hold pressure? By the flow that holds it, by its fall, or by both."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import hypot

from ullage.answers.answer import Answer, Step, Verdict, WhereFrom
from ullage.answers.chain_links.judge import Extras, Finding, fine, judge, look_again
from ullage.answers.checks.asked import GRAVEST, Asked, printed_limit, reading_error
from ullage.answers.checks.limits import cmh2o, limit_views, ml_min, passes
from ullage.answers.checks.measures.compliance import Compliance, compliance_of
from ullage.answers.checks.things import Limit
from ullage.answers.words import figure, span
from ullage.core.breathing import (
    fall_leak_l_min,
    leak_in_step_l_min,
    leak_through_hole_l_min,
    pressure_hole_mean_kpa,
    pressure_in_step_mean_kpa,
)

__all__ = ["leak"]

#: Pressures this near to each other, as a share, count as one.
_SAME_PRESSURE = 0.01
_SCALED = WhereFrom(
    source="machine_S80",
    how_known="seen",
    text="Leaks of disposable circuits rose in step with pressure; through a hole they rise with "
    "its root (from memory). A leak lies between the two.",
)
_NO_COMPLIANCE = (
    "A fall alone has no fixed meaning: 5 cmH2O in 10 s is 240 mL/min in a stiff system and 750 in "
    "a soft one."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Leak:
    """A leak found one way: its band, and the pressures to which it belongs by each law."""

    way: str
    low: float
    middle: float
    high: float
    in_step_kpa: float
    hole_kpa: float
    sure: bool = True

    def at(self, kpa: float) -> tuple["Scaled", "Scaled"]:
        """The leak at another pressure, in step with it and through a hole."""
        ends = (self.low, self.middle, self.high)
        in_step = (leak_in_step_l_min(one, self.in_step_kpa, kpa) for one in ends)
        hole = (leak_through_hole_l_min(one, self.hole_kpa, kpa) for one in ends)
        return Scaled(*in_step), Scaled(*hole)

    def is_at(self, kpa: float) -> bool:
        """Whether it was measured at that pressure."""
        return all(
            abs(one - kpa) <= _SAME_PRESSURE * kpa for one in (self.in_step_kpa, self.hole_kpa)
        )


@dataclass(frozen=True, slots=True)
class Scaled:
    """A leak at a pressure: its band."""

    low: float
    middle: float
    high: float


def leak(found: Asked) -> Answer:
    """What the test comes to: a leak at the pressure of the limit, and whether it passes."""
    limit = found.limit("leak")
    compliance = compliance_of(found)
    held, fallen = _held(found), _fallen(found, compliance)
    ways = tuple(one for one in (held, fallen) if one is not None)
    findings = [
        *_unusable(found, compliance),
        *_judged(found, ways, limit),
        *_agreement(ways, limit),
    ]
    return judge(_question(ways, limit), findings, _extras(found, ways, limit, compliance), GRAVEST)


def _question(ways: tuple[Leak, ...], limit: Limit | None) -> str:
    at = _at_kpa(ways, limit)
    return f"How much does it leak at {cmh2o(at)}?" if at else "How much does it leak?"


def _at_kpa(ways: tuple[Leak, ...], limit: Limit | None) -> float | None:
    """The pressure of the limit; without one, that of the test."""
    if limit is not None and limit.at_kpa is not None:
        return limit.at_kpa
    return ways[0].hole_kpa if ways else None


def _held(found: Asked) -> Leak | None:
    given = found.numbers("held_kpa", "held_flow_l_min")
    if given is None or given[0] <= 0.0:
        return None
    kpa, flow = given
    share = reading_error("flow_share", "share")
    error = max(reading_error("flow_ml_min", "flow"), share * flow)
    return Leak(
        way="by the flow that holds it",
        low=max(flow - error, 0.0),
        middle=flow,
        high=flow + error,
        in_step_kpa=kpa,
        hole_kpa=kpa,
    )


def _fallen(found: Asked, compliance: Compliance | None) -> Leak | None:
    given = found.numbers("started_kpa", "ended_kpa", "elapsed_min")
    if given is None or compliance is None or not _is_fall(*given):
        return None
    start, end, minutes = given
    low, middle, high = (
        fall_leak_l_min(one, start, end, minutes)
        for one in (compliance.low, compliance.middle, compliance.high)
    )
    read_kpa = hypot(*2 * [reading_error("pressure_cmh2o", "pressure")])
    late = reading_error("time_s", "time") / minutes
    off = hypot(compliance.middle * read_kpa / minutes, late * middle)
    return Leak(
        way="by the fall of pressure",
        low=max(middle - hypot(middle - low, off), 0.0),
        middle=middle,
        high=middle + hypot(high - middle, off),
        in_step_kpa=pressure_in_step_mean_kpa(start, end),
        hole_kpa=pressure_hole_mean_kpa(start, end),
        sure=compliance.measured,
    )


def _is_fall(start: float, end: float, minutes: float) -> bool:
    return 0.0 < end <= start and minutes > 0.0


def _unusable(found: Asked, compliance: Compliance | None) -> Iterator[Finding]:
    """What keeps one way or the other from giving a number, each in a sentence."""
    yield from _half_entered(found, "held_kpa", "held_flow_l_min")
    yield from _half_entered(found, "started_kpa", "ended_kpa", "elapsed_min")
    yield from _half_entered(found, "injected_l", "rise_kpa")
    yield from _half_entered(found, "system_l", "bag_on", "hoses_on")
    if found.number("held_kpa") == 0.0:
        yield look_again(
            "Nothing was held: the pressure is 0.", "Fill to the pressure of the limit."
        )
    given = found.numbers("started_kpa", "ended_kpa", "elapsed_min")
    if given is not None:
        yield from _bad_fall(*given)
        if compliance is None:
            yield from _without_compliance(found)
    elif found.number("held_kpa") is None:
        yield Finding(
            verdict=Verdict.NOT_YET,
            says="No leak was measured.",
            asks="Which flow holds the pressure, or how far does it fall in which time?",
        )


def _half_entered(found: Asked, *names: str) -> Iterator[Finding]:
    if any(name in found.values for name in names):
        yield from found.missing(*names)


def _bad_fall(start: float, end: float, minutes: float) -> Iterator[Finding]:
    if end > start:
        yield _fall_again(
            f"The pressure rose from {cmh2o(start)} to {cmh2o(end)}: gas is still flowing in, or "
            "the gas is warming. That is no leak test.",
            "Shut every flow, wait for the needle to stand, and start again.",
        )
    elif minutes == 0.0 or start == 0.0:
        yield _fall_again(
            "A fall needs a pressure at first and a time above 0.", "Fill, and time the fall."
        )
    elif end == 0.0:
        yield _fall_again(
            "The pressure fell to 0, so nobody knows when: the leak may be of any size.",
            "Measure the flow that holds the pressure, or stop the timer well above 0.",
        )


def _fall_again(says: str, todo: str) -> Finding:
    asks = "How far does the pressure fall in which time, or which flow holds it?"
    return replace(look_again(says, todo), asks=asks)


def _without_compliance(found: Asked) -> Iterator[Finding]:
    limit = found.limit("leak")
    if _held(found) is None and not (limit is not None and _is_hold(limit)):
        yield Finding(
            verdict=Verdict.NOT_YET,
            says=f"No number: {_NO_COMPLIANCE[0].lower()}{_NO_COMPLIANCE[1:]}",
            asks="How far does the pressure rise when a syringe pushes in 50 mL, or which flow "
            "holds it?",
        )


def _is_hold(limit: Limit) -> bool:
    return limit.high is None and limit.within_min is not None


def _judged(found: Asked, ways: tuple[Leak, ...], limit: Limit | None) -> Iterator[Finding]:
    """The best way found, held against the limit of the site."""
    if limit is None:
        yield Finding(
            verdict=Verdict.NOT_YET,
            says="This site has not set its leak limit, so nothing passes or fails yet.",
            asks="Which leak does this site accept, and at which pressure?",
        )
    elif _is_hold(limit):
        yield from _against_hold(found, limit)
    elif limit.at_kpa is None:
        yield Finding(
            verdict=Verdict.NOT_YET,
            says="The chosen limit names no pressure, so nothing can be held against it.",
            asks="Which limit with a pressure does this site choose?",
        )
    elif ways:
        yield _against_limit(found, ways[0], limit, limit.at_kpa)


def _against_limit(found: Asked, way: Leak, limit: Limit, at_kpa: float) -> Finding:
    in_step, hole = way.at(at_kpa)
    ends = _ends(way, in_step, hole)
    within = [passes(limit, one) for one in ends]
    said = f"{_said(way, in_step, hole, at_kpa)}; the limit is {_limit_said(limit, at_kpa)}"
    if all(within):
        return fine(f"{said}.", limit.where_from)
    if not any(within):
        return found.failed(f"{said}.", limit.where_from)
    if not way.sure:
        return look_again(
            f"{said}. With a compliance estimated from parts it may pass or fail.",
            "Measure the compliance: push in 50 mL by syringe and read the rise.",
            limit.where_from,
        )
    return look_again(
        f"{said}. By one law it passes, by the other it fails.",
        f"Test at the limit's pressure, {cmh2o(at_kpa)}.",
        limit.where_from,
        _SCALED,
    )


def _ends(way: Leak, in_step: Scaled, hole: Scaled) -> tuple[float, ...]:
    """What must lie on one side of the limit: both laws, and both ends of an estimate."""
    if way.sure:
        return in_step.middle, hole.middle
    return in_step.low, hole.low, in_step.high, hole.high


def _said(way: Leak, in_step: Scaled, hole: Scaled, at_kpa: float) -> str:
    if way.is_at(at_kpa):
        return f"It leaks {ml_min(way.middle)} at {cmh2o(at_kpa)}, {way.way}"
    low, high = sorted((in_step.middle, hole.middle))
    return (
        f"It leaks {ml_min(way.middle)} at {cmh2o(way.hole_kpa)}, {way.way}; at {cmh2o(at_kpa)} "
        f"that is {span(1000.0 * low, 1000.0 * high, 'mL/min')}"
    )


def _limit_said(limit: Limit, at_kpa: float) -> str:
    most = "" if limit.high is None else ml_min(limit.high)
    return f"{'' if limit.inclusive else 'below '}{most} at {cmh2o(at_kpa)}"


def _against_hold(found: Asked, limit: Limit) -> Iterator[Finding]:
    """A limit that asks for no fall over a time."""
    given = found.numbers("started_kpa", "ended_kpa", "elapsed_min")
    at, minutes = limit.at_kpa or 0.0, limit.within_min or 0.0
    asks = f"Does {cmh2o(at)} stand for {figure(60.0 * minutes)} s with all flows shut?"
    if given is None:
        yield Finding(
            verdict=Verdict.NOT_YET, says="The chosen limit asks for a fall test.", asks=asks
        )
        return
    start, end, elapsed = given
    if end < start:
        yield found.failed(
            f"It fell from {cmh2o(start)} to {cmh2o(end)}; the limit is no fall.", limit.where_from
        )
    elif start < at * (1.0 - _SAME_PRESSURE) or elapsed < minutes * (1.0 - _SAME_PRESSURE):
        yield Finding(
            verdict=Verdict.NOT_YET, says="The test was shorter or lower than the limit.", asks=asks
        )
    elif end == start:
        yield fine(f"{cmh2o(start)} stood for {figure(60.0 * elapsed)} s.", limit.where_from)


def _agreement(ways: tuple[Leak, ...], limit: Limit | None) -> Iterator[Finding]:
    """Whether the flow that holds and the fall say the same, at one pressure."""
    if len(ways) < 2:
        return
    at = _at_kpa(ways, limit) or ways[0].hole_kpa
    (low, high), (other_low, other_high) = (_reach(one, at) for one in ways)
    shown = (
        f"{span(1000.0 * low, 1000.0 * high, 'mL/min')} by flow, "
        f"{span(1000.0 * other_low, 1000.0 * other_high, 'mL/min')} by fall, at {cmh2o(at)}"
    )
    if max(low, other_low) <= min(high, other_high):
        yield fine(f"The two ways agree: {shown}.")
    else:
        yield look_again(
            f"The two ways do not agree: {shown}.",
            "Measure the compliance again with the bag and hoses of today, then both ways again.",
        )


def _reach(way: Leak, at_kpa: float) -> tuple[float, float]:
    """From the lowest to the highest leak that a way and both laws allow."""
    sides = way.at(at_kpa)
    return min(one.low for one in sides), max(one.high for one in sides)


def _extras(
    found: Asked, ways: tuple[Leak, ...], limit: Limit | None, compliance: Compliance | None
) -> Extras:
    at = _at_kpa(ways, limit)
    steps = tuple(_steps(ways, at, compliance)) if at else ()
    views = limit_views("leak", limit)
    assumed = compliance.assumes if compliance is not None and len(ways) > 0 else ()
    if not ways or at is None:
        return Extras(views=views, unit="mL/min", steps=steps, assumptions=assumed)
    low, high = _reach(ways[0], at)
    return Extras(
        views=views,
        steps=steps,
        assumptions=assumed,
        rests_on=(*_errors(ways), *(compliance.rests_on if compliance else ())),
        value=1000.0 * max(one.middle for one in ways[0].at(at)),
        low=1000.0 * low,
        high=1000.0 * high,
        unit="mL/min",
        covers="errors of reading, and both laws where the pressure was another; the larger counts",
    )


def _errors(ways: tuple[Leak, ...]) -> Iterator[WhereFrom]:
    yield printed_limit("reading.flow_ml_min")
    if any(one.way == "by the fall of pressure" for one in ways):
        yield printed_limit("reading.pressure_cmh2o")
        yield printed_limit("reading.time_s")
    yield _SCALED


def _steps(ways: tuple[Leak, ...], at: float, compliance: Compliance | None) -> Iterator[Step]:
    if compliance is not None:
        yield compliance.step
    for way in ways:
        in_step, hole = way.at(at)
        yield Step(
            what=f"Leak {way.way}",
            result=ml_min(way.middle),
            note=f"{span(1000.0 * way.low, 1000.0 * way.high, 'mL/min')}, at {cmh2o(way.hole_kpa)}",
        )
        if not way.is_at(at):
            yield Step(
                what=f"At {cmh2o(at)} through a hole: × √({_bare(at)} ÷ {_bare(way.hole_kpa)})",
                result=ml_min(hole.middle),
            )
            yield Step(
                what=f"At {cmh2o(at)} in step with pressure: × {_bare(at)} ÷ "
                f"{_bare(way.in_step_kpa)}",
                result=ml_min(in_step.middle),
            )


def _bare(kpa: float) -> str:
    return cmh2o(kpa).removesuffix(" cmH2O")
