"""Rows of the reference tables that the chain is judged by, as findings cite them."""

import re
from collections.abc import Iterator

from ullage.answers.answer import View, WhereFrom
from ullage.core.gas import Gas
from ullage.reference import Sourced, Stated, sources, table

__all__ = [
    "colour_of",
    "connection_rows",
    "printed",
    "row_view",
    "rule",
    "same_colour",
    "where_from",
]

#: How a site names its colour scheme -> how the table does, and its name in words.
SCHEMES = {"iso32": ("iso", "ISO 32"), "us": ("us", "US")}
CONNECTIONS = ("pin_index", "cga_small", "cga_large", "diss")


def where_from(row: Sourced | Stated) -> WhereFrom:
    """A value or a fact of the tables, with its place and how it is known."""
    if isinstance(row, Sourced):
        said = f"{row.value:g} {row.unit}".removesuffix(" 1")
    else:
        said = row.text.removesuffix(".")
    cite = sources()[row.source].cite
    text = f"{row.where[:1].upper()}{row.where[1:]}: {said}. {cite.removesuffix('.')}."
    return WhereFrom(source=row.source, how_known=row.how_known.value, text=text)


def printed(name: str, key: str) -> WhereFrom:
    """A row by table and key, as a finding cites it."""
    return where_from(table(name)[key])


def rule(key: str) -> WhereFrom:
    """A rule of the trade by its number, with what stands beside it.

    >>> rule("CP-21").how_known
    'common'
    """
    row = table("rules")[key]
    words = f"{row.where.removeprefix('trade_rules ')}. {row.note}".strip()
    return WhereFrom(source=row.source, how_known=row.how_known.value, text=words)


def row_view(label: str, row: Sourced | Stated, result: str, *, chosen: bool = False) -> View:
    """One side of a disagreement, from a row of the tables."""
    return View(
        label=label,
        result=result,
        source=row.source,
        how_known=row.how_known.value,
        chosen=chosen,
    )


def colour_of(gas: Gas, scheme: str) -> tuple[Stated, str] | None:
    """The colour of a gas in the scheme of a site, and the name of the scheme.

    >>> found = colour_of(Gas.OXYGEN, "iso32")
    >>> found[0].text, found[1]
    ('white', 'ISO 32')
    """
    prefix, words = SCHEMES.get(scheme, ("", ""))
    row = table("gas_colours").get(f"{prefix}.{_key(gas)}")
    return (row, words) if isinstance(row, Stated) else None


def same_colour(one: str, other: str) -> bool:
    """Whether two descriptions name the same colours, in any order and spelling.

    >>> same_colour("White / Black", "black and white"), same_colour("gray", "grey")
    (True, True)
    """
    return _colours(one) == _colours(other)


def _colours(text: str) -> set[str]:
    words = re.findall(r"[a-z]+", text.lower().replace("gray", "grey"))
    return set(words) - {"and", "with", "or"}


def connection_rows(written: str) -> tuple[Stated, ...]:
    """The rows of the connection table that a written number may mean.

    >>> [row.gas for row in connection_rows("pins 2 and 5")]
    ['oxygen']
    >>> [row.gas for row in connection_rows("DISS 1040")]
    ['nitrous oxide']
    """
    number = "-".join(re.findall(r"\d+", written))
    return tuple(row for row in _connections() if row.text.split(",")[0] == number)


def _connections() -> Iterator[Stated]:
    for key, row in table("connections").items():
        if isinstance(row, Stated) and key.split(".")[0] in CONNECTIONS:
            yield row


def _key(gas: Gas) -> str:
    return gas.value.replace(" ", "_")
