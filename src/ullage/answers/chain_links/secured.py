"""Is the cylinder held, so that it cannot fall?"""

from collections.abc import Iterator

from ullage.answers.answer import Answer, View
from ullage.answers.chain_links.judge import (
    Extras,
    Finding,
    Link,
    fine,
    from_memory,
    judge,
    look_again,
    open_question,
    stop,
)
from ullage.answers.chain_links.rows import printed, row_view, rule
from ullage.answers.chain_things import Chain, Hold
from ullage.reference import sourced, stated

__all__ = ["LINK", "secured"]

HELD = rule("CP-21")
CHAIN = printed("storage", "secured.chain")


def secured(chain: Chain) -> Answer:
    """Whether the cylinder is held on the machine or chained to the wall."""
    views = _heights() if chain.secured.held is Hold.CHAIN else ()
    extras = Extras(cautions=(_heat(),), views=views)
    return judge("Is the cylinder secured?", _findings(chain), extras)


def _findings(chain: Chain) -> Iterator[Finding]:
    found = chain.secured
    if found.held is None:
        yield open_question(found, "held")
    elif found.held is Hold.NOTHING:
        yield stop(
            "Nothing holds the cylinder; if it falls the valve can break off.",
            "Hold it on the machine or chain it to the wall before anything else.",
            HELD,
        )
    elif found.held is Hold.STAND:
        yield look_again(
            "The cylinder stands in a stand or cart, not on the machine or at the wall.",
            "See that the stand is made for this cylinder and cannot tip, or chain it.",
            HELD,
        )
    else:
        yield fine(f"The cylinder is {found.held}.", HELD)
    if found.upright is False:
        yield _lying(chain)
    if found.held is Hold.CHAIN and found.chain_above_middle is False:
        yield look_again(
            "The chain does not lie between the middle and the shoulder.",
            "Move the chain above the middle and below the shoulder.",
            CHAIN,
        )


def _lying(chain: Chain) -> Finding:
    if chain.gas.liquefied:
        return stop(
            "The cylinder holds liquid and does not stand upright: liquid reaches the regulator.",
            "Close the valve, stand it upright, and wait before opening it.",
            from_memory("A cylinder of liquefied gas is never opened lying down or inverted."),
        )
    return look_again(
        "The cylinder does not stand upright.",
        "Stand it upright, unless the holder of the machine is made to carry it lying.",
        CHAIN,
    )


def _heights() -> tuple[View, ...]:
    one, two = stated("storage", "secured.chain"), stated("storage", "secured.two_restraints")
    return (
        row_view("One chain", one, "above the middle, below the shoulder", chosen=True),
        row_view("Two restraints, for a cylinder over 26 in", two, "at one and two thirds"),
    )


def _heat() -> str:
    hottest = [sourced("storage", key) for key in ("hottest_c", "hottest_us_c", "hottest_other_c")]
    figures = ", ".join(f"{row.value:g}" for row in hottest)
    return f"Keep cylinders below {hottest[0].value:g} °C; sources print {figures} °C."


LINK = Link(
    name="secured",
    title="Cylinder secured",
    answer=secured,
    applies=lambda chain: chain.source.has_cylinders,
)
