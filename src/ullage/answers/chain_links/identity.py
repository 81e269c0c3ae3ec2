"""Is it the right gas? Label, colour and connection must all name it."""

from collections.abc import Iterator

from ullage.answers.answer import Answer
from ullage.answers.chain_links.judge import (
    Extras,
    Finding,
    Link,
    common,
    fine,
    judge,
    open_question,
    stop,
)
from ullage.answers.chain_links.rows import (
    colour_of,
    connection_rows,
    printed,
    same_colour,
    where_from,
)
from ullage.answers.chain_things import Chain
from ullage.core.gas import Gas
from ullage.reference import sourced

__all__ = ["LINK", "identity"]

AGREE = common("Label, colour and connection all name the same gas; any doubt is a stop.")
DOUBT = "Do not connect it, or disconnect it. Set it apart and ask whoever supplies it."
ANALYSER = (
    "Alarms and fail-safes watch pressure, not gas: only an oxygen analyser finds a crossed supply."
)


def identity(chain: Chain) -> Answer:
    """Whether label, colour and connection agree on the gas of this chain."""
    agree = f"Label, colour and connection all name {chain.gas}."
    return judge(
        f"Is it {chain.gas}?", _findings(chain), Extras(cautions=(ANALYSER,), when_fine=agree)
    )


def _findings(chain: Chain) -> Iterator[Finding]:
    yield _labelled(chain)
    yield _coloured(chain)
    yield _connected(chain)
    yield _fitted(chain)
    if chain.identity.analyser_fraction is not None and chain.gas is Gas.OXYGEN:
        yield _analysed(chain.identity.analyser_fraction)


def _labelled(chain: Chain) -> Finding:
    named = chain.identity.label_gas
    if named is None:
        return open_question(chain.identity, "label_gas")
    if named is chain.gas:
        return fine(f"The label names {named}.", AGREE)
    return stop(f"The label names {named}; this chain is for {chain.gas}.", DOUBT, AGREE)


def _coloured(chain: Chain) -> Finding:
    colour = chain.identity.colour
    if colour is None:
        return open_question(chain.identity, "colour")
    expected = colour_of(chain.gas, chain.colour_scheme)
    if expected is None:
        return fine(f"The colour is {colour}; no scheme is set for this site.", AGREE)
    row, scheme = expected
    if same_colour(row.text, colour):
        return fine(f"{colour.capitalize()} is {chain.gas} in {scheme}.", where_from(row), AGREE)
    return stop(
        f"The colour is {colour}; in {scheme}, the scheme of this site, {chain.gas} is {row.text}.",
        DOUBT,
        where_from(row),
        AGREE,
    )


def _connected(chain: Chain) -> Finding:
    written = chain.identity.connection
    if written is None:
        return open_question(chain.identity, "connection")
    rows = connection_rows(written)
    ours = [row for row in rows if row.gas == chain.gas.value]
    if ours:
        return fine(f"The connection {written} is that of {chain.gas}.", where_from(ours[0]))
    if rows:
        other = rows[0].gas or "no breathing gas"
        return stop(f"The connection {written} is that of {other}.", DOUBT, where_from(rows[0]))
    return stop(
        f"The connection {written} is none that is known for {chain.gas}.",
        DOUBT,
        AGREE,
    )


def _fitted(chain: Chain) -> Finding:
    adapted = chain.identity.adapted
    if adapted is None:
        return open_question(chain.identity, "adapted")
    if adapted:
        return stop(
            "There is an adaptor, or the fit was forced: that defeats the gas-specific connection.",
            "Take the adaptor off; use the source whose connection fits by itself.",
            AGREE,
            printed("connections", "pin_index_defeated"),
        )
    return fine("There is no adaptor, and nothing was forced.", AGREE)


def _analysed(fraction: float) -> Finding:
    least = sourced("supply", "concentrator_low_share")
    read = f"{100 * fraction:.0f} % oxygen"
    if fraction < least.value:
        return stop(
            f"The analyser reads {read}; {100 * least.value:g} % is the least allowed.",
            "Treat it as the wrong gas: disconnect it and open the reserve cylinder.",
            where_from(least),
        )
    return fine(f"The analyser reads {read}.", where_from(least))


LINK = Link(name="identity", title="Identity of the gas", answer=identity)
