"""Oxygen in the air of a room after a release or beside a leak, the room taken as well mixed.

Mixing is never perfect: beside the leak, under drapes and in clothing the share is further
from air than the mean of the room. Both forms of a sudden release are worked out, and the
hazard takes the one that is further from air.
"""

from enum import StrEnum
from math import exp, log

from ullage.core.checks import not_negative, positive, within
from ullage.core.errors import InvalidQuantity

__all__ = [
    "AIR_OXYGEN_FRACTION",
    "Mixing",
    "Released",
    "most_leak_share",
    "room_limit_min",
    "room_oxygen_after_fraction",
    "room_oxygen_later_fraction",
    "room_oxygen_steady_fraction",
    "smallest_room_m3",
]

#: Oxygen in dry air, as the published balances of a room take it.
AIR_OXYGEN_FRACTION = 0.2095

_L_PER_M3 = 1000.0
_MIN_PER_H = 60.0


class Released(StrEnum):
    """What comes out: pure oxygen, or a gas without any."""

    OXYGEN = "oxygen"
    INERT = "inert"


class Mixing(StrEnum):
    """How the released gas and the air of the room change places."""

    DISPLACEMENT = "displacement"  # mixed air leaves while the gas comes
    BULK = "bulk"  # the gas comes first, pushes out air, and mixes then
    WORST = "worst"  # whichever is further from air


def room_oxygen_after_fraction(
    room_m3: float,
    release_l: float,
    released: Released = Released.OXYGEN,
    mixing: Mixing = Mixing.WORST,
    air_fraction: float = AIR_OXYGEN_FRACTION,
) -> float:
    """Oxygen in a room after a sudden release, no air change meanwhile.

    Parameters
    ----------
    room_m3 : [m³] air in the room, above 0.
    release_l : [L] of gas at room temperature and pressure, 0 or more.
    released : oxygen, or a gas without any.
    mixing : displacement, bulk, or the worst of both.
    air_fraction : [1] oxygen in the air of the room before, 0 to 1.

    Returns
    -------
    [1] never above 1 nor below 0.

    Raises
    ------
    InvalidQuantity : a number outside its range.

    Source: supply_S63 (well-mixed release: displacement and bulk form).

    >>> mixed = Mixing.DISPLACEMENT
    >>> round(room_oxygen_after_fraction(30.0, 660.0, mixing=mixed), 4)
    0.2267
    """
    within("air_fraction", air_fraction, 0.0, 1.0)
    share = not_negative("release_l", release_l) / (positive("room_m3", room_m3) * _L_PER_M3)
    replaced = {
        Mixing.DISPLACEMENT: 1.0 - exp(-share),
        Mixing.BULK: min(share, 1.0),
        Mixing.WORST: max(1.0 - exp(-share), min(share, 1.0)),
    }[mixing]
    return air_fraction + (_brought(released) - air_fraction) * replaced


def room_oxygen_steady_fraction(
    room_m3: float,
    air_changes_per_h: float,
    leak_l_min: float,
    released: Released = Released.OXYGEN,
    air_fraction: float = AIR_OXYGEN_FRACTION,
) -> float:
    """Oxygen in a ventilated room that a leak comes to in the end.

    Parameters
    ----------
    room_m3 : [m³] air in the room, above 0.
    air_changes_per_h : [/h] room volumes of fresh air each hour, above 0.
    leak_l_min : [L/min] at room temperature and pressure, 0 or more.
    released : oxygen, or a gas without any.
    air_fraction : [1] oxygen in the fresh air, 0 to 1.

    Returns
    -------
    [1] about 63 % of the way is gone after one air change.

    Raises
    ------
    InvalidQuantity : a number outside its range.

    Source: supply_S63 (steady leak into fresh air).

    >>> round(room_oxygen_steady_fraction(30.0, 2.0, 10.0), 4)
    0.2173
    """
    within("air_fraction", air_fraction, 0.0, 1.0)
    fresh = positive("air_changes_per_h", air_changes_per_h) * _room_l(room_m3) / _MIN_PER_H
    leak = not_negative("leak_l_min", leak_l_min)
    return (air_fraction * fresh + _brought(released) * leak) / (fresh + leak)


def room_oxygen_later_fraction(
    room_m3: float,
    air_changes_per_h: float,
    leak_l_min: float,
    elapsed_min: float,
    released: Released = Released.OXYGEN,
    air_fraction: float = AIR_OXYGEN_FRACTION,
) -> float:
    """Oxygen in a room some time after a leak began, from fresh air.

    Parameters
    ----------
    room_m3 : [m³] air in the room, above 0.
    air_changes_per_h : [/h] room volumes of fresh air each hour, 0 or more.
    leak_l_min : [L/min] at room temperature and pressure, 0 or more.
    elapsed_min : [min] since the leak began, 0 or more.
    released : oxygen, or a gas without any.
    air_fraction : [1] oxygen in the fresh air, 0 to 1.

    Returns
    -------
    [1]

    Raises
    ------
    InvalidQuantity : a number outside its range.

    Source: supply_S63 (well-mixed balance of a room).

    >>> round(room_oxygen_later_fraction(30.0, 0.0, 10.0, 98.4), 4)
    0.235
    """
    within("air_fraction", air_fraction, 0.0, 1.0)
    fresh = not_negative("air_changes_per_h", air_changes_per_h) * _room_l(room_m3) / _MIN_PER_H
    leak = not_negative("leak_l_min", leak_l_min)
    if fresh + leak == 0.0:
        return air_fraction
    end = (air_fraction * fresh + _brought(released) * leak) / (fresh + leak)
    gone = exp(-(fresh + leak) / _room_l(room_m3) * not_negative("elapsed_min", elapsed_min))
    return end + (air_fraction - end) * gone


