"""Values of a species that a site sets for itself, taken to the weight of one animal."""

from collections.abc import Mapping

from ullage.answers.animal_values import VALUES
from ullage.core.checks import positive
from ullage.core.errors import UnknownReference

__all__ = ["SETTABLE", "overrides_at", "per_kilogram", "unit_set_in"]

#: What a site may set, by the names of an animal's values -> words.
SETTABLE: Mapping[str, str] = {
    "minute_volume_l_min": "minute volume",
    "alveolar_l_min": "alveolar ventilation",
    "tidal_l": "tidal volume",
    "breaths_per_min": "breaths",
    "dead_space_fraction": "dead space, share of a breath",
    "cardiac_output_l_min": "cardiac output",
    "oxygen_use_l_min": "oxygen use under anaesthesia",
    "oxygen_demand_l_min": "oxygen demand to plan for",
    "co2_output_l_min": "carbon dioxide output",
    "blood_l": "blood volume",
    "fall_in_an_hour_k": "fall of temperature in an hour",
}
_MILLILITRES = {"L": "mL/kg", "L/min": "mL/kg/min"}


def per_kilogram(name: str) -> bool:
    """True for a value that grows with the weight: the site sets it for one kilogram.

    >>> per_kilogram("tidal_l"), per_kilogram("breaths_per_min")
    (True, False)
    """
    return _unit(name) in _MILLILITRES


def unit_set_in(name: str) -> str:
    """The unit in which a site sets a value.

    >>> unit_set_in("tidal_l"), unit_set_in("dead_space_fraction")
    ('mL/kg', '1')
    """
    return _MILLILITRES.get(_unit(name), _unit(name))


def overrides_at(weight_kg: float, set_by_site: Mapping[str, float]) -> dict[str, float]:
    """What a site set, at the weight of one animal and in the units used inside.

    Parameters
    ----------
    weight_kg : [kg] above 0.
    set_by_site : values by name, in the unit of `unit_set_in`.

    Raises
    ------
    InvalidQuantity : a weight that is not above 0.
    UnknownReference : a name that no animal has.

    >>> overrides_at(4.0, {"tidal_l": 10.0, "breaths_per_min": 20.0})
    {'tidal_l': 0.04, 'breaths_per_min': 20.0}
    """
    positive("weight_kg", weight_kg)
    return {
        name: 0.001 * value * weight_kg if per_kilogram(name) else value
        for name, value in set_by_site.items()
    }


def _unit(name: str) -> str:
    if name not in VALUES:
        raise UnknownReference(f"No value {name!r} of an animal; there are {', '.join(VALUES)}.")
    return VALUES[name]
