"""Timers and flows: the suction bulb, the oxygen flush, and the oxygen analyser."""

from collections.abc import Iterator

from ullage.answers.answer import Answer, Step
from ullage.answers.chain_links.judge import Extras, Finding, fine, judge, look_again
from ullage.answers.checks.asked import GRAVEST, Asked, printed_limit, reading_error
from ullage.answers.checks.limits import limit_views, passes
from ullage.answers.checks.things import Limit
from ullage.answers.words import figure
from ullage.core.breathing import filling_flow_l_min
from ullage.reference import sourced

__all__ = ["flush", "oxygen_analyser", "suction_bulb"]

_BULB_FINDS = "A bulb makes about -65 mmHg and finds about 30 mL/min (from memory)."


def suction_bulb(found: Asked) -> Answer:
    """How long the bulb stays flat, vaporizers off and with each one on."""
    limit = found.limit("suction_bulb")
    times = {
        "vaporizers off": found.number("flat_off_min"),
        "each vaporizer on": found.number("flat_on_min"),
    }
    known = {when: one for when, one in times.items() if one is not None}
    findings = [*found.missing()]
    if limit is not None:
        findings += [_flat(found, when, one, limit) for when, one in known.items()]
    extras = Extras(
        value=60.0 * min(known.values()) if len(known) == len(times) else None,
        unit="s",
        views=limit_views("suction_bulb", limit),
        rests_on=(printed_limit("bulb.flat_s"),),
        assumptions=(_BULB_FINDS,),
    )
    return judge("Does the low-pressure side hold a bulb flat?", findings, extras, GRAVEST)


def _flat(found: Asked, when: str, minutes: float, limit: Limit) -> Finding:
    least = figure(60.0 * (limit.low or 0.0))
    said = f"With {when} it stayed flat {figure(60.0 * minutes)} s; the limit is {least} s or more."
    return (fine if passes(limit, minutes) else found.failed)(said, limit.where_from)


def flush(found: Asked) -> Answer:
    """The flow of the oxygen flush, from a bag and a timer."""
    limit, given = found.limit("flush"), found.numbers("bag_l", "elapsed_min")
    findings = [*found.missing()]
    extras = Extras(views=limit_views("flush", limit), unit="L/min")
    if given is not None and limit is not None:
        bag, minutes = given
        late = reading_error("time_s", "time")
        if bag <= 0.0 or minutes <= late:
            findings.append(_TOO_SHORT)
        else:
            findings.append(_against_flush(found, bag, minutes, limit))
            extras = _flush_extras(found, bag, minutes)
    return judge("How much does the flush give?", findings, extras, GRAVEST)


_TOO_SHORT = look_again(
    "That is too short to time by hand.", "Use a larger bag: 3 L fills in 2.4 to 5.1 s."
)


def _flush_range(bag: float, minutes: float) -> tuple[float, float]:
    """The flow if timer and volume are off either way."""
    late, share = reading_error("time_s", "time"), reading_error("bag_share", "share")
    low = filling_flow_l_min(bag * (1.0 - share), minutes + late)
    return low, filling_flow_l_min(bag * (1.0 + share), minutes - late)


def _against_flush(found: Asked, bag: float, minutes: float, limit: Limit) -> Finding:
    flow, (low, high) = filling_flow_l_min(bag, minutes), _flush_range(bag, minutes)
    said = (
        f"The flush gives {figure(flow)} L/min ({figure(low)} to {figure(high)}); the limits are "
        f"{figure(limit.low or 0.0)} and {figure(limit.high or 0.0)} L/min."
    )
    if passes(limit, flow):
        return fine(said, limit.where_from)
    if high < (limit.low or 0.0) or low > (limit.high or high):
        return found.failed(said, limit.where_from)
    return look_again(said, "Time it again with a larger bag.", limit.where_from)


def _flush_extras(found: Asked, bag: float, minutes: float) -> Extras:
    low, high = _flush_range(bag, minutes)
    flow = filling_flow_l_min(bag, minutes)
    return Extras(
        views=limit_views("flush", found.limit("flush")),
        value=flow,
        low=low,
        high=high,
        unit="L/min",
        covers="errors of the timer and of when the bag is full",
        steps=(
            Step(
                what=f"{figure(bag)} L ÷ {figure(60.0 * minutes)} s", result=f"{figure(flow)} L/min"
            ),
        ),
        rests_on=(printed_limit("reading.time_s"), printed_limit("reading.bag_share")),
    )


def oxygen_analyser(found: Asked) -> Answer:
    """The analyser at two points: room air first, then oxygen."""
    air, oxygen = found.number("air_fraction"), found.number("oxygen_fraction")
    findings = [*found.missing()]
    if air is not None:
        findings.append(_in_air(air))
    if oxygen is not None:
        findings += _in_oxygen(found, oxygen, air)
    extras = Extras(
        views=limit_views("analyser", found.limit("analyser")),
        value=None if oxygen is None else 100.0 * oxygen,
        unit="%",
    )
    return judge("Does the oxygen analyser read true?", findings, extras, GRAVEST)


def _in_air(air: float) -> Finding:
    true, width = (
        sourced("check_limits", key) for key in ("analyser.air_share", "analyser.air_width_share")
    )
    rests_on = printed_limit("analyser.air_share"), printed_limit("analyser.air_width_share")
    said = f"In room air it reads {figure(100.0 * air)} %; 21 % is true"
    if abs(air - true.value) <= width.value * (1.0 + 1e-9):
        return fine(f"{said}.", *rests_on)
    return look_again(
        f"{said}, and {figure(100.0 * width.value)} % either way is allowed here.",
        "Calibrate it in air by its maker's instructions, then do both points again.",
        *rests_on,
    )


def _in_oxygen(found: Asked, oxygen: float, air: float | None) -> Iterator[Finding]:
    limit = found.limit("analyser")
    if limit is None:
        return
    said = f"In oxygen it reads {figure(100.0 * oxygen)} %; above 90 % is wanted"
    if passes(limit, oxygen):
        yield fine(f"{said}.", limit.where_from)
        return
    swapped = air is not None and air > oxygen
    doubt = " The two readings may be swapped." if swapped else ""
    yield found.failed(
        f"{said}: either the analyser is wrong or this is not oxygen.{doubt}",
        limit.where_from,
    )
