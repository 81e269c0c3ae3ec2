"""The place as a site describes it: its air pressure, its warmth, the litres it speaks in."""

from dataclasses import replace

from ullage.answers.things import Place
from ullage.core.errors import UnknownReference
from ullage.core.gas import CONDITIONS
from ullage.core.units import STANDARD_ATMOSPHERE_KPA, unit_of

__all__ = ["place_at"]


def place_at(
    *,
    barometric_kpa: float | None = None,
    elevation_m: float | None = None,
    temperature_k: float | None = None,
    condition: str = "15C",
    pressure_unit: str = "bar",
) -> Place:
    """The place of a site; an air pressure that was read comes before one from the elevation.

    Parameters
    ----------
    barometric_kpa : [kPa] absolute, read at the site; None takes the elevation.
    elevation_m : [m] above sea level; None takes sea level.
    temperature_k : [K] usual room temperature; None takes the assumed one.
    condition : ``70F``, ``15C`` or ``0C``: the litres the site speaks in.
    pressure_unit : the unit of its gauges.

    Returns
    -------
    The place.

    Raises
    ------
    InvalidQuantity : air, a height or a warmth in which nobody works.
    UnknownReference : no such condition.
    UnreadableQuantity : no unit of pressure.

    >>> round(place_at(elevation_m=1900.0).barometric_kpa, 1)
    80.5
    >>> place_at(barometric_kpa=99.0, elevation_m=1900.0).barometric_kpa
    99.0
    """
    if condition not in CONDITIONS:
        known = ", ".join(CONDITIONS)
        raise UnknownReference(f"No condition of litres {condition!r}; write one of {known}.")
    air_kpa = barometric_kpa if barometric_kpa is not None else _air_kpa(elevation_m)
    place = Place(
        barometric_kpa=air_kpa,
        condition=CONDITIONS[condition],
        pressure_unit=unit_of("pressure", pressure_unit),
    )
    return place if temperature_k is None else replace(place, temperature_k=temperature_k)


def _air_kpa(elevation_m: float | None) -> float:
    if elevation_m is None:
        return STANDARD_ATMOSPHERE_KPA
    from ullage.core.gas import standard_atmosphere_kpa

    return standard_atmosphere_kpa(elevation_m)
