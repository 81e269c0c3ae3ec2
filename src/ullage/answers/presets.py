"""A cylinder from its letter, and a reserve rule from its words, as people give them."""

from ullage.answers.things import Cylinder, ReservePolicy
from ullage.core.errors import UnreadableQuantity
from ullage.core.gas import Gas
from ullage.core.units import read_quantity
from ullage.reference import CylinderSize, cylinder_size, sourced

__all__ = ["cylinder_of_size", "reserve_read", "usual_scale_kpa"]

#: A gauge usually reaches this much further than the fill.
_SCALE_OVER_FILL = 4.0 / 3.0


def cylinder_of_size(
    letter: str, region: str | None = None, gas: Gas = Gas.OXYGEN, tare_kg: float | None = None
) -> Cylinder:
    """The cylinder that a letter means, by the table of sizes; a preset to be confirmed.

    Parameters
    ----------
    letter : as printed, such as ``E``.
    region : ``US``, ``UK`` or ``ISO``, ``China``; None where it is not known.
    gas : what is in it.
    tare_kg : [kg] stamped on it; None where nobody has read it.

    Returns
    -------
    The cylinder; where its capacity comes from is kept in it.

    Raises
    ------
    AmbiguousSize : a letter that means two cylinders.
    UnknownReference : no such letter or region.

    >>> found = cylinder_of_size("E")
    >>> found.water_capacity_l, found.label, found.capacity_source
    (4.76, 'E (US)', 'supply_S2 computed')
    """
    size = cylinder_size(letter, region)
    capacity = size.water_capacity
    fill_kpa = None if gas.liquefied else size.fill_gauge_kpa(gas)
    return Cylinder(
        gas=gas,
        water_capacity_l=size.water_capacity_l,
        full_scale_kpa=usual_scale_kpa(fill_kpa),
        test_pressure_kpa=_test_kpa(size, fill_kpa),
        fill_gauge_kpa=fill_kpa,
        tare_kg=tare_kg,
        label=size.title,
        capacity_source=f"{capacity.source} {capacity.how_known.value}",
    )


def usual_scale_kpa(fill_kpa: float | None = None) -> float:
    """[kPa] end of the scale of a usual gauge, far enough for the fill.

    >>> round(usual_scale_kpa()), round(usual_scale_kpa(23_000.0))
    (20684, 30667)
    """
    usual = sourced("supply", "gauge_full_scale_psi").inside("pressure")
    return max(usual, _SCALE_OVER_FILL * (fill_kpa or 0.0))


def _test_kpa(size: CylinderSize, fill_kpa: float | None) -> float | None:
    if fill_kpa is None:
        return None
    key = "test_over_service_us" if size.region == "US" else "test_over_fill_iso"
    return fill_kpa * sourced("supply", key).value


def reserve_read(written: str) -> ReservePolicy:
    """A reserve rule as somebody wrote it: a pressure, litres, or minutes.

    Parameters
    ----------
    written : such as ``200 psi``, ``70 L``, ``15 min``.

    Returns
    -------
    The policy.

    Raises
    ------
    UnreadableQuantity : none of the three.

    >>> reserve_read("20 min").minutes, round(reserve_read("14 bar").pressure_kpa)
    (20.0, 1400)
    """
    for kind in ("pressure", "volume", "time"):
        try:
            value = read_quantity(written, kind)
        except UnreadableQuantity:
            continue
        if value < 0:
            break
        return ReservePolicy(
            pressure_kpa=value if kind == "pressure" else None,
            volume_l=value if kind == "volume" else None,
            minutes=value if kind == "time" else None,
        )
    raise UnreadableQuantity(
        f"{written!r} is no reserve; write a pressure, litres or minutes, such as 200 psi, 70 L"
        " or 15 min."
    )
