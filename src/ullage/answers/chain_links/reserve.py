"""Is a full reserve cylinder ready, with its wrench, and its valve closed?"""

from collections.abc import Iterator

from ullage.answers.answer import Answer, WhereFrom
from ullage.answers.chain_links.judge import (
    Extras,
    Finding,
    Link,
    common,
    fine,
    judge,
    look_again,
    open_question,
    pressure_text,
    stop,
)
from ullage.answers.chain_links.rows import printed, where_from
from ullage.answers.chain_things import Chain
from ullage.reference import sourced

__all__ = ["LINK", "reserve_cylinder"]

RULE = common("A full reserve cylinder with its wrench on the machine, and its valve closed.")
CLOSED = printed("pipeline", "regulator.reserve_closed")


def reserve_cylinder(chain: Chain) -> Answer:
    """Whether the reserve is there, full, and closed, with its wrench."""
    share = sourced("chain", "reserve_full_share")
    full = f"A reserve counts as full from {100 * share.value:g} % of its filling pressure on."
    return judge(
        "Is the reserve cylinder ready?",
        _findings(chain),
        Extras(
            assumptions=(full,) if chain.reserve.gauge_kpa is not None else (),
            when_fine="A full reserve stands ready, closed, with its wrench.",
        ),
    )


def _findings(chain: Chain) -> Iterator[Finding]:
    found = chain.reserve
    if found.present is None:
        yield open_question(found, "present")
        return
    if not found.present:
        yield _absent(chain)
        return
    yield _filled(chain)
    yield _wrench(chain)
    yield _valve(chain)


def _absent(chain: Chain) -> Finding:
    if chain.reserve.single_source_allowed:
        return look_again(
            "There is no reserve cylinder; the site lets this place run from one source.",
            "Have the self-inflating bag at hand, and know where the next cylinder stands.",
            WhereFrom(source="site_rule", how_known="site", text="One source is allowed here."),
        )
    return stop(
        "There is no reserve cylinder.", "Fit a full one with its wrench before beginning.", RULE
    )


def _filled(chain: Chain) -> Finding:
    found = chain.reserve
    if found.gauge_kpa is None:
        return open_question(found, "gauge_kpa")
    read = pressure_text(found.gauge_kpa, chain.place)
    empty, begin = sourced("supply", "residual_psi"), sourced("supply", "begin_psi")
    if found.gauge_kpa < empty.inside("pressure"):
        return stop(f"The reserve reads {read}: it is empty.", "Fit a full one.", where_from(empty))
    if found.gauge_kpa < begin.inside("pressure"):
        return look_again(
            f"The reserve reads {read}: less than half.",
            "Fit a full one before beginning.",
            RULE,
            where_from(begin),
        )
    if found.full_gauge_kpa is None:
        return open_question(found, "full_gauge_kpa")
    share = sourced("chain", "reserve_full_share")
    full = pressure_text(found.full_gauge_kpa, chain.place)
    if found.gauge_kpa < share.value * found.full_gauge_kpa:
        return look_again(
            f"The reserve reads {read} of {full}: it is not full.",
            "Fit a full one as soon as the work allows.",
            RULE,
            where_from(share),
        )
    return fine(f"The reserve reads {read} of {full}: full.", RULE, where_from(share))


def _wrench(chain: Chain) -> Finding:
    found = chain.reserve
    if found.wrench is None:
        return open_question(found, "wrench")
    if found.wrench:
        return fine("The wrench is on the machine.", RULE)
    return stop(
        "The wrench is missing: the reserve cannot be opened when it is needed.",
        "Tie a wrench to the machine.",
        RULE,
    )


def _valve(chain: Chain) -> Finding:
    found = chain.reserve
    if found.valve_closed is None:
        return open_question(found, "valve_closed")
    if found.valve_closed:
        return fine("The valve of the reserve is closed.", RULE)
    return look_again(
        "The valve of the reserve is open: it empties without a sign.",
        "Close it, then read its gauge again.",
        CLOSED,
    )


LINK = Link(name="reserve", title="Reserve cylinder", answer=reserve_cylinder)
