"""Where sources disagree, side by side, and where physics disagrees with rules of the trade."""

from dataclasses import dataclass
from functools import cache

from ullage.core.errors import UnknownReference
from ullage.reference.values import raw_table

__all__ = ["Conflict", "Disagreement", "conflict", "conflicts", "disagreements"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Conflict:
    """Values that stand side by side, where they stand, and the default suggested."""

    key: str
    topic: str
    values: tuple[str, ...]
    where: str
    default: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Disagreement:
    """A rule of the trade beside what physics says, and what to tell the user."""

    key: str
    quantity: str
    rule: str
    physics: str
    difference: str
    say: str


@cache
def conflicts() -> tuple[Conflict, ...]:
    """Every conflict that must be shown and not averaged."""
    rows = raw_table("conflicts").items()
    return tuple(
        Conflict(
            key=key,
            topic=row["topic"],
            values=tuple(row["values"]),
            where=row["where"],
            default=row["default"],
        )
        for key, row in rows
    )


def conflict(key: str) -> Conflict:
    """One conflict by its number.

    >>> conflict("K-13").values
    ('50 C', '52 C', '54 C')
    """
    found = next((one for one in conflicts() if one.key == key), None)
    if found is None:
        raise UnknownReference(f"No conflict {key!r}; they run from K-01 to K-{len(conflicts())}.")
    return found


@cache
def disagreements() -> tuple[Disagreement, ...]:
    """Every place where physics and a rule of the trade part.

    >>> disagreements()[0].say
    'the rule is cautious'
    """
    return tuple(Disagreement(key=key, **row) for key, row in raw_table("disagreements").items())
