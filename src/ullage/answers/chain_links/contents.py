"""Is there enough in the cylinder for the plan, and may one begin with it?"""

from collections.abc import Iterator
from dataclasses import replace

from ullage.answers.answer import Answer, Step, Verdict
from ullage.answers.chain_links.judge import (
    Extras,
    Finding,
    Link,
    fine,
    judge,
    look_again,
    open_question,
    pressure_text,
    stop,
)
from ullage.answers.chain_links.rows import where_from
from ullage.answers.chain_things import Chain, Contents
from ullage.answers.held import policy_of, shown_l
from ullage.answers.lasts import cylinder_contents
from ullage.answers.things import Cylinder, Reading
from ullage.answers.words import number
from ullage.core.gas import Gas
from ullage.reference import sourced

__all__ = ["LINK", "contents"]

NEEDED = "The plan's need holds drive gas, flushes and what is kept back for minutes."
WARM_UP = "A cylinder from the cold or the sun reads wrongly until it has the warmth of the room."


def contents(chain: Chain) -> Answer:
    """Whether what is in the cylinder covers the plan and what is kept back."""
    found = chain.contents
    question = "Is there enough in the cylinder?"
    if found.cylinder is None or found.reading is None:
        missing = (name for name in ("cylinder", "reading") if getattr(found, name) is None)
        return judge(question, [open_question(found, name) for name in missing])
    inside = cylinder_contents(found.cylinder, found.reading, chain.place)
    kept_l = _kept_l(chain, found.cylinder, found.reading)
    extras = Extras(
        value=inside.value,
        low=inside.low,
        high=inside.high,
        unit=inside.unit,
        covers=inside.covers,
        steps=(*inside.steps, *_steps(chain, kept_l)),
        assumptions=(*inside.assumptions, *((NEEDED,) if found.needed_l is not None else ())),
        cautions=(*inside.cautions, WARM_UP),
        rests_on=(*inside.where_from, *policy_of(found.policy, chain.place).where_from),
    )
    return judge(question, _findings(chain, inside, kept_l), extras)


def _findings(chain: Chain, inside: Answer, kept_l: float) -> Iterator[Finding]:
    found = chain.contents
    reading = found.reading
    if found.needed_l is None:
        yield open_question(found, "needed_l")
    elif inside.low is not None and inside.high is not None:
        needed_l = shown_l(found.needed_l, chain.place)
        yield _against_plan(inside.low - kept_l, inside.high - kept_l, needed_l)
    if inside.settles:
        yield Finding(verdict=Verdict.NOT_YET, says=inside.sentence, asks=inside.settles)
    if reading is not None and reading.gauge_kpa is not None:
        yield from _by_gauge(chain, reading.gauge_kpa)


def _by_gauge(chain: Chain, gauge_kpa: float) -> Iterator[Finding]:
    """The two printed readings below which nobody begins, and below which it counts as empty."""
    if chain.gas.liquefied:
        yield from _liquefied(chain, gauge_kpa)
        return
    said = pressure_text(gauge_kpa, chain.place)
    empty = sourced("supply", "residual_psi")
    if gauge_kpa < empty.inside("pressure"):
        says = f"The gauge reads {said}: change the cylinder."
        yield stop(says, "Fit a full one.", where_from(empty))
    elif chain.gas is Gas.OXYGEN:
        yield from _begin(chain, gauge_kpa)


def _begin(chain: Chain, gauge_kpa: float) -> Iterator[Finding]:
    found = chain.contents
    row = sourced("supply", "begin_psi")
    begin_kpa = policy_of(found.policy, chain.place).begin_kpa
    said, half = (pressure_text(one, chain.place) for one in (gauge_kpa, begin_kpa))
    if gauge_kpa >= begin_kpa:
        yield fine(f"The gauge reads {said}; from {half} on one may begin.", where_from(row))
    elif found.second_source is None:
        yield open_question(found, "second_source")
    elif found.second_source:
        yield fine(f"The gauge reads {said}; a second source stands ready.", where_from(row))
    else:
        yield stop(
            f"The gauge reads {said}, below about {half}, and there is no second source.",
            "Fit a full one, or have a second source ready, before you begin.",
            where_from(row),
        )


def _liquefied(chain: Chain, gauge_kpa: float) -> Iterator[Finding]:
    row = sourced("supply", "begin_liquefied_psi")
    if gauge_kpa < row.inside("pressure"):
        said = pressure_text(gauge_kpa, chain.place)
        yield look_again(
            f"The gauge reads {said}: the liquid is gone and the pressure falls fast from here.",
            "Fit a full one before a long case.",
            where_from(row),
        )


def _against_plan(low_l: float, high_l: float, needed_l: float) -> Finding:
    least, most, needed = (number(max(one, 0.0), "L") for one in (low_l, high_l, needed_l))
    if low_l >= needed_l:
        return fine(f"At least {least} are usable and the plan needs {needed}.")
    if high_l < needed_l:
        return stop(
            f"At most {most} are usable and the plan needs {needed}.",
            "Fit a full one before the case in which it would run out.",
        )
    return look_again(
        f"Between {least} and {most} are usable and the plan needs {needed}.",
        "Fit a full one first, or plan the change-over before a case.",
    )


def _kept_l(chain: Chain, cylinder: Cylinder, reading: Reading) -> float:
    """[L] as the place counts them: what is left at the pressure kept back, or the volume."""
    rule = policy_of(chain.contents.policy, chain.place).rule
    by_volume_l = shown_l(rule.volume_l, chain.place)
    if not rule.pressure_kpa or cylinder.gas.liquefied:
        return by_volume_l
    at_pressure = replace(reading, gauge_kpa=rule.pressure_kpa, weight_kg=None)
    left = cylinder_contents(cylinder, at_pressure, chain.place)
    return max(by_volume_l, left.value or 0.0)


def _steps(chain: Chain, kept_l: float) -> Iterator[Step]:
    found: Contents = chain.contents
    words = policy_of(found.policy, chain.place).words
    yield Step(what="Kept back in the cylinder", result=number(kept_l, "L"), note=words)
    if found.needed_l is not None:
        needed_l = shown_l(found.needed_l, chain.place)
        yield Step(what="The plan needs", result=number(needed_l, "L"), note=NEEDED)


LINK = Link(
    name="contents",
    title="Contents against the plan",
    answer=contents,
    applies=lambda chain: chain.source.has_cylinders,
)
