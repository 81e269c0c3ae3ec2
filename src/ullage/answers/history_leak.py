"""Does it leak? And is the flow what it was set to? The two answers that can be confused."""

from ullage.answers.answer import Answer, Step, Verdict, WhereFrom
from ullage.answers.believed import leak_rule
from ullage.answers.held import shown_l
from ullage.answers.history_parts import (
    Told,
    assumed_rows,
    chance_text,
    flow_text,
    gauge_span,
    gauge_text,
    leak_ml_min,
    pause_words,
)
from ullage.answers.words import figure, minutes_text, span
from ullage.core.supply.estimate import untold_pauses
from ullage.reference import sourced

__all__ = ["flow_scale_answer", "leak_answer", "lower_than_expected", "told_apart_by"]

_QUESTION = "Does it leak?"
_ONE_SIDED = "one-sided: a leak is below the upper end 9 of 10 times, and there may be none"
_TWO_SIDED = "9 of 10 times, from the errors of gauge, temperature and flow"
#: A reading so far below is said to be low; one of a thousand is, with nothing wrong.
LOW_SD = 3.09
#: Beside a leak that is reported, one below the range that was expected is named too.
_BELOW_RANGE_SD = 1.645
#: Above this correlation leak and flow stand for each other.
_CONFUSED = -0.4
_HABITS = (
    "The gauge is wrong in the same way each time it is read.",
    "A leak runs at one rate while the cylinder valve is open, and not while it is closed.",
    "Nobody used the cylinder unrecorded, but for a flush.",
)


def lower_than_expected(told: Told) -> bool:
    """True when the last reading lies too low for the errors of gauge, room and flow."""
    return told.below_sd > (_BELOW_RANGE_SD if told.found.reported else LOW_SD)


def leak_answer(told: Told) -> Answer:
    """How large a leak is, or may be, and what the last reading said about it."""
    if len(told.known.history.sightings) < 2:
        return _too_little(told)
    spread = told.found.leak_l_min
    low, middle, high = (
        float(round(leak_ml_min(one, told.place)))
        for one in (spread.low, spread.middle, spread.high)
    )
    verdict, todo = _verdict(told)
    return Answer(
        question=_QUESTION,
        value=middle,
        low=low,
        high=high,
        unit="mL/min",
        covers=_TWO_SIDED if spread.low > 0.0 else _ONE_SIDED,
        sentence=_sentence(told),
        reasons=_reasons(told),
        steps=_steps(told),
        where_from=_where_from(told),
        assumptions=(*_HABITS, *_untold(told)),
        cautions=("A cold room lowers the gauge too: 5 °C less is about 2 %.",),
        settles="" if verdict is Verdict.FINE else told_apart_by(told),
        verdict=verdict,
        todo=todo,
    )


def _too_little(told: Told) -> Answer:
    """One reading says nothing of a leak."""
    return Answer(
        question=_QUESTION,
        unit="mL/min",
        sentence="No answer yet: one reading alone cannot tell.",
        reasons=("A leak shows as a fall between two readings.",),
        where_from=_where_from(told),
        settles="What does the gauge say after a pause with all flows off?",
        verdict=Verdict.NOT_YET,
    )


def _verdict(told: Told) -> tuple[Verdict, str]:
    if told.found.reported:
        return (
            Verdict.LOOK_AGAIN,
            "With no animal on it: valve closed, flow off, watch the needle for ten minutes.",
        )
    if lower_than_expected(told):
        return Verdict.LOOK_AGAIN, "Read again, then look for what drew the gas."
    return Verdict.FINE, ""


def _sentence(told: Told) -> str:
    parts = []
    if lower_than_expected(told):
        parts += [_lower(told), _went(told)]
    if told.found.reported:
        parts.append(_leaks(told))
    elif not parts:
        parts.append(_no_leak(told))
    elif told.last.valve_before == "closed":
        parts.append("The valve was closed: look at the valve and its stem.")
    return " ".join(parts)


