"""The side of the supply: high-pressure fall, reserve, regulator, line and oxygen alarm."""

from collections.abc import Iterator
from dataclasses import replace
from math import hypot

from ullage.answers.answer import Answer, Step, Verdict
from ullage.answers.chain_links.judge import Extras, Finding, fine, judge, look_again, pressure_text
from ullage.answers.chain_links.regulator import regulator as line_pressure
from ullage.answers.chain_links.rows import where_from
from ullage.answers.chain_things import Chain, Regulator
from ullage.answers.checks.asked import GRAVEST, Asked, printed_limit, reading_error
from ullage.answers.checks.limits import limit_choices, limit_views, passes
from ullage.answers.checks.things import Limit
from ullage.answers.plan import SourceKind
from ullage.answers.words import figure, minutes_text
from ullage.core.gas import creep_kpa_min, droop_share, pressure_decay_leak_l_min
from ullage.core.units import convert
from ullage.reference import sourced

__all__ = ["high_pressure_fall", "pipeline_alarm", "regulator", "reserve"]


def _resolution_kpa() -> float:
    """How finely two readings of one gauge can be told apart."""
    return sourced("supply", "gauge_resolution_psi").inside("pressure")


def high_pressure_fall(found: Asked) -> Answer:
    """How far the gauge fell, against the limit; as a flow where the trapped volume is known."""
    limit = _fall_limit(found)
    given = found.numbers("started_kpa", "ended_kpa", "elapsed_min")
    findings = [*found.missing()]
    if given is not None:
        findings += _fall_findings(found, given, limit)
    return judge(
        "Does the high-pressure side hold?", findings, _fall_extras(found, given, limit), GRAVEST
    )


def _fall_limit(found: Asked) -> Limit:
    """The site's, else by the size of the cylinder; the stricter one while nobody says which."""
    size = found.values.get("cylinder", "large")
    usual = next(one for one in limit_choices("high_pressure") if one.key == size)
    return found.limits.get("high_pressure") or usual


def _fall_findings(found: Asked, given: tuple[float, ...], limit: Limit) -> Iterator[Finding]:
    started, ended, minutes = given
    if ended > started + _resolution_kpa():
        yield look_again(
            f"The gauge rose by {pressure_text(ended - started, found.place)}: the cylinder is not "
            "shut, or the room is warming. That is no leak test.",
            "Close the cylinder, let the gauge settle, and start again.",
        )
        return
    if minutes == 0.0:
        yield look_again("No time has passed.", "Wait, then read the gauge again.")
        return
    yield from _against_fall(found, max(started - ended, 0.0), minutes, limit)
    if found.number("trapped_l") is None:
        yield fine("Without the trapped volume the fall cannot be told as a flow.")


def _against_fall(found: Asked, fall_kpa: float, minutes: float, limit: Limit) -> Iterator[Finding]:
    most, within = limit.high or 0.0, limit.within_min or 1.0
    said = (
        f"It fell by {pressure_text(fall_kpa, found.place)} in {minutes_text(minutes)}; the limit "
        f"is {pressure_text(most, found.place)} in {minutes_text(within)}"
    )
    if not passes(limit, fall_kpa * min(within / minutes, 1.0)):
        yield found.failed(f"{said}.", limit.where_from)
    elif minutes < within * (1.0 - 1e-9):
        yield Finding(
            verdict=Verdict.NOT_YET,
            says=f"{said}: not long enough yet.",
            asks=f"What does the gauge say after {minutes_text(within)}?",
        )
    else:
        yield fine(f"{said}.", limit.where_from)


def _fall_extras(found: Asked, given: tuple[float, ...] | None, limit: Limit) -> Extras:
    views = limit_views("high_pressure", limit)
    trapped = found.number("trapped_l")
    if given is None or not trapped or given[2] == 0.0 or given[1] > given[0]:
        return Extras(views=views, unit="mL/min")
    started, ended, minutes = given
    leak = 1000.0 * pressure_decay_leak_l_min(
        trapped, started - ended, minutes, found.place.barometric_kpa
    )
    read_kpa = hypot(*2 * [_resolution_kpa()])
    off = 1000.0 * pressure_decay_leak_l_min(trapped, read_kpa, minutes, found.place.barometric_kpa)
    return Extras(
        views=views,
        value=leak,
        low=max(leak - off, 0.0),
        high=leak + off,
        unit="mL/min",
        covers="two readings of the gauge",
        steps=(
            Step(
                what="Trapped volume × fall ÷ air pressure ÷ time", result=f"{figure(leak)} mL/min"
            ),
        ),
        rests_on=(where_from(sourced("supply", "gauge_resolution_psi")),),
        assumptions=("The gas behaves as an ideal one and keeps its temperature.",),
    )


def reserve(found: Asked) -> Answer:
    """Whether the reserve cylinder holds enough and is closed again."""
    limit, gauge = found.limit("reserve"), found.number("gauge_kpa")
    findings = [*found.missing()]
    if gauge is not None and limit is not None:
        said = f"The reserve reads {pressure_text(gauge, found.place)}; {_least(limit, found)}."
        good = passes(limit, gauge)
        findings.append((fine if good else found.failed)(said, limit.where_from))
    closed = found.yes("closed_again")
    if closed is not None:
        findings.append(fine("Its valve is closed again.") if closed else _LEFT_OPEN)
    extras = Extras(
        views=limit_views("reserve", limit),
        value=None if gauge is None else _in_place(gauge, found),
        unit=found.place.pressure_unit,
    )
    return judge("Is there enough in the reserve?", findings, extras, GRAVEST)


