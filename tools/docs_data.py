"""Pages of docs/reference that are made from the reference values."""

from collections.abc import Iterable, Iterator, Sequence

from ullage.reference import counts, disagreements, sources, tables, value_counts
from ullage.reference.facts import Count

__all__ = ["table_of", "values"]


def table_of(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> Iterator[str]:
    """A table in Markdown; a bar inside a cell is kept as such."""
    yield f"| {' | '.join(heads)} |"
    yield f"|{'---|' * len(heads)}"
    for row in rows:
        cells = (" ".join(cell.split()).replace("|", "\\|") for cell in row)
        yield f"| {' | '.join(cells)} |"


def values() -> str:
    """How many values there are, by table and by how they are known, and their sources."""
    lines = [
        "# Reference values",
        "",
        "Each value carries its unit, its source, the place in the source and how it is known.",
        "`ullage values` searches them; `ullage values --conflicts` shows where sources disagree.",
        "The words for how a value is known are explained in",
        "[Where values come from](../explanation/provenance.md).",
        "",
        "## Values that answers use",
        "",
        *table_of(("table", "how known", "rows"), _counted(value_counts())),
        "",
        "## Fact tables",
        "",
        *table_of(
            ("table", "how known", "rows", "left out", "why"),
            (
                (one.table, one.how_known.words, str(one.loaded), str(one.left_out), one.reason)
                for one in counts()
                if one.table != "all"
            ),
        ),
        "",
        "## Sources",
        "",
        f"{len(sources())} sources are cited by {len(tables())} tables of values.",
        f"{len(disagreements())} disagreements are kept side by side.",
        "",
        *table_of(
            ("key", "source", "read"),
            ((one.key, one.cite, one.seen_on or "not read") for one in sources().values()),
        ),
    ]
    return "\n".join(lines)


def _counted(found: Iterable[Count]) -> Iterator[tuple[str, str, str]]:
    for one in found:
        yield one.table, one.how_known.words, str(one.loaded)