def _lower(told: Told) -> str:
    expected, read = told.expected_last, told.read_kpa
    if expected is None or read is None:
        return ""
    off = gauge_text(expected.middle_kpa - read, told.place)
    return (
        f"{off} lower than expected. Expected {gauge_span(expected, told.place)},"
        f" read {gauge_text(read, told.place)}."
    )


def _went(told: Told) -> str:
    low, middle, high = told.missing_l
    lost = f"About {figure(round(middle))} L ({figure(round(low))} to {figure(round(high))})"
    if told.flow_in_gap_l > 0.0:
        return f"{lost} more went than the flows that were meant to run."
    rate = flow_text(1000.0 * middle / max(told.gap_min, 1.0))
    return f"{lost} went {pause_words(told.gap_min)} with no case: about {rate}."


def _leaks(told: Told) -> str:
    spread = told.found.leak_l_min
    about = flow_text(leak_ml_min(spread.middle, told.place))
    low, high = (leak_ml_min(one, told.place) for one in (spread.low, spread.high))
    chance = chance_text(told.found.leak_chance)
    return (
        f"It leaks about {about} ({low:.0f} to {high:.0f}) by all readings:"
        f" chance {chance} that it is more than {_rule_text(told)}."
    )


def _no_leak(told: Told) -> str:
    hidden = leak_ml_min(told.found.may_hide_l_min, told.place)
    rule = leak_ml_min(leak_rule().above_l_min, told.place)
    if hidden <= rule:
        return f"No leak shows, and none above {flow_text(hidden)} would go unseen."
    if _confused(told):
        return (
            f"No leak shows yet. One of up to {flow_text(hidden)} and a flowmeter that lets"
            " through more than it shows would look the same so far."
        )
    return f"No leak shows yet. One of up to {flow_text(hidden)} would not have shown so far."


def _confused(told: Told) -> bool:
    """True where a leak and a wrong flow could each explain the readings."""
    return told.found.trade_off < _CONFUSED and told.found.fit.design.meant_l > 0.0


def told_apart_by(told: Told) -> str:
    """What would tell a leak from a wrong flow, as an instruction; empty with nothing to tell."""
    found, rule = told.found, leak_rule()
    if found.may_hide_l_min <= rule.above_l_min and not found.reported:
        return ""
    suspect = found.leak_l_min.middle if found.reported else found.may_hide_l_min
    suspect = max(suspect, rule.above_l_min)
    minutes = 10.0 * round(max(10.0, found.closed_flow_min(suspect)) / 10.0)
    leak = flow_text(leak_ml_min(suspect, told.place))
    moves = "weight" if told.cylinder.gas.liquefied else "gauge"
    return (
        f"With no animal on it: all flows off, cylinder valve open, read before and after"
        f" {minutes_text(minutes)}. A leak of {leak} lowers the {moves}, a wrong flowmeter does"
        f" not.{_sooner(minutes)}"
    )


def _sooner(minutes: float) -> str:
    """Little gas is trapped behind a closed valve, so that a small leak shows soon."""
    if minutes <= 30.0:
        return ""
    trapped = sourced("supply", "trapped_volume_ml").value
    return (
        " Sooner: close the cylinder valve too and watch the needle for ten minutes; only about"
        f" {trapped:.0f} mL is trapped, so that even a small leak after the valve moves it."
    )


def _rule_text(told: Told) -> str:
    return flow_text(leak_ml_min(leak_rule().above_l_min, told.place))


def _reasons(told: Told) -> tuple[str, ...]:
    number = len(told.known.history.sightings)
    readings = "1 reading" if number == 1 else f"{number} readings"
    found = told.found
    reasons = [
        f"{readings} since it was opened, {_meant(told)} meant to flow.",
        f"Chance {chance_text(found.leak_chance)} of a leak above {_rule_text(told)}.",
    ]
    if told.expected_last is not None and told.read_kpa is not None:
        reasons.append(
            f"Expected {gauge_span(told.expected_last, told.place)} at the last reading,"
            f" read {gauge_text(told.read_kpa, told.place)}."
        )
    return tuple(reasons)