_LEFT_OPEN = look_again("Its valve is open: it may empty unseen.", "Close it and look again.")


def _in_place(kpa: float, found: Asked) -> float:
    return convert(kpa, "kPa", "pressure", found.place.pressure_unit)


def _least(limit: Limit, found: Asked) -> str:
    least = pressure_text(limit.low or 0.0, found.place)
    return f"the limit is {least} or more" if limit.inclusive else f"the limit is above {least}"


def regulator(found: Asked) -> Answer:
    """The outlet with no flow, at working flow, and again after a wait: right, droop, creep."""
    still, flowing = found.number("still_kpa"), found.number("flowing_kpa")
    creeping = found.numbers("still_kpa", "later_kpa", "elapsed_min")
    chain = Chain(
        source=SourceKind.PIPELINE,
        country=_country(found),
        place=found.place,
        regulator=Regulator(
            still_gauge_kpa=_highest(still, found.number("later_kpa")),
            flowing_gauge_kpa=flowing,
            creeps=_creeps(creeping),
            nominal_gauge_kpa=found.number("nominal_kpa"),
        ),
    )
    judged = line_pressure(chain)
    return replace(
        judged,
        verdict=Verdict.NOT_YET
        if judged.settles and judged.verdict is not Verdict.STOP
        else judged.verdict,
        value=None if still is None else _in_place(still, found),
        unit=found.place.pressure_unit,
        steps=tuple(_regulator_steps(still, flowing, creeping)),
        where_from=(*judged.where_from, printed_limit("reading.line_psi")),
    )


def _country(found: Asked) -> str:
    """The line pressures of the international standard where the site has chosen them."""
    chosen = found.limits.get("line")
    return "ISO" if chosen is not None and chosen.key == "international" else ""


def _highest(still: float | None, later: float | None) -> float | None:
    """The higher of both readings with no flow is what the machine has to bear."""
    return still if still is None or later is None else max(still, later)


def _creeps(given: tuple[float, ...] | None) -> bool | None:
    """Whether it climbed by more than the gauge can be read."""
    if given is None or given[2] == 0.0:
        return None
    return given[1] - given[0] > reading_error("line_psi", "pressure")


def _regulator_steps(
    still: float | None, flowing: float | None, creeping: tuple[float, ...] | None
) -> Iterator[Step]:
    if still and flowing is not None:
        share = droop_share(still, flowing)
        yield Step(what="Droop: fall at working flow", result=f"{figure(100.0 * share)} %")
    if creeping is not None and creeping[2] > 0.0:
        climb = creep_kpa_min(*creeping)
        yield Step(what="Creep: change with no flow", result=f"{figure(climb)} kPa/min")


def pipeline_alarm(found: Asked) -> Answer:
    """The line pressure, and whether the oxygen-failure alarm sounds early enough."""
    line, limit = found.number("line_kpa"), found.limit("line")
    findings = [*found.missing()]
    if line is not None and limit is not None:
        findings.append(_line(found, line, limit))
    sounded = found.yes("alarm_sounded")
    if sounded is not None:
        findings += _alarm(found, sounded)
    extras = Extras(
        views=limit_views("oxygen_alarm", found.limit("oxygen_alarm")),
        value=None if line is None else _in_place(line, found),
        unit=found.place.pressure_unit,
    )
    return judge("Are line pressure and oxygen alarm right?", findings, extras, GRAVEST)


def _line(found: Asked, line: float, limit: Limit) -> Finding:
    said = f"The line reads {pressure_text(line, found.place)}; {_between(limit, found)}."
    if passes(limit, line):
        return fine(said, limit.where_from)
    share = sourced("pipeline", "alarm.share").value
    low, high = limit.low or 0.0, limit.high or limit.low or 0.0
    if line < low * (1.0 - share) or line > high * (1.0 + share):
        return found.failed(said, limit.where_from, where_from(sourced("pipeline", "alarm.share")))
    return look_again(said, "Find out why before you rely on it; read it again.", limit.where_from)


def _between(limit: Limit, found: Asked) -> str:
    if limit.high is None:
        return _least(limit, found)
    low, high = (pressure_text(one, found.place) for one in (limit.low or 0.0, limit.high))
    return f"the limits are {low} and {high}"


def _alarm(found: Asked, sounded: bool) -> Iterator[Finding]:
    at, line, limit = (
        found.number("alarm_kpa"),
        found.number("line_kpa"),
        found.limit("oxygen_alarm"),
    )
    if not sounded:
        yield found.failed("The oxygen-failure alarm did not sound.")
    elif at is None:
        yield from found.missing("alarm_kpa")
    elif line is not None and at >= line:
        yield look_again(
            "The alarm is said to sound at or above the line pressure.", "Read both again."
        )
    elif limit is not None:
        said = f"The alarm sounds at {pressure_text(at, found.place)}; {_least(limit, found)}."
        yield (fine if passes(limit, at) else found.failed)(said, limit.where_from)
