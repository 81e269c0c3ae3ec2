"""Dials of a planned case: a range with its reasons for each stretch, and the agent they use."""

from dataclasses import replace

from ullage.answers.agent_use import Delivery, agent_used
from ullage.answers.answer import Answer, Step, Verdict, WhereFrom
from ullage.answers.breathing import FlowPhase
from ullage.answers.case_carrier import carrier_of
from ullage.answers.case_course import Course
from ullage.answers.case_things import Care
from ullage.answers.lines import band_together
from ullage.answers.vaporizers import Vaporizer, vaporizer_output
from ullage.answers.words import figure, minutes_text

__all__ = ["agent_answer", "dial_cares", "dialled"]

_QUANTILES = (0.05, 0.95)
_SEEN = 0.02
_REASON = (
    "The dial is a range to start from and no prescription: the animal and the analyser decide."
)


def dialled(course: Course, ratio: float, seed: int) -> tuple[Answer, ...]:
    """One dial for each stretch in which agent is given.

    Parameters
    ----------
    course : what the engine found.
    ratio : [1] delivered over dial at this air pressure.
    seed : [1] of the draws.
    """
    return tuple(_dial(course, number, ratio, seed) for number in range(len(course.planned.asleep)))


def _dial(course: Course, number: int, ratio: float, seed: int) -> Answer:
    planned, stretch = course.planned, course.planned.asleep[number]
    given, fixed = planned.given, planned.given.dial_fraction is not None
    dial = course.delivered[number] / ratio
    output = vaporizer_output(
        Vaporizer(agent=given.agent, dial_fraction=dial, carrier=carrier_of(stretch)), given.place
    )
    low, high = _range(course, number, dial, output)
    at = f"{minutes_text(stretch.start_min)} to {minutes_text(stretch.end_min)}"
    ends = planned.most_fraction / ratio
    short = not fixed and dial >= ends - 1e-9
    told = f"{figure(100 * dial)} %" + (", the end of the dial," if short else "")
    mac = planned.macs[number]
    to = "reach" if stretch.phase is FlowPhase.START else "hold"
    aim = "" if fixed else f" to {to} {figure(given.target_mac or 0.0)} MAC"
    return Answer(
        question=f"Where should the dial stand in {stretch.name}, {at}?",
        value=100 * dial,
        unit="%",
        low=100 * low,
        high=100 * max(min(high, ends), dial),
        covers="animals of this species, MAC, and the accuracy of the vaporizer in this gas",
        sentence=f"{stretch.name[:1].upper()}{stretch.name[1:]}, {at}: {told} at "
        f"{figure(stretch.flow_l_min)} L/min{aim}{_leaves(course.delivered[number], ratio)}.",
        reasons=(_REASON,),
        steps=(
            Step(what="one MAC", result=f"{figure(100 * mac[1])} %"),
            Step(what="aimed at, end-tidal", result=_aimed(course, number)),
            Step(what="leaves the vaporizer", result=f"{figure(100 * course.delivered[number])} %"),
        ),
        where_from=output.where_from,
        assumptions=_assumed(course),
        cautions=("Turn the dial down when the analyser or the animal says so.", *output.cautions),
        verdict=Verdict.LOOK_AGAIN if short else None,
        todo="Raise the flow or allow more time." if short else "",
        draws=course.end_tidal.shape[0],
        seed=seed,
    )


def _leaves(fraction: float, ratio: float) -> str:
    """Away from sea level a dial is not what leaves the vaporizer."""
    if abs(ratio - 1.0) < _SEEN:
        return ""
    return f"; at this air pressure {figure(100 * fraction)} % leaves the vaporizer"


def _aimed(course: Course, number: int) -> str:
    if course.planned.given.target_mac is None:
        return "nothing, the dial was given"
    return f"{figure(100 * course.planned.target_fraction(number))} %"


def _range(course: Course, number: int, dial: float, output: Answer) -> tuple[float, float]:
    """Ends of a dial: what each draw would need, and how far the vaporizer may be off."""
    import numpy as np

    planned = course.planned
    middle = output.value or 1.0
    off = (middle / (output.high or middle), middle / max(output.low or middle, 0.25 * middle))
    if planned.given.dial_fraction is not None:
        return band_together(dial, off)
    target = planned.target_fraction(number)
    reached = course.end_tidal[:, course.at_end(number)]
    wanted = target * course.mac_ratio / np.maximum(reached, 1e-6)
    typical = float(np.median(wanted))
    least, most = (float(one) / typical for one in np.quantile(wanted, _QUANTILES))
    return band_together(dial, (min(least, 1.0), max(most, 1.0)), off)


def _assumed(course: Course) -> tuple[str, ...]:
    planned = course.planned
    said = [*planned.animal.assumptions]
    if planned.nitrous:
        said.append(
            "Fractions of MAC are added; the volumes of all gases are balanced while agent is "
            "given, and left out while waking."
        )
    if planned.balanced:
        said.append("It breathes air before, and the system holds oxygen when it is connected.")
    if any(one.in_chamber for one in planned.stretches):
        said.append(
            "The chamber holds air when the animal is put in, and mixes well; the animal breathes "
            "as one that is awake. Carrying it to the mask takes no time."
        )
    if not planned.system.rebreathes:
        said.append("The gas breathed in is what the vaporizer delivers: no room air, no mixing.")
    return tuple(said)


def dial_cares(course: Course) -> tuple[Care, ...]:
    """A dial that would have to go beyond its end."""
    planned = course.planned
    if planned.given.dial_fraction is not None:
        return ()
    short = [
        one
        for one, fraction in zip(planned.asleep, course.delivered, strict=True)
        if fraction >= planned.most_fraction - 1e-9
    ]
    if not short:
        return ()
    names = ", ".join(
        f"{one.name} from {minutes_text(one.start_min)}" if one.start_min else one.name
        for one in short
    )
    return (
        Care(
            name="dial beyond the device",
            verdict=Verdict.LOOK_AGAIN,
            sentence=f"In {names} the level asks for more than the dial can give at this flow.",
            todo="Raise the flow, allow more time, or aim lower.",
            where_from=WhereFrom(
                source="agents_values_memory",
                how_known="memory",
                text="End of the dial of usual vaporizers.",
            ),
        ),
    )


def agent_answer(course: Course, ratio: float) -> Answer:
    """Liquid agent that the whole case uses.

    Parameters
    ----------
    course : what the engine found.
    ratio : [1] delivered over dial at this air pressure.
    """
    planned = course.planned
    parts = [
        agent_used(
            Delivery(
                agent=planned.given.agent,
                fraction=fraction,
                fresh_gas_l_min=one.flow_l_min,
                minutes=one.minutes,
            )
        )
        for one, fraction in zip(planned.asleep, course.delivered, strict=True)
    ]
    value, low, high = (
        sum(getattr(one, end) or 0.0 for one in parts) for end in ("value", "low", "high")
    )
    steps = tuple(
        Step(
            what=f"{one.name} at {figure(100 * fraction / ratio)} %",
            result=part.number_text,
        )
        for one, fraction, part in zip(planned.asleep, course.delivered, parts, strict=True)
    )
    return replace(
        parts[0],
        question=f"How much {planned.given.agent} does the case use?",
        value=value,
        low=low,
        high=high,
        sentence=f"The case uses {figure(value)} mL of liquid {planned.given.agent}.",
        steps=steps,
        views=(),
    )
