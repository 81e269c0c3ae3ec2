"""Which size a cylinder may be, from its dimensions, its stamp or its label."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import pi

from ullage.core.checks import positive
from ullage.core.errors import InvalidQuantity
from ullage.core.units import BAR_KPA
from ullage.reference.cylinders import CylinderSize, cylinder_sizes, region_named
from ullage.reference.values import Sourced, sourced

__all__ = ["NO_CANDIDATE", "Candidate", "identify_cylinder"]

#: What to say when no size fits.
NO_CANDIDATE = (
    "No size in the table fits. Go by the water capacity stamped on the cylinder,"
    " or by the litres and the fill printed on its label."
)

_CLUES = ("height", "diameter", "water capacity", "label", "fill")


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A size that fits: what agrees, what is not published, and how far off it is.

    ``mismatch`` is the mean distance over the clues compared, 0 exact to 1 at the edge.
    """

    size: CylinderSize
    agrees: tuple[str, ...]
    unknown: tuple[str, ...] = ()
    mismatch: float

    @property
    def reason(self) -> str:
        """What speaks for it and what could not be compared, in one line.

        >>> identify_cylinder(height_m=0.76, diameter_m=0.108)[0].reason
        'Height 0.762 m; diameter 0.108 m.'
        """
        told = "; ".join(self.agrees)
        missing = f" Not published: {', '.join(self.unknown)}." if self.unknown else ""
        return f"{told[:1].upper()}{told[1:]}.{missing}"


def identify_cylinder(
    *,
    height_m: float | None = None,
    diameter_m: float | None = None,
    water_capacity_l: float | None = None,
    label_l: float | None = None,
    fill_gauge_kpa: float | None = None,
    region: str | None = None,
) -> tuple[Candidate, ...]:
    """Sizes that fit what can be measured or read on a cylinder, the best first.

    Parameters
    ----------
    height_m : [m] above 0.
    diameter_m : [m] outside, above 0.
    water_capacity_l : [L] stamped, above 0.
    label_l : [L] contents printed on the label, of any gas, above 0.
    fill_gauge_kpa : [kPa] gauge, the fill printed beside the contents, above 0.
    region : as in `cylinder_size`; None looks everywhere.

    Returns
    -------
    The candidates with their reasons. None at all means what it says: no size in the table
    fits (`NO_CANDIDATE`).

    Raises
    ------
    InvalidQuantity : a measurement not above 0, or none given.

    Source: common_practice (how far heights and diameters may stand from print).

    >>> [one.size.title for one in identify_cylinder(water_capacity_l=47.2)]
    ['J (UK/ISO)']
    """
    values = (height_m, diameter_m, water_capacity_l, label_l, fill_gauge_kpa)
    clues = zip(_CLUES, values, strict=True)
    given = {name: positive(name, value) for name, value in clues if value is not None}
    if not given:
        raise InvalidQuantity("number of clues", 0, "1 or more: height, diameter, stamp or label")
    world = None if region is None else region_named(region)
    sizes = (one for one in cylinder_sizes() if world in {None, one.region})
    fitting = [found for one in sizes if (found := _compared(one, given)) is not None]
    return tuple(sorted(fitting, key=lambda one: (-len(one.agrees), one.mismatch)))


def _compared(size: CylinderSize, given: Mapping[str, float]) -> Candidate | None:
    """One size against all clues; None when a clue speaks against it or none for it."""
    agrees: list[str] = []
    distances: list[float] = []
    for name, value in given.items():
        published = _published(size, name)
        if not published:
            continue
        nearest = min(published, key=lambda one: abs(one - value))
        agrees.append(f"{name} {_shown(name, nearest)}")
        distances.append(abs(value - nearest) / _allowed(name, nearest))
    if not distances and (inside := _enclosed(size, given)):
        agrees.append(inside)
        distances.append(1.0)
    if not distances or max(distances) > 1.0 or not _could_hold(size, given):
        return None
    unknown = tuple(name for name in given if not _published(size, name))
    mismatch = sum(distances) / len(distances)
    return Candidate(size=size, agrees=tuple(agrees), unknown=unknown, mismatch=mismatch)


def _published(size: CylinderSize, name: str) -> tuple[float, ...]:
    """What is printed of a size under one clue, in our units."""
    if name == "label":
        return tuple(one.volume.value for one in size.contents)
    if name == "water capacity":
        return tuple(one.value for one in size.water)
    if name == "fill":
        beside = (one.fill_gauge_kpa for one in size.contents)
        printed = (one.inside("pressure") for one in size.fills)
        return tuple(one for one in (*printed, *beside) if one is not None)
    rows: tuple[Sourced, ...] = size.heights if name == "height" else size.diameters
    return tuple(one.inside("length") for one in rows)


def _allowed(name: str, nearest: float) -> float:
    """How far a measurement may stand from the figure nearest to it."""
    if name in {"height", "diameter"}:
        return sourced("cylinder_sizes", f"identify.{name}_in").inside("length")
    key = {"water capacity": "water", "label": "label", "fill": "fill"}[name]
    return nearest * sourced("cylinder_sizes", f"identify.{key}_share").value


def _shown(name: str, value: float) -> str:
    if name == "fill":
        return f"{value / BAR_KPA:.0f} bar"
    return f"{value:.3g} m" if name in {"height", "diameter"} else f"{value:g} L"


def _water_l(given: Mapping[str, float]) -> tuple[float, float] | None:
    """Least and most water behind an outer height and diameter."""
    if not {"height", "diameter"} <= given.keys():
        return None
    outside_l = 1000.0 * pi / 4.0 * given["diameter"] ** 2 * given["height"]
    low, high = (sourced("cylinder_sizes", f"identify.inside_{end}_share") for end in _ENDS)
    return outside_l * low.value, outside_l * high.value


_ENDS = ("low", "high")


def _could_hold(size: CylinderSize, given: Mapping[str, float]) -> bool:
    """False when the dimensions enclose too little or too much for every capacity in print."""
    water = _water_l(given)
    return water is None or any(water[0] <= one.value <= water[1] for one in size.water)


def _enclosed(size: CylinderSize, given: Mapping[str, float]) -> str:
    """What the enclosed volume says of a size whose dimensions nobody prints."""
    water = _water_l(given)
    if water is None:
        return ""
    return f"its {size.water_capacity_l:g} L lie within {water[0]:.2g} to {water[1]:.2g} L enclosed"
