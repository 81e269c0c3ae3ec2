"""One search over all that the reference room holds: values, facts, conflicts, sources."""

from collections.abc import Iterator
from functools import cache

from ullage.core.errors import UnknownReference
from ullage.reference.facts import Count, Fact, fact_rows, fact_tables
from ullage.reference.side_by_side import conflicts, disagreements
from ullage.reference.values import HowKnown, Sourced, Stated, sources, table, tables

__all__ = ["all_tables", "search", "value_counts"]


def all_tables() -> tuple[str, ...]:
    """Every table that can be searched: values, facts, conflicts, disagreements, sources."""
    return (*tables(), *fact_tables(), "conflicts", "disagreements", "sources")


def search(text: str = "", only: str | None = None) -> tuple[Fact, ...]:
    """Every row that holds all the words of a text, values first, in the order of the tables.

    Parameters
    ----------
    text : words in any order; upper and lower case are one. Empty finds everything.
    only : the name of one table.

    Returns
    -------
    Rows in the one shape of a fact, whatever table they come from.

    Raises
    ------
    UnknownReference : no such table.

    >>> [one.place for one in search("whistle falling", only="supply")]
    []
    >>> [one.place for one in search("gauge class 2.5", only="supply")]
    ['supply:gauge_error_share']
    """
    if only is not None and only not in all_tables():
        raise UnknownReference(f"No table {only!r}. Tables: {', '.join(all_tables())}.")
    words = text.casefold().split()
    names = all_tables() if only is None else (only,)
    return tuple(
        row for name in names for row, told in _told(name) if all(word in told for word in words)
    )


def value_counts() -> tuple[Count, ...]:
    """Rows of the tables of values, per table and per mark; none is left out."""
    counted = (
        (name, how, sum(row.how_known is how for row in table(name).values()))
        for name in tables()
        for how in HowKnown
    )
    return tuple(
        Count(table=name, how_known=how, loaded=loaded) for name, how, loaded in counted if loaded
    )


@cache
@cache
def _told(name: str) -> tuple[tuple[Fact, str], ...]:
    """Every row of a table with all its words, folded for comparison."""
    return tuple((one, _folded(one)) for one in _as_facts(name))


def _folded(one: Fact) -> str:
    spoken = one.key.replace("_", " ")
    parts = (
        one.place,
        spoken,
        one.quantity,
        one.subject,
        one.value,
        one.unit,
        one.spread,
        one.condition,
    )
    return " ".join((*parts, one.source, one.mark, one.note)).casefold()


def _as_facts(name: str) -> Iterator[Fact]:
    if name in fact_tables():
        yield from fact_rows(name)
    elif name == "conflicts":
        yield from _conflicts()
    elif name == "disagreements":
        yield from _disagreements()
    elif name == "sources":
        yield from _sources()
    else:
        for row in table(name).values():
            yield _from_row(name, row)


def _from_row(name: str, row: Sourced | Stated) -> Fact:
    cited = sources()[row.source]
    number = row.value if isinstance(row, Sourced) else None
    return Fact(
        table=name,
        key=row.key,
        quantity=row.where,
        value=row.text if isinstance(row, Stated) else f"{row.value:.12g}",
        number=number,
        unit=row.unit if isinstance(row, Sourced) and row.unit != "1" else "",
        subject=row.gas,
        spread=_spread(row),
        condition=row.condition,
        source=f"{row.source}: {cited.cite}",
        how_known=row.how_known,
        standing=row.standing,
        note=row.note,
    )


def _spread(row: Sourced | Stated) -> str:
    """The printed band; nothing where a source prints none."""
    if not isinstance(row, Sourced) or row.low is None or row.high is None:
        return ""
    kind = f", {row.spread.words}" if row.spread else ""
    return f"{row.low:.12g} to {row.high:.12g}{kind}"


def _conflicts() -> Iterator[Fact]:
    for one in conflicts():
        yield Fact(
            table="conflicts",
            key=one.key,
            quantity=one.topic,
            value=" | ".join(one.values),
            source=one.where,
            note=f"Suggested default: {one.default}",
        )


def _disagreements() -> Iterator[Fact]:
    for one in disagreements():
        yield Fact(
            table="disagreements",
            key=one.key,
            quantity=one.quantity,
            value=f"rule {one.rule} | physics {one.physics} | difference {one.difference}",
            source="coolprop, beside common practice",
            note=one.say,
        )


def _sources() -> Iterator[Fact]:
    for one in sources().values():
        yield Fact(
            table="sources",
            key=one.key,
            quantity="source",
            value=one.cite,
            source=one.seen_in,
            condition=one.seen_on,
            note=one.note,
        )
