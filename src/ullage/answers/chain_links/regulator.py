"""Does gas reach the machine at a safe and steady pressure?"""

from collections.abc import Iterator
from dataclasses import dataclass

from ullage.answers.answer import Answer, View, WhereFrom
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
from ullage.answers.chain_links.rows import printed, row_view, rule, where_from
from ullage.answers.chain_things import Chain, RegulatorKind
from ullage.answers.things import Place
from ullage.reference import Sourced, sourced

__all__ = ["LINK", "regulator"]

PRESET = rule("CP-11")
WARN = rule("CP-12")
LEAVE = printed("pipeline", "regulator.leave_alone")
STEADY = "The line pressure is right, still and flowing, and it does not climb."
SURGE = "Shut the flow controls before changing a cylinder: a full one can surge."


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """The line pressure that is fine, and beyond which nobody may begin."""

    fine_low_kpa: float
    fine_high_kpa: float
    stop_low_kpa: float
    stop_high_kpa: float
    rests_on: tuple[WhereFrom, ...]


def regulator(chain: Chain) -> Answer:
    """Whether the regulator is of the right kind and holds its pressure, still and flowing."""
    return judge(
        "Is the line pressure right?",
        _findings(chain),
        Extras(cautions=(SURGE,), views=_views(chain), when_fine=STEADY),
    )


def _findings(chain: Chain) -> Iterator[Finding]:
    if chain.source.has_cylinders:
        yield from _kind(chain)
    yield _still(chain)
    yield _flowing(chain)
    yield _creep(chain)


def _kind(chain: Chain) -> Iterator[Finding]:
    kind = chain.regulator.kind
    if kind is None:
        yield open_question(chain.regulator, "kind")
    elif kind is RegulatorKind.PRESET:
        yield fine("The regulator is preset.", PRESET, LEAVE)
    elif kind is RegulatorKind.ADJUSTABLE:
        yield look_again(
            "The regulator is adjustable: it may give too low or too high a pressure.",
            "Use a preset one; until then read the outlet gauge before each case, and lock it.",
            WARN,
        )
    else:
        yield look_again(
            "The regulator meters flow: behind it the pressure falls as soon as gas is drawn.",
            "Use a preset pressure regulator ahead of a machine.",
            WARN,
            printed("pipeline", "regulator.flow_metering"),
        )


def limits_of(chain: Chain) -> Limits:
    """The limits of the line pressure: the maker's own, else those of the country."""
    nominal = chain.regulator.nominal_gauge_kpa
    entered = WhereFrom(source="entered", how_known="seen", text="Nominal pressure as entered.")
    if nominal is not None:
        return _around(nominal, nominal, entered)
    if chain.country == "GB":
        row = sourced("pipeline", "uk.nominal_kpa")
        return _around(row.inside("pressure"), row.inside("pressure"), where_from(row))
    if chain.country not in {"", "US"}:
        low, high = (sourced("pipeline", f"iso.nominal_{end}_kpa") for end in ("low", "high"))
        return _around(low.inside("pressure"), high.inside("pressure"), where_from(low))
    fine_low, fine_high, stop_low, stop_high = (
        sourced("pipeline", f"regulator.{name}_psi")
        for name in ("fine_low", "fine_high", "stop_low", "stop_high")
    )
    return Limits(
        fine_low_kpa=fine_low.inside("pressure"),
        fine_high_kpa=fine_high.inside("pressure"),
        stop_low_kpa=stop_low.inside("pressure"),
        stop_high_kpa=stop_high.inside("pressure"),
        rests_on=(where_from(fine_low), where_from(stop_high), rule("CP-10")),
    )


def _around(low_kpa: float, high_kpa: float, nominal: WhereFrom) -> Limits:
    """Fine within the accuracy of a regulator, stop beyond the limit of the line alarm."""
    accuracy = sourced("pipeline", "regulator.accuracy_share")
    alarm = sourced("pipeline", "alarm.share")
    return Limits(
        fine_low_kpa=low_kpa * (1 - accuracy.value),
        fine_high_kpa=high_kpa * (1 + accuracy.value),
        stop_low_kpa=low_kpa * (1 - alarm.value),
        stop_high_kpa=high_kpa * (1 + alarm.value),
        rests_on=(nominal, where_from(accuracy), where_from(alarm)),
    )


