"""Spare and stored: full cylinders by gas and size, and what was weighed."""

from collections.abc import Iterator
from dataclasses import dataclass

from ullage.answers import Verdict
from ullage.web.sites.selectors import Site
from ullage.web.supply.selectors import Cylinder, CylinderState, kept_by_cylinder

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


def stored_of(site: Site) -> list[Stored]:
    """What stands in store, by gas and size; none full where some are in use: look again."""
    rows = list(
        Cylinder.objects.filter(site=site, state__in=_SPARE).order_by("gas", "size", "name")
    )
    weighed = [one for one in rows if one.gas in _WEIGHED and one.state == CylinderState.IN_USE]
    groups: dict[tuple[str, str], list[Cylinder]] = {}
    for row in rows:
        groups.setdefault((row.gas, row.size), []).append(row)
    return [*_grouped(groups), *_weighed(weighed)]


def _grouped(groups: dict[tuple[str, str], list[Cylinder]]) -> Iterator[Stored]:
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
            verdict=Verdict.FINE if full else Verdict.LOOK_AGAIN,
        )


def _small(part: list[str], in_use: int) -> str:
    found = [f"{in_use} in use"] if in_use else []
    if part:
        found.append(f"part used: {', '.join(part[:3])}")
    return "; ".join(found)


def _weighed(cylinders: list[Cylinder]) -> Iterator[Stored]:
    kept = kept_by_cylinder(cylinders, ("contents",))
    for one in cylinders:
        answer = kept[one.pk].contents
        if answer is not None:
            yield Stored(
                gas=one.gas,
                size=f"{one.size}, {one.name}",
                left=answer.text,
                small="by weight",
                verdict=answer.verdict or Verdict.FINE,
            )
