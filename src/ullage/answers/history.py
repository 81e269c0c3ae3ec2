"""One cylinder since it was opened: what is left, whether it leaks, whether the flow is true.

Everything is worked out from all its readings together, and once more without the last one, so that
nothing moves silently: what the last reading changed is said in words.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from ullage.answers.answer import Answer, Step, WhereFrom
from ullage.answers.believed import known_of, usable
from ullage.answers.held import policy_of, pressure_text, shown_l
from ullage.answers.history_leak import flow_scale_answer, leak_answer, told_apart_by
from ullage.answers.history_parts import NIGHT_MIN, Told, chance_text, gauge_span, gauge_text
from ullage.answers.history_reserve import future_draws, reserve_answer
from ullage.answers.lasts import cylinder_contents
from ullage.answers.things import Cylinder, FlowPeriod, Place, Reading, ReservePolicy
from ullage.answers.words import figure, span
from ullage.core.supply.estimate import expected_readings, untold_pauses

__all__ = ["CylinderHistory", "ExpectedPoint", "ValveQuestion", "accused", "cylinder_history"]

#: As many points as a curve is drawn with, before the last reading and after it.
_POINTS_BEFORE = 60
_POINTS_AFTER = 12
_COVERS = "9 of 10 times, from the errors of gauge, temperature, water capacity and flow"


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpectedPoint:
    """What the gauge is expected to show at a minute; 9 readings of 10 lie in the range."""

    at_min: float
    low_kpa: float
    middle_kpa: float
    high_kpa: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ValveQuestion:
    """Was the valve closed in a pause? It belongs to the reading that ended the pause."""

    text: str
    help: str
    from_min: float
    reading_at_min: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CylinderHistory:
    """What all readings of a cylinder come to.

    ``reserve_at`` counts minutes from ``now_min``. ``expected`` is a curve on the clock of the
    readings: up to the last reading as it was foretold before that reading was seen, after it as
    it is foretold now; where the two differ the curve steps. ``changed`` says what the last
    reading moved, and why.
    """

    contents: Answer
    leak: Answer
    flow_scale: Answer
    reserve_at: Answer
    now_min: float
    expected: tuple[ExpectedPoint, ...] = ()
    expected_at_last: ExpectedPoint | None = None
    changed: tuple[str, ...] = ()
    question: ValveQuestion | None = None
    told_apart_by: str = ""
    leak_reported: bool = False
    leak_chance: float | None = None


def cylinder_history(
    cylinder: Cylinder,
    readings: Sequence[Reading],
    flows: Sequence[FlowPeriod],
    now_min: float,
    policy: ReservePolicy,
    place: Place,
) -> CylinderHistory:
    """What is left, leak, flow scale and reserve time from all readings of a cylinder.

    Parameters
    ----------
    cylinder : what it is.
    readings : all since it was opened, in any order.
    flows : meant to be running, those that lie ahead too.
    now_min : [min] on the clock of the readings.
    policy : what is kept back.
    place : the room.

    Returns
    -------
    Four answers, the curve to expect, and the question that would tell more.

    >>> from ullage.core.gas import Gas
    >>> alder = Cylinder(gas=Gas.OXYGEN, water_capacity_l=4.7, label="Alder")
    >>> seen = [Reading(at_min=0.0, gauge_kpa=8000.0), Reading(at_min=840.0, gauge_kpa=7100.0)]
    >>> found = cylinder_history(alder, seen, [], 842.0, ReservePolicy(), Place())
    >>> found.question.text
    'Was Alder’s valve closed overnight?'
    """
    known = known_of(cylinder, readings, flows, now_min, place)
    if known is None:
        return _nothing_told(cylinder, readings, now_min, place)
    seen = usable(cylinder, readings)
    told = Told(cylinder=cylinder, readings=seen, known=known, place=place)
    ahead = future_draws(told)
    return CylinderHistory(
        contents=_contents(told),
        leak=leak_answer(told),
        flow_scale=flow_scale_answer(told),
        reserve_at=reserve_answer(told, ahead, policy_of(policy, place)),
        now_min=known.history.now_min,
        expected=_curve(told),
        expected_at_last=_point(told.expected_last) if told.expected_last else None,
        changed=_changed(told),
        question=_question(told),
        told_apart_by=told_apart_by(told),
        leak_reported=told.found.reported,
        leak_chance=told.found.leak_chance,
    )


def accused(histories: Mapping[str, CylinderHistory]) -> tuple[str, ...]:
    """Names of the cylinders of which a leak is reported, the likeliest first."""
    leaking = {name: one.leak_chance or 0.0 for name, one in histories.items() if one.leak_reported}
    return tuple(sorted(leaking, key=lambda name: -leaking[name]))


def _nothing_told(
    cylinder: Cylinder, readings: Sequence[Reading], now_min: float, place: Place
) -> CylinderHistory:
    """No number where no reading tells what is left: only what would settle it."""
    settles = (
        "What does it weigh, and what is its tare?"
        if cylinder.gas.liquefied
        else "What does the gauge say?"
    )
    blank = Answer(
        question="What is left?",
        unit="L",
        sentence="No answer yet: no reading tells what is in it.",
        reasons=(f"No usable reading of {cylinder.gas}.",),
        where_from=(WhereFrom(source="reading", how_known="seen", text="None so far."),),
        settles=settles,
    )
    contents = blank
    if readings and cylinder.gas.liquefied:
        newest = max(readings, key=lambda one: one.at_min)
        contents = cylinder_contents(cylinder, newest, place)
    return CylinderHistory(
        contents=contents,
        leak=replace(blank, question="Does it leak?", unit="mL/min"),
        flow_scale=replace(blank, question="Is the flow what it was set to?", unit="1"),
        reserve_at=replace(blank, question="When is the reserve reached?", unit="min"),
        now_min=now_min,
    )


def _contents(told: Told) -> Answer:
    found, place = told.found, told.place
    low, middle, high = (
        shown_l(one, place)
        for one in (found.contents_l.low, found.contents_l.middle, found.contents_l.high)
    )
    number = len(told.known.history.sightings)
    readings = "its one reading" if number == 1 else f"all {number} readings"
    read = told.read_kpa
    alone = () if read is None else (told.held_l(read),)
    return Answer(
        question="What is left by all readings?",
        value=middle,
        low=low,
        high=high,
        unit="L",
        covers=_COVERS,
        sentence=f"About {figure(middle)} L are left ({span(low, high, 'L')}), by {readings}.",
        reasons=(f"By {readings}, the flows meant to run, and a leak as far as it is likely.",),
        steps=(
            *(
                Step(
                    what=f"{pressure_text(read or 0.0, place)} alone, by real-gas tables",
                    result=f"{figure(one)} L",
                )
                for one in alone
            ),
            Step(what=f"By {readings} together", result=f"{figure(middle)} L"),
        ),
        where_from=(
            WhereFrom(source="reading", how_known="seen", text=f"Readings taken: {number}."),
            WhereFrom(
                source="coolprop",
                how_known="computed",
                text=f"Litres of {told.cylinder.gas} from its equation of state.",
            ),
        ),
        assumptions=("The cylinder valve stays as it is from the last reading to now.",),
    )


def _point(one: object) -> ExpectedPoint:
    return ExpectedPoint(
        **{name: getattr(one, name) for name in ("at_min", "low_kpa", "middle_kpa", "high_kpa")}
    )


def _curve(told: Told) -> tuple[ExpectedPoint, ...]:
    """Foretold before the last reading up to it, and with it from there on."""
    history = told.known.history
    last, now = history.sightings[-1].at_min, history.now_min
    turns = {one.at_min for one in history.sightings}
    turns |= {at for one in history.draws for at in (one.start_min, one.end_min)}
    first = history.sightings[0].at_min
    past = _thinned(sorted({at for at in turns if first <= at <= last}), _POINTS_BEFORE)
    ahead = sorted({last, now, *(at for at in turns if last < at)})
    coming = _thinned(ahead, _POINTS_AFTER)
    after = expected_readings(told.found, coming, nothing_wrong=not told.found.reported)
    return tuple(_point(one) for one in (*told.expected_before(past), *after))


def _thinned(times: Sequence[float], most: int) -> tuple[float, ...]:
    """No more than so many times, the first and the last among them."""
    if len(times) <= most:
        return tuple(times)
    places = {round(i * (len(times) - 1) / (most - 1)) for i in range(most)}
    return tuple(times[place] for place in sorted(places))


def _changed(told: Told) -> tuple[str, ...]:
    """What the last reading moved, and why; nothing moves without being said."""
    before, after, place = told.before, told.found, told.place
    if before is None:
        return ("The first reading: nothing was known before.",)
    was, now = (shown_l(one.contents_l.middle, place) for one in (before, after))
    lines = [f"What is left: {figure(was)} L before the last reading, {figure(now)} L with it."]
    expected, read = told.expected_last, told.read_kpa
    if expected is not None and read is not None:
        lines.append(
            f"Why: it read {gauge_text(read, place)} where"
            f" {gauge_span(expected, place)} was expected."
        )
    if abs(after.leak_chance - before.leak_chance) >= 0.05:
        lines.append(
            f"Chance of a leak: {chance_text(before.leak_chance)} before,"
            f" {chance_text(after.leak_chance)} now."
        )
    moved = after.flow_scale.middle - before.flow_scale.middle
    if abs(moved) >= 0.02:
        lines.append(
            f"Flow scale: {before.flow_scale.middle:.2f} before, {after.flow_scale.middle:.2f} now."
        )
    return tuple(lines)


def _question(told: Told) -> ValveQuestion | None:
    """The latest long pause of which nobody said whether the valve was closed."""
    pauses = [one for one in untold_pauses(told.known.history) if one[1] - one[0] >= 240.0]
    if not pauses:
        return None
    begin, end = pauses[-1]
    name = f"{told.cylinder.label}’s" if told.cylinder.label else "the"
    is_last = end == told.known.history.sightings[-1].at_min
    night = NIGHT_MIN[0] <= end - begin <= NIGHT_MIN[1]
    when = "overnight" if night and is_last else "since the reading before"
    if not is_last:
        when = "in the long pause before the last readings"
    return ValveQuestion(
        text=f"Was {name} valve closed {when}?",
        help=(
            "One touch. Open: the leak may be anywhere as far as the flowmeter. Closed: only the"
            " valve or its stem can lose it."
        ),
        from_min=begin,
        reading_at_min=end,
    )
