"""The page of docs/reference on parts: kinds, facts, and what a machine is without one."""

from collections.abc import Iterator

from tools.docs_data import table_of
from ullage.answers.equipment import PART_KINDS, PartFact, PartKind

__all__ = ["parts"]


def parts() -> str:
    """Every kind of part with what is written down of it."""
    lines = [
        "# Parts of machines",
        "",
        "What is written down of each kind of part, and what a machine is while a part of the kind",
        "is out of use; a part in doubt puts its machine in doubt. That is a proposal of ours, no",
        "published rule: local codes and the maker's instructions come first. Every fact may stay",
        "empty, and the limits only catch slips of typing. How parts are kept is told in",
        "[Keep the parts of a machine](../how-to/keep-parts-of-a-machine.md).",
        "",
        *table_of(
            ("kind", "key", "while one is out of use, the machine is"),
            ((one.name, f"`{one.key}`", one.missed.value) for one in PART_KINDS.values()),
        ),
        "",
        *(line for one in PART_KINDS.values() for line in _kind(one)),
    ]
    return "\n".join(lines)


def _kind(kind: PartKind) -> Iterator[str]:
    if not kind.facts:
        return
    yield from (f"## {kind.name}", "")
    yield from table_of(("fact", "key", "entered as"), (_fact(one) for one in kind.facts))
    yield ""


def _fact(fact: PartFact) -> tuple[str, str, str]:
    if fact.kind == "choice":
        entered = "one of: " + ", ".join(words for _, words in fact.choices)
    elif fact.kind in {"date", "text"}:
        entered = fact.kind
    else:
        unit = "" if fact.unit == "1" else f" {fact.unit}"
        entered = f"{fact.low:g} to {fact.high:g}{unit}"
    return fact.label, f"`{fact.name}`", entered
