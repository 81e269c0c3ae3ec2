"""Spare and stored: full cylinders by gas and size, and what was weighed."""

from collections.abc import Iterator
from dataclasses import dataclass

from ullage.answers import Verdict
from ullage.answers.stock import full_one_stands
from ullage.web.days.selectors.board import Board
from ullage.web.sites.selectors import Site
from ullage.web.supply.selectors import Cylinder, CylinderState

__all__ = ["Stored", "stored_of"]

_WEIGHED = {"nitrous oxide", "carbon dioxide"}
_SPARE = (CylinderState.FULL, CylinderState.PART_USED, CylinderState.IN_USE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stored:
    """One line: a gas in one size, or a cylinder that is weighed."""

    gas: str
    size: str
    left: str
    small: str
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class _Row:
    """What is needed of a cylinder in store."""

    gas: str
    size: str
    state: str
    name: str


def stored_of(site: Site, board: Board) -> list[Stored]:
    """What stands in store, by gas and size; none full where some are in use: look again."""
    spare = Cylinder.objects.filter(site=site, state__in=_SPARE).order_by("gas", "size", "name")
    rows = [_Row(*one) for one in spare.values_list("gas", "size", "state", "name")]
    groups: dict[tuple[str, str], list[_Row]] = {}
    for row in rows:
        groups.setdefault((row.gas, row.size), []).append(row)
    return [*_grouped(groups), *_weighed(board)]


def _grouped(groups: dict[tuple[str, str], list[_Row]]) -> Iterator[Stored]:
    for (gas, size), some in groups.items():
        full = [one.name for one in some if one.state == CylinderState.FULL]
        part = [one.name for one in some if one.state == CylinderState.PART_USED]
        in_use = len(some) - len(full) - len(part)
        names = f", {full[0]}" if len(full) == 1 else ""
        yield Stored(
            gas=gas,
            size=size,
            left=f"{len(full)} full{names}",
            small=_small(part, in_use),
            verdict=full_one_stands(len(full)),
        )


def _small(part: list[str], in_use: int) -> str:
    found = [f"{in_use} in use"] if in_use else []
    if part:
        more = f" and {len(part) - 3} more" if len(part) > 3 else ""
        found.append(f"part used: {', '.join(part[:3])}{more}")
    return "; ".join(found)


def _weighed(board: Board) -> Iterator[Stored]:
    """Liquefied gases in use, with what the scale said."""
    left = {one.name: one.left for one in board.answers.outlooks}
    for row in board.rows:
        answer = left.get(row.source.name)
        if row.source.gas in _WEIGHED and row.cylinders and answer is not None:
            one = row.cylinders[0].cylinder
            yield Stored(
                gas=one.gas,
                size=f"{one.size}, {one.name}",
                left=answer.text,
                small="by weight",
                verdict=answer.verdict or Verdict.FINE,
            )