def _meant(told: Told) -> str:
    return f"{figure(shown_l(told.found.fit.design.meant_l, told.place))} L"


def _steps(told: Told) -> tuple[Step, ...]:
    expected, read = told.expected_last, told.read_kpa
    if expected is None or read is None or not lower_than_expected(told):
        return ()
    low, middle, high = told.missing_l
    before, after = told.held_l(expected.middle_kpa), told.held_l(read)
    steps = [
        Step(
            what=f"From {gauge_text(expected.middle_kpa, told.place)}, {figure(before)} L, to"
            f" {gauge_text(read, told.place)}, {figure(after)} L",
            result=f"{figure(middle)} L",
            note=f"{span(low, high, 'L')}, by real-gas tables",
        )
    ]
    if told.flow_in_gap_l == 0.0:
        each = [1000.0 * one / max(told.gap_min, 1.0) for one in (low, middle, high)]
        steps.append(
            Step(
                what=f"Over {minutes_text(told.gap_min)} with no case",
                result=f"{figure(each[1])} mL/min",
                note=span(each[0], each[2], "mL/min"),
            )
        )
    return tuple(steps)


def _where_from(told: Told) -> tuple[WhereFrom, ...]:
    number = len(told.known.history.sightings)
    read = "One reading" if number == 1 else f"{number} readings"
    return (
        WhereFrom(source="reading", how_known="seen", text=f"{read} of this cylinder."),
        WhereFrom(
            source="arithmetic",
            how_known="computed",
            text="Every explanation weighed by how well it foretells the readings.",
        ),
        *assumed_rows(
            ("leak_share", "{:.0f} % of cylinders leak, assumed before any reading."),
            ("flush_share", "{:.0f} % have had a flush that nobody wrote down, assumed."),
            ("leak_reported_chance", "A leak is reported from a chance of {:.0f} %."),
        ),
    )


def _untold(told: Told) -> tuple[str, ...]:
    pauses = untold_pauses(told.known.history)
    if not pauses:
        return ()
    return ("Nobody said whether the valve was closed in a pause: both are considered.",)


def flow_scale_answer(told: Told) -> Answer:
    """How much truly went through the flowmeter for each litre that was meant."""
    question = "Is the flow what it was set to?"
    found = told.found
    where = (
        WhereFrom(
            source="reading", how_known="seen", text="Gauge readings against flows written down."
        ),
        *assumed_rows(
            ("setting_sd_share", "A float set anew lands within {:.0f} % (one SD), assumed.")
        ),
    )
    if found.fit.design.meant_l <= 0.0:
        return Answer(
            question=question,
            unit="1",
            sentence="Nothing was meant to flow yet, so the flowmeter cannot be judged.",
            reasons=("No flow is written down since the cylinder was opened.",),
            where_from=where,
            settles="Which flow ran, and from when until when?",
        )
    scale = found.flow_scale
    return Answer(
        question=question,
        value=scale.middle,
        low=scale.low,
        high=scale.high,
        unit="1",
        covers="9 of 10 times, from the errors of gauge, temperature and an unknown leak",
        sentence=_flow_sentence(told),
        reasons=(f"{_meant(told)} were meant to flow.",),
        where_from=where,
        assumptions=("The flowmeter is wrong in the same way at every flow.",),
        cautions=(told_apart_by(told),) if _confused(told) and told_apart_by(told) else (),
    )


def _flow_sentence(told: Told) -> str:
    scale = told.found.flow_scale
    ends = f"{_percent(scale.low)} to {_percent(scale.high)}"
    if scale.low <= 1.0 <= scale.high:
        return f"As far as the gauge can tell, what was set went through ({ends})."
    return f"About {_percent(scale.middle)} than was set went through ({ends})."


def _percent(scale: float) -> str:
    off = round(100.0 * (scale - 1.0))
    if off == 0:
        return "as much as set"
    return f"{abs(off)} % {'more' if off > 0 else 'less'}"