def room_limit_min(
    room_m3: float,
    leak_l_min: float,
    limit_fraction: float,
    released: Released = Released.OXYGEN,
    air_fraction: float = AIR_OXYGEN_FRACTION,
) -> float:
    """Time until a leak brings an unventilated room to a limit.

    Parameters
    ----------
    room_m3 : [m³] air in the room, above 0.
    leak_l_min : [L/min] at room temperature and pressure, above 0.
    limit_fraction : [1] oxygen: 0.235 is often called enriched, 0.195 deficient.
    released : oxygen, or a gas without any.
    air_fraction : [1] oxygen in the room at first, 0 to 1.

    Returns
    -------
    [min]

    Raises
    ------
    InvalidQuantity : a limit that this gas never reaches, a number outside its range.

    Source: supply_S63 (well-mixed balance without ventilation).

    >>> round(room_limit_min(30.0, 10.0, 0.235), 1)
    98.4
    """
    share = _share_to_limit(limit_fraction, released, air_fraction)
    return _room_l(room_m3) / positive("leak_l_min", leak_l_min) * -log(1.0 - share)


def smallest_room_m3(
    release_l: float,
    limit_fraction: float,
    released: Released = Released.OXYGEN,
    mixing: Mixing = Mixing.WORST,
    air_fraction: float = AIR_OXYGEN_FRACTION,
) -> float:
    """Room that a sudden release brings just to a limit; a smaller one passes it.

    Parameters
    ----------
    release_l : [L] of gas at room temperature and pressure, 0 or more.
    limit_fraction : [1] oxygen: 0.235 is often called enriched, 0.195 deficient.
    released : oxygen, or a gas without any.
    mixing : displacement, bulk, or the worst of both.
    air_fraction : [1] oxygen in the room at first, 0 to 1.

    Returns
    -------
    [m³] without any air change meanwhile.

    Raises
    ------
    InvalidQuantity : a limit that this gas never reaches, a number outside its range.

    Source: supply_S63 (well-mixed release, solved for the room).

    >>> round(smallest_room_m3(660.0, 0.235, mixing=Mixing.DISPLACEMENT), 1)
    20.1
    """
    share = _share_to_limit(limit_fraction, released, air_fraction)
    displaced = -log(1.0 - share)
    room_shares = {
        Mixing.DISPLACEMENT: displaced,
        Mixing.BULK: share,
        Mixing.WORST: min(displaced, share),
    }
    return not_negative("release_l", release_l) / _L_PER_M3 / room_shares[mixing]


def most_leak_share(
    limit_fraction: float,
    released: Released = Released.OXYGEN,
    air_fraction: float = AIR_OXYGEN_FRACTION,
) -> float:
    """Largest leak over fresh air flow that keeps a ventilated room within a limit.

    Parameters
    ----------
    limit_fraction : [1] oxygen: 0.235 is often called enriched, 0.195 deficient.
    released : oxygen, or a gas without any.
    air_fraction : [1] oxygen in the fresh air, 0 to 1.

    Returns
    -------
    [1] of the fresh air flow; about 1/30 for oxygen and 0.235.

    Raises
    ------
    InvalidQuantity : a limit that this gas never reaches.

    Source: supply_S63 (steady leak into fresh air, solved for the leak).

    >>> round(most_leak_share(0.235), 4)
    0.0333
    """
    _share_to_limit(limit_fraction, released, air_fraction)
    return (limit_fraction - air_fraction) / (_brought(released) - limit_fraction)


def _brought(released: Released) -> float:
    """Oxygen fraction of the gas that comes."""
    return 1.0 if released is Released.OXYGEN else 0.0


def _room_l(room_m3: float) -> float:
    return positive("room_m3", room_m3) * _L_PER_M3


def _share_to_limit(limit_fraction: float, released: Released, air_fraction: float) -> float:
    """Share of the room that the gas must replace; refuse a limit on the other side of air."""
    within("air_fraction", air_fraction, 0.0, 1.0)
    low, high = sorted((air_fraction, _brought(released)))
    if not low < limit_fraction < high:
        allowed = f"above {low:g} and below {high:g} for a release of {released} gas"
        raise InvalidQuantity("limit_fraction", limit_fraction, allowed)
    return (limit_fraction - air_fraction) / (_brought(released) - air_fraction)
