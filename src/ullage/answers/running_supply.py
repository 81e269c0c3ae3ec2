"""How long the oxygen of a running case lasts at a flow: by the last readings, less what was used.

What was used since a reading is what was set on the case; it is an estimate until the gauge is
read again.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from ullage.answers.answer import Answer, Step, Verdict, WhereFrom
from ullage.answers.asked import flow_error
from ullage.answers.held import shown_l
from ullage.answers.lasts import cylinder_lasts
from ullage.answers.things import Cylinder, FlowPeriod, Place, Reading, ReservePolicy
from ullage.answers.words import figure, minutes_text
from ullage.core.checks import positive
from ullage.core.errors import RuleBroken

__all__ = ["FittedRead", "OxygenLeft", "flows_offered", "oxygen_left", "used_since"]

_USED = WhereFrom(
    source="entered", how_known="computed", text="Used: each flow that was entered, times its time."
)
_COVERS = "9 of 10 times, from the errors of gauge, temperature, water capacity and flow"
#: Flows that are offered beside the one that runs, as shares of it.
_FACTORS = (0.5, 1.0, 2.0, 4.0)
_LEAST_L_MIN, _MOST_L_MIN = 0.1, 15.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FittedRead:
    """A cylinder that feeds the case, and its last reading that counts."""

    cylinder: Cylinder
    reading: Reading


@dataclass(frozen=True, slots=True, kw_only=True)
class OxygenLeft:
    """All that is known of the oxygen of a case, on one clock of minutes.

    ``drawn`` are the flows of oxygen from the source that were entered, of every case on it;
    ``others_l_min`` is what other cases draw now. ``ends_min`` is the planned end.
    """

    fitted: tuple[FittedRead, ...]
    now_min: float
    drawn: tuple[FlowPeriod, ...] = ()
    others_l_min: float = 0.0
    ends_min: float | None = None
    policy: ReservePolicy = field(default_factory=ReservePolicy)
    place: Place = field(default_factory=Place)

    def __post_init__(self) -> None:
        if not self.fitted:
            raise RuleBroken("No cylinder with a reading feeds this case.")


def used_since(drawn: Sequence[FlowPeriod], from_min: float, to_min: float) -> float:
    """[L] that was drawn from one minute to another, as it was set.

    Parameters
    ----------
    drawn : flows with their times, on the same clock.
    from_min : [min] of the reading.
    to_min : [min] now.

    >>> used_since([FlowPeriod(start_min=0, end_min=60, flow_l_min=1.5)], 20.0, 40.0)
    30.0
    """
    return sum(
        one.flow_l_min * max(min(one.end_min, to_min) - max(one.start_min, from_min), 0.0)
        for one in drawn
    )


def flows_offered(flow_l_min: float) -> tuple[float, ...]:
    """[L/min] flows for which the end of the oxygen is told, the one that runs among them.

    Parameters
    ----------
    flow_l_min : [L/min] that runs, above 0.

    >>> flows_offered(1.2)
    (0.6, 1.2, 2.4, 4.8)
    """
    positive("flow_l_min", flow_l_min)
    found = {float(f"{factor * flow_l_min:.3g}") for factor in _FACTORS}
    kept = {one for one in found if _LEAST_L_MIN <= one <= _MOST_L_MIN}
    return tuple(sorted(kept | {flow_l_min}))


def oxygen_left(known: OxygenLeft, flow_l_min: float) -> Answer:
    """How long the oxygen lasts at a flow from now on, until what is kept back is reached.

    Parameters
    ----------
    known : cylinders with their readings, what was drawn since, the planned end.
    flow_l_min : [L/min] of oxygen on this case from now on, above 0.

    Returns
    -------
    [min] from now. Fine: surely beyond the planned end. Look again: perhaps not. Stop: it ends
    before it, or is used up. Without a planned end there is no verdict until it is used up.

    Raises
    ------
    InvalidQuantity : a flow not above 0.
    RuleBroken : a reading that no such cylinder can show.

    >>> from ullage.core.gas import Gas
    >>> big = Cylinder(gas=Gas.OXYGEN, water_capacity_l=10.0, label="Rowan")
    >>> read = FittedRead(cylinder=big, reading=Reading(at_min=0, gauge_kpa=8800.0))
    >>> drawn = (FlowPeriod(start_min=0, end_min=60, flow_l_min=2.0),)
    >>> known = OxygenLeft(fitted=(read,), now_min=60.0, drawn=drawn)
    >>> oxygen_left(known, 4.0).text
    '2 h 45 min (2 h 09 min to 3 h 31 min)'
    """
    flow = positive("flow_l_min", flow_l_min) + known.others_l_min
    each = [
        cylinder_lasts(one.cylinder, one.reading, flow, known.policy, known.place)
        for one in known.fitted
    ]
    unread = next((one for one in each if one.value is None), None)
    if unread is not None:
        return unread
    oldest = min(one.reading.at_min for one in known.fitted)
    used_l = used_since(known.drawn, oldest, known.now_min)
    ends = _ends(each, used_l, flow)
    left_min = None if known.ends_min is None else max(known.ends_min - known.now_min, 0.0)
    verdict, todo = _verdict(ends, left_min)
    return Answer(
        question=f"How long does the oxygen last at {figure(flow_l_min)} L/min?",
        value=ends[1],
        low=ends[0],
        high=ends[2],
        unit="min",
        covers=_COVERS,
        sentence=_sentence(flow_l_min, ends[1], left_min),
        reasons=tuple(_reasons(known, flow)),
        steps=(
            *(step for one in each for step in one.steps[:_CONTENTS]),
            Step(
                what=f"used since the reading, {minutes_text(known.now_min - oldest)} ago",
                result=f"{figure(shown_l(used_l, known.place))} L",
                note="an estimate, until the gauge is read again",
            ),
            Step(what=f"divided by {figure(flow)} L/min, from now", result=minutes_text(ends[1])),
        ),
        where_from=tuple(
            dict.fromkeys((*(line for one in each for line in one.where_from), _USED))
        ),
        assumptions=tuple(_assumptions(known, each)),
        cautions=each[0].cautions,
        verdict=verdict,
        todo=todo,
    )


#: Nine of ten values of a normal error lie within so many standard deviations.
_NINE_OF_TEN = 1.645

#: The first steps of how long a cylinder lasts tell what is in it and what is kept back.
_CONTENTS = 2


def _ends(each: Sequence[Answer], used_l: float, flow_l_min: float) -> tuple[float, float, float]:
    """[min] low, middle and high from now; the error of the flow counts for what was used too."""
    row = flow_error(flow_l_min)
    error = row.value * (_NINE_OF_TEN if row.key == "flow_sd_share" else 1.0)
    low, middle, high = (sum(_end(one, name) for one in each) for name in ("low", "value", "high"))
    return (
        max(low - used_l * (1.0 + error) / flow_l_min, 0.0),
        max(middle - used_l / flow_l_min, 0.0),
        max(high - used_l * (1.0 - error) / flow_l_min, 0.0),
    )


def _end(one: Answer, name: str) -> float:
    found = getattr(one, name)
    return float(one.value or 0.0) if found is None else float(found)


def _verdict(
    ends: tuple[float, float, float], left_min: float | None
) -> tuple[Verdict | None, str]:
    low, middle, _ = ends
    change = "Make the next cylinder ready, open it, and read its gauge."
    if middle <= 0.0:
        return Verdict.STOP, change
    if left_min is None:
        return None, ""
    if middle < left_min:
        return Verdict.STOP, change
    if low < left_min:
        return Verdict.LOOK_AGAIN, "Read the gauge now, and have the next cylinder at hand."
    return Verdict.FINE, ""


def _sentence(flow_l_min: float, lasts_min: float, left_min: float | None) -> str:
    said = f"At {figure(flow_l_min)} L/min the oxygen lasts {minutes_text(lasts_min)} from now"
    if left_min is None:
        return f"{said}."
    over = lasts_min - left_min
    if over >= 0.0:
        return f"{said}, {minutes_text(over)} beyond the planned end of this case."
    return f"{said}: it ends {minutes_text(-over)} before the planned end of this case."


def _reasons(known: OxygenLeft, flow_l_min: float) -> Sequence[str]:
    said = ["Contents by the last reading, less what was drawn since, less what is kept back."]
    if known.others_l_min:
        said.append(
            f"Other cases draw {figure(known.others_l_min)} L/min from the same source: "
            f"{figure(flow_l_min)} L/min together."
        )
    return said


def _assumptions(known: OxygenLeft, each: Sequence[Answer]) -> Sequence[str]:
    said = list(dict.fromkeys(line for one in each for line in one.assumptions))
    if len(each) > 1:
        said.append("All that was used since the oldest of the readings is taken off.")
    if not known.drawn:
        said.append("No flow was entered since the reading: nothing is taken off.")
    return said