def _still(chain: Chain) -> Finding:
    read = chain.regulator.still_gauge_kpa
    if read is None:
        return open_question(chain.regulator, "still_gauge_kpa")
    return _against_limits("With no flow", read, chain)


def _flowing(chain: Chain) -> Finding:
    found = chain.regulator
    if found.flowing_gauge_kpa is None:
        return open_question(found, "flowing_gauge_kpa")
    against = _against_limits("At working flow", found.flowing_gauge_kpa, chain)
    if found.still_gauge_kpa is None or against.todo:
        return against
    droop_kpa = found.still_gauge_kpa - found.flowing_gauge_kpa
    limit = sourced("pipeline", "regulator.droop_psi")
    if droop_kpa < limit.inside("pressure"):
        return against
    return look_again(
        f"The pressure droops by {pressure_text(droop_kpa, chain.place)} when gas flows.",
        "Look for a blocked filter, a valve not fully open, or a regulator too small.",
        where_from(limit),
    )


def _against_limits(when: str, gauge_kpa: float, chain: Chain) -> Finding:
    limits, place = limits_of(chain), chain.place
    said = f"{when} the outlet reads {pressure_text(gauge_kpa, place)}"
    if not limits.stop_low_kpa <= gauge_kpa <= limits.stop_high_kpa:
        low, high = (
            pressure_text(one, place) for one in (limits.stop_low_kpa, limits.stop_high_kpa)
        )
        return stop(
            f"{said}; below {low} or above {high} nobody begins.",
            "Take the regulator or outlet out of use; use another supply.",
            *limits.rests_on,
        )
    if not limits.fine_low_kpa <= gauge_kpa <= limits.fine_high_kpa:
        low, high = (
            pressure_text(one, place) for one in (limits.fine_low_kpa, limits.fine_high_kpa)
        )
        return look_again(
            f"{said}; {low} to {high} is usual.",
            "Read it again with the gauge tapped; have it seen to before the next case.",
            *limits.rests_on,
        )
    return fine(f"{said}.", *limits.rests_on)


def _creep(chain: Chain) -> Finding:
    creeps = chain.regulator.creeps
    if creeps is None:
        return open_question(chain.regulator, "creeps")
    if not creeps:
        return fine("The pressure stands still while nothing flows.")
    return stop(
        "The outlet pressure climbs while nothing flows: the regulator leaks inside.",
        "Close the source, let the pressure out, and take the regulator out of use.",
    )


def _views(chain: Chain) -> tuple[View, ...]:
    """What sources print for the line pressure, and the one by which this chain is judged."""
    given = chain.regulator.nominal_gauge_kpa
    sides = (
        ("Common practice, about", "rules", "CP-10"),
        ("Machine's own regulator", "pipeline", "regulator.machine_psi"),
        ("External regulator, veterinary, about", "pipeline", "regulator.veterinary_psi"),
        ("External regulator, another text", "pipeline", "regulator.veterinary_high_psi"),
        ("Ambulance specification", "pipeline", "regulator.ambulance_psi"),
        ("Pipeline, United Kingdom", "pipeline", "uk.nominal_kpa"),
        ("Pipeline, United Kingdom, another text", "pipeline", "uk.nominal_other_kpa"),
        ("Pipeline, international standard, from", "pipeline", "iso.nominal_low_kpa"),
    )
    chosen = {"": "CP-10", "US": "CP-10", "GB": "uk.nominal_kpa"}.get(
        chain.country, "iso.nominal_low_kpa"
    )
    views = tuple(
        row_view(label, row, _said(row, chain.place), chosen=given is None and key == chosen)
        for label, key, row in ((label, key, sourced(name, key)) for label, name, key in sides)
    )
    return views if given is None else (_entered(given, chain.place), *views)


def _entered(nominal_kpa: float, place: Place) -> View:
    return View(
        label="Entered for this regulator or outlet",
        result=pressure_text(nominal_kpa, place),
        source="entered",
        how_known="seen",
        chosen=True,
    )


def _said(row: Sourced, place: Place) -> str:
    return pressure_text(row.inside("pressure"), place)


LINK = Link(name="regulator", title="Regulator and line pressure", answer=regulator)
