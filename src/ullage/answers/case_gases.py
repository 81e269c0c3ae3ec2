"""Oxygen, nitrous oxide and a chamber in a planned case: what is breathed and left over."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ullage.answers.answer import Answer, Step, Verdict, WhereFrom
from ullage.answers.breathing import FlowPhase
from ullage.answers.case_cares import after_nitrous_min
from ullage.answers.case_course import Course, for_many, middle_levels
from ullage.answers.case_engine import NITROGEN, NITROUS_OXIDE, OXYGEN, Engine
from ullage.answers.case_things import Care
from ullage.answers.kinetics import band_of_kind
from ullage.answers.lines import line_of
from ullage.answers.words import figure, minutes_text
from ullage.reference import sourced

if TYPE_CHECKING:
    from ullage.core.kinetics import Floats

__all__ = ["gas_answers", "gas_cares"]

_ENGINE = WhereFrom(
    source="uptake_base", how_known="computed", text="Volumes of all gases, sections 2.3 and 2.4."
)

#: Animals and minutes in which what nitrous oxide does to oxygen is followed.
_DRAWS = 16
_NO_FALL = 0.05  # points
_LOOKED_MIN = (0.5, 1.0, 2.0, 3.0, 5.0, 10.0)


def gas_answers(course: Course, seed: int) -> dict[str, Answer]:
    """Oxygen breathed in; with nitrous oxide its level and what it does; what a chamber holds.

    Parameters
    ----------
    course : what the engine found.
    seed : [1] of the draws.
    """
    found = {"inspired_oxygen": _inspired_oxygen(course, seed)}
    if any(one.nitrous_oxide_l_min for one in course.planned.asleep):
        found["nitrous_level"] = _nitrous_level(course, seed)
        found["second_gas"] = _second_gas(course)
        found["diffusion"] = _diffusion(course, seed)
    if any(one.in_chamber for one in course.planned.asleep):
        found["chamber_holds"] = _chamber_holds(course, seed)
    return found


def _inspired_oxygen(course: Course, seed: int) -> Answer:
    low, value, high = course.levels[-1].inspired_oxygen
    boxed = any(one.in_chamber for one in course.planned.asleep)
    seen = course.levels[course.at_end(0) :] if boxed else course.levels[1:]
    least = min(seen, key=lambda one: one.inspired_oxygen[1])
    steps = [
        Step(
            what=f"at the end of {one.name}, {minutes_text(one.end_min)}",
            result=f"{figure(course.levels[course.at_end(number)].inspired_oxygen[1])} %",
        )
        for number, one in enumerate(course.planned.asleep)
    ]
    lowest = f"{figure(least.inspired_oxygen[1])} % after {minutes_text(least.at_min)}"
    return Answer(
        question="How much oxygen is in the gas breathed in when the agent is turned off?",
        value=value,
        unit="%",
        low=low,
        high=high,
        covers="animals of this species, 9 of 10",
        sentence=f"{figure(value)} % oxygen is breathed in at the end; the least is {lowest}.",
        reasons=(
            "What is breathed again has lost oxygen and gained what the animal breathes out.",
        ),
        steps=tuple(steps),
        where_from=(_ENGINE, *course.planned.animal["oxygen_use_l_min"].where_from),
        assumptions=("No room air is drawn in, and nothing leaks.",),
        cautions=_forecast(course),
        draws=course.oxygen.shape[0],
        seed=seed,
    )


def _forecast(course: Course) -> tuple[str, ...]:
    """On a system without absorber nothing is breathed again that has lost oxygen."""
    if not course.planned.system.rebreathes and not course.planned.nitrous:
        return ()
    return ("Measure inspired oxygen at low flow: this is a forecast.",)


def _nitrous_level(course: Course, seed: int) -> Answer:
    low, value, high = course.levels[-1].nitrous_oxide or (0.0, 0.0, 0.0)
    return Answer(
        question="Which end-tidal level of nitrous oxide when the agent is turned off?",
        value=value,
        unit="%",
        low=low,
        high=high,
        covers="animals of this species, 9 of 10, and the model itself",
        sentence=f"The end-tidal level of nitrous oxide is expected at {figure(value)} %.",
        reasons=("All gases are followed together, so that their volumes add up.",),
        where_from=(_ENGINE,),
        draws=course.end_tidal.shape[0],
        seed=seed,
    )


def _second_gas(course: Course) -> Answer:
    """What the volume of nitrous oxide adds to the level of the agent, in the middle animal."""
    import numpy as np

    agent = course.planned.given.agent
    first = next(one for one in course.planned.asleep if one.nitrous_oxide_l_min)
    with_it, without = middle_levels(course.planned, course.delivered)
    value = 100.0 * (with_it / without - 1.0)
    low, high = band_of_kind("amount", value, np.ones(1)) if value > 0.0 else (None, None)
    return Answer(
        question=f"How much does nitrous oxide raise the level of {agent} in {first.name}?",
        value=value,
        unit="% of it",
        low=low,
        high=high,
        covers="the error of the engine; the middle animal alone" if value > 0.0 else "",
        sentence=f"After {minutes_text(first.end_min)} the end-tidal level of {agent} is "
        f"{figure(value)} % higher than with nitrogen in place of nitrous oxide.",
        reasons=("More gas is drawn in where nitrous oxide is taken up, and the rest is denser.",),
        where_from=(_ENGINE,),
        assumptions=("Beside nitrogen it breathes as deeply as beside nitrous oxide.",),
    )


def _diffusion(course: Course, seed: int) -> Answer:
    """How much lower oxygen in the lung would be if room air was breathed at once."""
    import numpy as np

    with_it, without = (np.maximum(_on_air(course, emptied=one), 0.0) for one in (False, True))
    falls = 100.0 * np.median(without - with_it, axis=0)
    worst = int(np.argmax(falls))
    value, at = max(float(falls[worst]), 0.0), minutes_text(_LOOKED_MIN[worst])
    drawn = np.maximum(100.0 * (without - with_it).max(axis=1), 0.01)
    told = value > _NO_FALL
    low, high = band_of_kind("level", value, drawn) if told else (None, None)
    least, minutes = sourced("case", "oxygen.after_nitrous_min"), after_nitrous_min(course.planned)
    enough = minutes >= least.value
    left, other = (100.0 * float(np.median(one[:, worst])) for one in (with_it, without))
    return Answer(
        question="How much lower is oxygen in the lung on room air right after nitrous oxide?",
        value=value,
        unit="points",
        low=low,
        high=high,
        covers="animals of this species, 9 of 10, and the model itself" if told else "",
        sentence=f"On room air right after nitrous oxide, oxygen in the lung would be "
        f"{figure(value)} points lower after {at} than without it: {figure(left)} % in place of "
        f"{figure(other)} %.",
        reasons=("Nitrous oxide comes back into the lung faster than nitrogen leaves it.",),
        steps=tuple(
            Step(what=f"lower after {minutes_text(one)}", result=f"{figure(max(fall, 0.0))} points")
            for one, fall in zip(_LOOKED_MIN, falls.tolist(), strict=True)
        ),
        where_from=(_ENGINE, line_of(least)),
        assumptions=("It breathes by itself, as weakly as the depth at the end makes it.",),
        cautions=("Breathing that is weaker still, or shut off, makes it worse than told here.",),
        verdict=Verdict.FINE if enough else Verdict.STOP,
        todo="" if enough else f"Plan {figure(least.value)} min of oxygen alone or more.",
        draws=drawn.size,
        seed=seed,
    )


def _on_air(course: Course, *, emptied: bool) -> "Floats":
    """[1] oxygen in the alveoli on room air; emptied, with nitrogen in place of nitrous oxide."""
    import numpy as np

    from ullage.core.kinetics import FA, Run, Setting, feedback_course

    planned = course.planned
    waking = next(one for one in planned.stretches if one.phase is FlowPhase.WAKING)
    names = (*course.engine.names, OXYGEN)
    engine = Engine(
        planned, min(_DRAWS, course.last.shape[0]), course.engine.drawn.seed or 0, names
    )
    model = engine.in_room(waking)
    start = _with_oxygen(course.last[: model.body.count])
    if emptied:
        gone, takes = (engine.names.index(one) for one in (NITROUS_OXIDE, NITROGEN))
        start[:, takes] += start[:, gone]
        start[:, gone] = 0.0
    air = {OXYGEN: 0.209, NITROGEN: 0.791}
    setting = Setting(start_min=0.0, fresh_gas_l_min=1.0, delivered=air)
    run = Run(settings=[setting], times_min=np.array(_LOOKED_MIN), start=start)
    found: Floats = feedback_course(model, run, for_many(balanced=True))[
        :, :, engine.names.index(OXYGEN), FA
    ]
    return found


def _with_oxygen(states: "Floats") -> "Floats":
    """States (n, g, 12) with oxygen as one more gas: what the others and carbon dioxide leave."""
    import numpy as np

    from ullage.core.kinetics import FA, FI, FR

    oxygen = np.zeros((states.shape[0], 1, states.shape[2]))
    oxygen[:, 0, [FI, FR, FA]] = 1.0 - states[:, :, [FI, FR, FA]].sum(axis=1)
    lung, body = (sourced("case", f"start.{one}_share").value for one in ("lung", "body"))
    oxygen[:, 0, FA] -= 1.0 - lung - body  # as much carbon dioxide as an animal on air has
    return np.concatenate([states, oxygen], axis=1)


def _chamber_holds(course: Course, seed: int) -> Answer:
    """Vapour in the chamber when the animal is taken out."""
    planned, chamber = course.planned, course.planned.given.case.chamber
    litres = chamber.volume_l if chamber is not None else 0.0
    boxed = [number for number, one in enumerate(planned.asleep) if one.in_chamber]
    low, value, high = course.levels[course.at_end(boxed[-1])].inspired
    purge = sourced("breathing", "chamber.purge_volumes")
    flow = planned.asleep[boxed[-1]].flow_l_min
    agent = planned.given.agent
    return Answer(
        question=f"How much {agent} is in the chamber when the animal is taken out?",
        value=10.0 * value * litres,
        unit="mL of vapour",
        low=10.0 * low * litres,
        high=10.0 * high * litres,
        covers="animals of this species, 9 of 10, and the model itself",
        sentence=f"At {figure(value)} % a chamber of {figure(litres)} L holds "
        f"{figure(10 * value * litres)} mL of {agent} vapour, all of which goes into the room "
        "when it is opened without a purge.",
        reasons=("What is in a chamber is its level times its volume.",),
        steps=(
            Step(what="level in the chamber", result=f"{figure(value)} %"),
            Step(
                what=f"purge at {figure(flow)} L/min",
                result=minutes_text(purge.value * litres / flow),
            ),
        ),
        where_from=(_ENGINE, line_of(purge)),
        assumptions=("The chamber mixes well; real ones do not.",),
        cautions=(
            "In the chamber it breathes agent all the time: watch it, and take it out when still.",
        ),
        draws=course.end_tidal.shape[0],
        seed=seed,
    )


def gas_cares(course: Course) -> Iterator[Care]:
    """Oxygen that falls below its least while the case runs, from the time the level is reached.

    Parameters
    ----------
    course : what the engine found.
    """
    least, hypoxic = (sourced("case", f"oxygen.{one}_share") for one in ("least", "hypoxic"))
    rest = course.levels[course.at_end(0) :]
    worst = min(rest, key=lambda one: one.inspired_oxygen[0])
    low, value, _ = worst.inspired_oxygen
    if low >= 100 * least.value:
        return
    stop = value < 100 * hypoxic.value
    yield Care(
        name="hypoxic mixture" if stop else "oxygen below 30 %",
        verdict=Verdict.STOP if stop else Verdict.LOOK_AGAIN,
        sentence=f"{figure(value)} % oxygen is expected in the gas breathed after "
        f"{minutes_text(worst.at_min)}, and {figure(low)} % in one animal of twenty.",
        todo="Give more oxygen and measure the inspired fraction.",
        where_from=line_of(hypoxic if stop else least),
    )
