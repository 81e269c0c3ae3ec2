"""The ending of a name says its unit: the one table that names, tests and typed values share.

`contents_l` is litres, `gauge_kpa` kilopascal, `leak_share` a plain number. A name without a
known ending is dimensionless, written [1].
"""

from collections.abc import Mapping
from dataclasses import dataclass

from ullage.core.errors import UnreadableQuantity
from ullage.core.units import KINDS, convert, read_quantity

__all__ = ["ENDINGS", "Ending", "ending_of", "read_named", "unit_by_name"]


@dataclass(frozen=True, slots=True)
class Ending:
    """A unit, and the kind of quantity in which people may type it; none: a bare number."""

    unit: str
    kind: str = ""


#: Longest ending first wins: `flow_l_min` is litres a minute, not minutes.
ENDINGS: Mapping[str, Ending] = {
    "kpa": Ending("kPa", "pressure"),
    "k": Ending("K", "temperature"),
    "band_k": Ending("K", "temperature step"),
    "step_k": Ending("K", "temperature step"),
    "sd_k": Ending("K", "temperature step"),
    "celsius": Ending("°C", "temperature"),
    "degrees": Ending("°C", "temperature"),
    "kelvin": Ending("K", "temperature"),
    "l": Ending("L", "volume"),
    "ml": Ending("mL", "volume"),
    "m3": Ending("m³", "room volume"),
    "l_min": Ending("L/min", "flow"),
    "ml_min": Ending("mL/min", "flow"),
    "m3_h": Ending("m³/h", "flow"),
    "m3_min": Ending("m³/min"),
    "ml_min_kg": Ending("mL/min/kg", "flow per weight"),
    "l_min_kg": Ending("L/min/kg", "flow per weight"),
    "min": Ending("min", "time"),
    "h": Ending("h", "time"),
    "s": Ending("s", "time"),
    "days": Ending("d", "time"),
    "kg": Ending("kg", "mass"),
    "kg_day": Ending("kg/d"),
    "share_day": Ending("1/d"),
    "kg_s": Ending("kg/s"),
    "m": Ending("m", "length"),
    "m_min": Ending("m/min"),
    "mm": Ending("mm", "length"),
    "per_h": Ending("/h", "rate"),
    "per_day": Ending("1/d"),
    "per_k": Ending("1/K"),
    "per_year": Ending("1/a"),
    "years": Ending("a"),
    "ml_h": Ending("mL/h"),
    "kg_h": Ending("kg/h"),
    "per_min": Ending("/min", "rate"),
    "changes_h": Ending("/h", "rate"),
    "share": Ending("1", "share"),
    "fraction": Ending("1", "share"),
    "chance": Ending("1", "share"),
    "kg_m3": Ending("kg/m³"),
    "mg_m3": Ending("mg/m³"),
    "ppm": Ending("ppm"),
    "pa_s": Ending("Pa s"),
    "g_mol": Ending("g/mol"),
    "kg_mol": Ending("kg/mol"),
    "l_mol": Ending("L/mol"),
    "l_kg": Ending("L/kg"),
    "litres_per_kg": Ending("L/kg"),
    "l_l": Ending("L/L"),
    "w": Ending("W"),
    "j_kg": Ending("J/kg"),
    "j_kg_k": Ending("J/(kg·K)"),
    "l_kpa": Ending("L/kPa", "volume per pressure"),
    "l_psi": Ending("L/psi", "volume per pressure"),
    "kpa_min": Ending("kPa/min"),
}

#: Names that are their own ending.
_WHOLE = frozenset({"celsius", "kelvin", "litres_per_kg"})


def ending_of(name: str) -> Ending:
    """The ending of a name; [1] where none is known.

    >>> ending_of("gauge_kpa").unit, ending_of("flow_l_min").unit, ending_of("z_factor").unit
    ('kPa', 'L/min', '1')
    >>> ending_of("gauge_kpa_from_contents").unit
    'kPa'
    """
    bare = name.removesuffix("_many").replace("_many_", "_")
    words = bare.split("_")
    for start in range(0 if bare in _WHOLE else 1, len(words)):
        found = ENDINGS.get("_".join(words[start:]))
        if found is not None:
            return found
    quantity, wherefrom, _ = bare.partition("_from_")
    return ending_of(quantity) if wherefrom else Ending("1")


def unit_by_name(name: str) -> str:
    """The unit that the name of a number stands for.

    >>> unit_by_name("water_capacity_l"), unit_by_name("contents_many_l"), unit_by_name("ratio")
    ('L', 'L', '1')
    """
    return ending_of(name).unit


def read_named(name: str, text: str) -> float:
    """The number that somebody wrote for a name, in the unit of the name's ending.

    A bare number is taken to be in that unit already.

    Parameters
    ----------
    name : of the number; its ending says the unit.
    text : such as ``1900 psi``; a bare number is in the unit of the name.

    Returns
    -------
    [1] in the unit of the name's ending.

    Raises
    ------
    UnreadableQuantity : no number, or a unit that the name does not allow.

    >>> round(read_named("gauge_kpa", "1900 psi")), read_named("gauge_kpa", "13100")
    (13100, 13100.0)
    >>> round(read_named("time_h", "90 min"), 2), read_named("error_share", "2.5 %")
    (1.5, 0.025)
    """
    ending = ending_of(name)
    try:
        if ending.kind:
            value = read_quantity(text, ending.kind, unit=ending.unit)
            return convert(value, next(iter(KINDS[ending.kind])), ending.kind, ending.unit)
        bare = text.strip()
        if ending.unit != "1":
            bare = bare.removesuffix(ending.unit)
        return read_quantity(bare, "count")
    except UnreadableQuantity as refusal:
        raise UnreadableQuantity(f"{name}: {refusal}") from None
