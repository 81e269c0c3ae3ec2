"""Cylinder sizes of the US and of the UK/ISO world, and the letters that mislead."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from ullage.core.errors import AmbiguousSize, UnknownReference
from ullage.core.gas import Gas
from ullage.core.units import read_quantity
from ullage.reference.values import Sourced, Stated, raw_table, row_from

__all__ = [
    "REGIONS",
    "Contents",
    "CylinderSize",
    "cylinder_size",
    "cylinder_sizes",
    "letter_traps",
    "region_named",
]

#: The worlds of letters; a person may write any of the names behind the colon.
REGIONS: Mapping[str, tuple[str, ...]] = {
    "US": ("us", "usa", "cga"),
    "UK/ISO": ("uk", "iso", "uk/iso", "eu", "bs"),
    "China": ("china", "cn"),
}

_TABLE = "cylinder_sizes"

#: Two capacities of one letter that differ by no more than this are the same cylinder.
_SAME_SHARE = 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class Contents:
    """Published litres of one gas, with the gauge pressure printed beside them."""

    gas: Gas
    volume: Sourced
    fill_gauge_kpa: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CylinderSize:
    """One size: capacities, contents, fills, dimensions and tare, disagreements side by side.

    ``doubted`` holds capacities in print that cannot be true; they are shown, never used.
    """

    key: str
    region: str
    letter: str
    also: tuple[str, ...] = ()
    remark: str = ""
    ask_region: bool = False
    water: tuple[Sourced, ...]
    contents: tuple[Contents, ...] = ()
    fills: tuple[Sourced, ...] = ()
    doubted: tuple[Sourced, ...] = ()
    heights: tuple[Sourced, ...] = ()
    diameters: tuple[Sourced, ...] = ()
    tares: tuple[Sourced, ...] = ()

    @property
    def water_capacity(self) -> Sourced:
        """[L] The capacity used as a preset, with where it comes from."""
        return self.water[0]

    @property
    def water_capacity_l(self) -> float:
        """[L] The capacity used as a preset."""
        return self.water[0].value

    @property
    def title(self) -> str:
        """How the size is called on screen: ``E (US)``."""
        return f"{'/'.join((self.letter, *self.also))} ({self.region})"

    def names(self) -> frozenset[str]:
        """Every name of the size, folded for comparison."""
        spelt = (self.letter, *self.also, "/".join((self.letter, *self.also)))
        return frozenset(_folded(one) for one in spelt)

    def fill(self, gas: Gas = Gas.OXYGEN) -> Sourced | None:
        """The first published fill of a gas, in the unit printed; None where none is known."""
        return next((one for one in self.fills if one.gas == gas.value), None)

    def fill_gauge_kpa(self, gas: Gas = Gas.OXYGEN) -> float | None:
        """[kPa] The same, gauge pressure.

        >>> round(cylinder_size("E").fill_gauge_kpa())
        13100
        """
        found = self.fill(gas)
        return None if found is None else found.inside("pressure")


@cache
def cylinder_sizes() -> tuple[CylinderSize, ...]:
    """Every size of the table, in its order."""
    groups = raw_table(_TABLE).items()
    return tuple(_size(key, group) for key, group in groups if "water" in group)


def _size(key: str, group: Mapping[str, Any]) -> CylinderSize:
    def rows(kind: str) -> tuple[Sourced, ...]:
        return tuple(_numbers(f"{key}.{kind}", group.get(kind, ())))

    contents = zip(rows("contents"), group.get("contents", ()), strict=True)
    return CylinderSize(
        key=key,
        region=group["region"],
        letter=group["letter"],
        also=tuple(group.get("also", ())),
        remark=group.get("remark", ""),
        ask_region=group.get("ask_region", False),
        water=rows("water"),
        contents=tuple(_contents(row, written.get("fill")) for row, written in contents),
        fills=rows("fill"),
        doubted=rows("doubted"),
        heights=rows("height"),
        diameters=rows("diameter"),
        tares=rows("tare"),
    )


def _numbers(prefix: str, rows: Any) -> Iterator[Sourced]:
    for count, written in enumerate(rows, start=1):
        row = row_from(f"{prefix}.{count}", written)
        if isinstance(row, Sourced):
            yield row


def _contents(row: Sourced, fill: str | None) -> Contents:
    pressure_kpa = None if fill is None else read_quantity(fill, "pressure")
    return Contents(gas=Gas(row.gas), volume=row, fill_gauge_kpa=pressure_kpa)


def _folded(letter: str) -> str:
    return letter.upper().replace(" ", "")


def letter_traps() -> dict[str, Stated]:
    """Letters and tables that mislead, each with its source."""
    found = {key: row_from(f"traps.{key}", one) for key, one in raw_table(_TABLE)["traps"].items()}
    return {key: row for key, row in found.items() if isinstance(row, Stated)}


def cylinder_size(letter: str, region: str | None = None) -> CylinderSize:
    """The size that a letter means, in one world of letters or in all of them.

    Parameters
    ----------
    letter : as printed, such as ``E``, ``H``, ``M6``.
    region : ``US``, ``UK`` or ``ISO``, ``China``; None when it is not known.

    Returns
    -------
    The size; its remark says what the letter rests on.

    Raises
    ------
    AmbiguousSize : the letter means two cylinders, or misleads, and no region was given.
    UnknownReference : no such letter or region.

    Source: supply_S9 (UK letters); supply_S2 (US E from 660 L at 1900 psi).

    >>> size = cylinder_size("E")
    >>> size.title, size.water_capacity_l, size.water_capacity.how_known.words
    ('E (US)', 4.76, 'computed')
    """
    wanted, world = _folded(letter), None if region is None else region_named(region)
    found = [
        one for one in cylinder_sizes() if wanted in one.names() and world in {None, one.region}
    ]
    if not found:
        raise UnknownReference(_no_such(letter, world))
    first = found[0]
    if world is None and (first.ask_region or not all(_same(first, one) for one in found)):
        raise AmbiguousSize(_which(letter.strip(), found))
    return first if first.remark else replace(first, remark=_preset(first))


def region_named(written: str) -> str:
    """Our name of a world of letters that somebody wrote; refuse one that we do not know.

    >>> region_named("iso")
    'UK/ISO'
    """
    folded = written.strip().lower()
    for name, spellings in REGIONS.items():
        if folded in spellings:
            return name
    raise UnknownReference(f"No region {written!r}. Regions: {', '.join(REGIONS)}.")


def _no_such(letter: str, world: str | None) -> str:
    known = (one.letter for one in cylinder_sizes() if world in {None, one.region})
    where = f" in {world}" if world else ""
    return (
        f"No cylinder size {letter!r}{where}. Sizes: {', '.join(dict.fromkeys(known))};"
        " or give the water capacity stamped on the cylinder."
    )


def _same(one: CylinderSize, other: CylinderSize) -> bool:
    gap = abs(one.water_capacity_l - other.water_capacity_l)
    return gap <= _SAME_SHARE * max(one.water_capacity_l, other.water_capacity_l)


def _which(letter: str, found: list[CylinderSize]) -> str:
    trap = letter_traps().get(_folded(letter))
    meant = " or ".join(
        f"{one.title} {one.water_capacity_l:g} L ({one.water_capacity.how_known.words})"
        for one in found
    )
    why = f" {trap.text}" if trap else ""
    return (
        f"{letter!r} may mean {meant}.{why}"
        " Name the region, or give the water capacity stamped on the cylinder."
    )


def _preset(size: CylinderSize) -> str:
    capacity = size.water_capacity
    return (
        f"{capacity.value:g} L of water is a preset ({capacity.how_known.words});"
        " confirm it on the stamp or the label."
    )
