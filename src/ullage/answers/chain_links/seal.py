"""Is there exactly one sound seal, new at this change, and never greased?"""

from collections.abc import Iterator

from ullage.answers.answer import Answer, View
from ullage.answers.chain_links.judge import (
    Extras,
    Finding,
    Link,
    fine,
    judge,
    look_again,
    open_question,
    stop,
)
from ullage.answers.chain_links.rows import printed, row_view, rule
from ullage.answers.chain_things import Chain, Seal, SealKind
from ullage.reference import stated, table

__all__ = ["LINK", "seal"]

NEW = rule("CP-19")
ONE = printed("connections", "seal.one")
STACKED = printed("connections", "pin_index_defeated")
CRUSH = printed("connections", "seal.crush")
BOUND = printed("connections", "seal.metal_bound")
GREASE = printed("connections", "seal.no_grease")
OPENING = (
    "Flow controls shut, open the valve slowly and pointing away; at a hiss close it, "
    "reseat the cylinder, and never grease."
)


def seal(chain: Chain) -> Answer:
    """Whether the connection has exactly one seal, new, sound and dry."""
    extras = Extras(
        cautions=(OPENING,),
        views=_views() if chain.seal.new is False else (),
        when_fine="Exactly one new seal, dry and sound." if chain.seal.count else "",
    )
    return judge("Is the connector sealed?", _findings(chain.seal), extras)


def _findings(found: Seal) -> Iterator[Finding]:
    yield from _dry_and_sound(found)
    if found.takes_seal is None and found.count is None:
        yield open_question(found, "takes_seal")
        return
    if found.takes_seal is False and not found.count:
        yield fine("This connection takes no seal.")
        return
    yield _counted(found)
    yield _fresh(found)


def _dry_and_sound(found: Seal) -> Iterator[Finding]:
    if found.greased is None:
        yield open_question(found, "greased")
    elif found.greased:
        yield stop(
            "There is grease, sealant or tape on the connection; in oxygen it can burn.",
            "Do not open the valve. Take the connection out of use and have it cleaned.",
            GREASE,
        )
    else:
        yield fine("The connection is dry: no grease, sealant or tape.", GREASE)
    if found.damaged:
        yield stop(
            "The seal is damaged, or a pin is bent or missing.",
            "Fit a new seal; with a pin bent or missing take the yoke out of use.",
            STACKED,
        )


def _counted(found: Seal) -> Finding:
    if found.count is None:
        return open_question(found, "count")
    if found.count == 1:
        return fine("There is exactly one seal.", ONE)
    if found.count == 0:
        return stop("There is no seal in the connection.", "Fit one new seal.", ONE)
    return stop(
        f"There are {found.count} seals; a second one lets the wrong cylinder fit.",
        "Take all of them out and fit exactly one new seal.",
        STACKED,
    )


def _fresh(found: Seal) -> Finding:
    if found.new is None:
        return open_question(found, "new")
    if found.new:
        return fine("The seal is new at this change.", NEW)
    if found.kind is SealKind.CRUSH:
        return stop(
            "A crush gasket was used again.", "Fit a new seal before opening the valve.", CRUSH
        )
    if found.kind is SealKind.ELASTOMER:
        return look_again(
            "The seal was used before; this kind may be, but a new one is the rule here.",
            "Fit the new seal that came with the cylinder, or look closely at this one.",
            NEW,
            BOUND,
        )
    return look_again(
        "The seal was used before, and nobody has said of which kind it is.",
        "Fit the new seal that came with the cylinder.",
        NEW,
        CRUSH,
    )


def _views() -> tuple[View, ...]:
    kinds = (stated("connections", "seal.metal_bound"), stated("connections", "seal.crush"))
    return (
        row_view("Common practice", table("rules")["CP-19"], "new at every change", chosen=True),
        row_view("Metal-bound elastomer washer", kinds[0], "may be used again"),
        row_view("Crush gasket", kinds[1], "one use only"),
    )


LINK = Link(
    name="seal",
    title="Connector and seal",
    answer=seal,
    applies=lambda chain: chain.source.has_cylinders,
)
