"""Can this supply drive the ventilator?"""

from collections.abc import Iterator

from ullage.answers.answer import Answer
from ullage.answers.chain_links.judge import (
    Extras,
    Finding,
    Link,
    fine,
    from_memory,
    judge,
    look_again,
    open_question,
    pressure_text,
    stop,
)
from ullage.answers.chain_links.rows import printed, rule
from ullage.answers.chain_things import Chain, RegulatorKind
from ullage.answers.plan import SourceKind
from ullage.answers.words import number

__all__ = ["LINK", "ventilator_need"]

STARVES = rule("CP-12")
WEAK = from_memory("The outlet pressure of a concentrator is far below 50 psi.")
AMBULANCE = printed("pipeline", "regulator.ambulance_flow_l_min")
DRIVE = "A ventilator driven by gas draws more than the fresh gas flow: plan its drive gas too."


def ventilator_need(chain: Chain) -> Answer:
    """Whether pressure and flow of this chain are what the ventilator asks for."""
    driven = chain.ventilator.fitted and chain.ventilator.gas_driven is not False
    return judge(
        "Can it drive the ventilator?",
        _findings(chain),
        Extras(cautions=(DRIVE,) if driven else ()),
    )


def _findings(chain: Chain) -> Iterator[Finding]:
    found = chain.ventilator
    if found.fitted is None:
        yield open_question(found, "fitted")
    elif not found.fitted:
        yield fine("No ventilator is fed from this chain.")
    elif found.gas_driven is None:
        yield open_question(found, "gas_driven")
    elif not found.gas_driven:
        yield fine("The ventilator is not driven by gas.")
    elif chain.source is SourceKind.CONCENTRATOR:
        yield stop(
            "A concentrator cannot drive a ventilator: its pressure is too low.",
            "Feed the ventilator from a cylinder or a pipeline, or breathe by hand.",
            WEAK,
        )
    else:
        yield _pressure(chain)
        yield _flow(chain)
        yield from _regulator(chain)


def _pressure(chain: Chain) -> Finding:
    found, outlet = chain.ventilator, chain.regulator
    given = outlet.flowing_gauge_kpa
    given = outlet.still_gauge_kpa if given is None else given
    if found.lowest_gauge_kpa is None:
        return open_question(found, "lowest_gauge_kpa")
    if given is None:
        return open_question(outlet, "flowing_gauge_kpa")
    said, asked = (pressure_text(one, chain.place) for one in (given, found.lowest_gauge_kpa))
    if given < found.lowest_gauge_kpa:
        return stop(
            f"The supply gives {said} and the ventilator asks {asked}.",
            "Do not ventilate by machine until the supply pressure is right.",
            STARVES,
        )
    if found.highest_gauge_kpa is not None and given > found.highest_gauge_kpa:
        most = pressure_text(found.highest_gauge_kpa, chain.place)
        return stop(
            f"The supply gives {said}; the ventilator stands at most {most}.",
            "Take the ventilator off this supply and have the regulator seen to.",
        )
    return fine(f"The supply gives {said}, and the ventilator asks {asked}.")


def _flow(chain: Chain) -> Finding:
    found = chain.ventilator
    if found.peak_flow_l_min is None:
        return open_question(found, "peak_flow_l_min")
    if found.supply_flow_l_min is None:
        return open_question(found, "supply_flow_l_min")
    asked = number(found.peak_flow_l_min, "L/min")
    given = number(found.supply_flow_l_min, "L/min")
    if found.supply_flow_l_min < found.peak_flow_l_min:
        return stop(
            f"The supply can give {given}; the ventilator draws {asked} at its peak.",
            "Use a preset regulator that gives the flow, or do not ventilate by machine.",
            STARVES,
            AMBULANCE,
        )
    return fine(f"The supply can give {given}; the ventilator draws {asked} at its peak.")


def _regulator(chain: Chain) -> Iterator[Finding]:
    kind = chain.regulator.kind
    if kind in {RegulatorKind.ADJUSTABLE, RegulatorKind.FLOW_METERING}:
        yield look_again(
            f"The regulator is {kind}: it can starve the ventilator.",
            "Use a preset regulator ahead of a ventilator.",
            STARVES,
        )


LINK = Link(name="ventilator", title="Ventilator", answer=ventilator_need)
