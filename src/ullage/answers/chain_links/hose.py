"""Is the hose made for this gas and this pressure, and is it whole?"""

from collections.abc import Iterator

from ullage.answers.answer import Answer
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
from ullage.answers.chain_links.rows import (
    colour_of,
    printed,
    rule,
    same_colour,
    where_from,
)
from ullage.answers.chain_things import Chain

__all__ = ["LINK", "hose"]

ALL_THREE = rule("CP-13")
TUBING = rule("CP-14")
ENDS = printed("pipeline", "hose.ends")
RATED = printed("pipeline", "hose.rated_kpa")
BURST = printed("pipeline", "hose.burst_factor")
AGE = "Look along the whole hose: where it is trodden on and where it bends is where it gives way."


def hose(chain: Chain) -> Answer:
    """Whether the supply hose is specific to the gas, rated, and sound."""
    sound = f"The hose is made for {chain.gas}, rated and whole."
    return judge(
        "Is the hose the right one?", _findings(chain), Extras(cautions=(AGE,), when_fine=sound)
    )


def _findings(chain: Chain) -> Iterator[Finding]:
    found = chain.hose
    if found.fitted is None and found.ends_gas is None:
        yield open_question(found, "fitted")
        return
    if found.fitted is False:
        yield fine("There is no hose: the cylinder sits on the machine.")
        return
    yield _ends(chain)
    yield _tubing(chain)
    yield _rated(chain)
    yield _whole(chain)
    if found.colour is not None:
        yield _coloured(chain)


def _ends(chain: Chain) -> Finding:
    ends = chain.hose.ends_gas
    if ends is None:
        return open_question(chain.hose, "ends_gas")
    if ends is chain.gas:
        return fine(f"The ends of the hose are made for {ends}.", ALL_THREE)
    return stop(
        f"The ends of the hose are made for {ends}, and the chain is for {chain.gas}.",
        "Take the hose out of use. Find out how it could be connected.",
        ALL_THREE,
        ENDS,
    )


def _tubing(chain: Chain) -> Finding:
    tubing = chain.hose.laboratory_tubing
    if tubing is None:
        return open_question(chain.hose, "laboratory_tubing")
    if not tubing:
        return fine("No part of it is laboratory or clear plastic tubing.", TUBING)
    return stop(
        "Laboratory or clear plastic tubing carries line pressure: it can burst and feed a fire.",
        "Replace it with a medical gas hose that is rated for the pressure.",
        TUBING,
        RATED,
    )


def _rated(chain: Chain) -> Finding:
    rated = chain.hose.rated
    if rated is None:
        return open_question(chain.hose, "rated")
    if rated:
        return fine("It is a medical gas hose rated for the line pressure.", RATED, BURST)
    return stop(
        "The hose is not rated for the line pressure.",
        "Replace it with a medical gas hose that is.",
        ALL_THREE,
        RATED,
    )


def _whole(chain: Chain) -> Finding:
    damaged = chain.hose.damaged
    if damaged is None:
        return open_question(chain.hose, "damaged")
    if not damaged:
        return fine("It is whole: no crack, kink, oil or home-made joint.", ALL_THREE)
    return stop(
        "The hose is cracked, kinked, oily or has a home-made joint.",
        "Replace it; do not mend it.",
        ALL_THREE,
    )


def _coloured(chain: Chain) -> Finding:
    colour = chain.hose.colour or ""
    expected = colour_of(chain.gas, chain.colour_scheme)
    if expected is None:
        return fine(f"The hose is {colour}.")
    row, scheme = expected
    if same_colour(row.text, colour):
        return fine(f"The hose is {colour}, as {chain.gas} is in {scheme}.", where_from(row))
    return look_again(
        f"The hose is {colour}; in {scheme}, the scheme of this site, {chain.gas} is {row.text}.",
        "Read the name on the hose and on both ends; colours differ between countries.",
        where_from(row),
    )


LINK = Link(
    name="hose",
    title="Supply hose",
    answer=hose,
    applies=lambda chain: chain.hose.fitted is not False,
)
