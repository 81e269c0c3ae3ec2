"""A chain from a TOML file: a table for each part, values as people write them."""

from dataclasses import fields
from enum import StrEnum
from types import UnionType
from typing import Any, get_args, get_type_hints

from ullage.answers.chain_things import Chain, Contents, PlannedFlow, Stored
from ullage.answers.endings import ENDINGS, ending_of
from ullage.answers.held import refuse_impossible
from ullage.answers.places import place_at
from ullage.answers.plan import SourceKind
from ullage.answers.presets import cylinder_of_size, usual_scale_kpa
from ullage.answers.things import Cylinder, Reading
from ullage.answers.toml_table import TomlTable, first_table
from ullage.core.errors import PlanUnreadable, UllageError
from ullage.core.gas import CONDITIONS, Gas

__all__ = ["chain_from_toml"]

#: Fields of a chain that stand in its own table.
HEADING = frozenset({"gas", "source", "place", "name", "country", "colour_scheme"})

#: Parts whose tables hold a list, and what one of the list is.
LISTS: dict[str, tuple[str, type[Any]]] = {
    "flowmeter": ("flows", PlannedFlow),
    "storage": ("stored", Stored),
}


def chain_from_toml(text: str) -> Chain:
    """The chain that a file describes; what is not in it stays unanswered.

    Parameters
    ----------
    text : of the file; tables `chain`, `identity`, `secured`, `contents`, `seal` and so on.

    Returns
    -------
    The chain.

    Raises
    ------
    PlanUnreadable : empty, not TOML, or a key that a chain does not have; with line and key.

    >>> chain_from_toml('[seal]\\ncount = 1\\nnew = true\\n').seal.count
    1
    """
    if not text.strip():
        raise PlanUnreadable("Line 1: the file is empty; it needs a part, such as [identity].")
    file = first_table(text)
    parts: dict[str, Any] = get_type_hints(Chain)
    known = _heading(file.table("chain"))
    for one in fields(Chain):
        kind: Any = parts[one.name]
        if one.name in file and one.name not in HEADING:
            table = file.table(one.name)
            contents = kind is Contents
            known[one.name] = _contents(table, known) if contents else _part(table, kind)
    file.finish(known={one.name for one in fields(Chain)} - HEADING)
    return Chain(**known)


def _heading(table: TomlTable) -> dict[str, Any]:
    unit = table.text("pressure_unit", "bar")
    if unit not in {"bar", "psi", "kPa", "MPa"}:
        raise table.refused("pressure_unit", f"{unit!r} is not known; write bar, psi, kPa or MPa.")
    condition = table.text("litres", "70F" if unit == "psi" else "15C")
    if condition not in CONDITIONS:
        raise table.refused("litres", f"{condition!r} must be one of {', '.join(CONDITIONS)}.")
    place = place_at(
        barometric_kpa=table.quantity("barometer", "pressure", low=50.0, high=110.0),
        elevation_m=table.quantity("elevation", "length", low=-500.0, high=6000.0),
        temperature_k=_temperature_k(table),
        condition=condition,
        pressure_unit=unit,
    )
    colours = table.text("colours", "us" if unit == "psi" else "iso32")
    if colours not in {"us", "iso32"}:
        raise table.refused("colours", f"{colours!r} is not known; write us or iso32.")
    found = {
        "gas": table.choice("gas", Gas, Gas.OXYGEN),
        "source": table.choice("source", SourceKind, SourceKind.CYLINDER),
        "place": place,
        "name": table.text("name", ""),
        "country": table.text("country", "").upper(),
        "colour_scheme": colours,
    }
    table.finish()
    return found


def _temperature_k(table: TomlTable) -> float | None:
    return table.quantity("temperature", "temperature", low=243.15, high=338.15)


def _contents(table: TomlTable, known: dict[str, Any]) -> Contents:
    cylinder, reading = _cylinder(table, known["gas"]), _reading(table)
    if cylinder is not None and reading is not None:
        try:
            refuse_impossible(cylinder, reading, known["place"])
        except UllageError as error:
            raise table.wrapped("weight" if reading.gauge_kpa is None else "gauge", error) from None
    found = Contents(
        cylinder=cylinder,
        reading=reading,
        needed_l=table.quantity("needed", "volume"),
        second_source=table.flag("second_source"),
    )
    table.finish()
    return found


def _cylinder(table: TomlTable, gas: Gas) -> Cylinder | None:
    size, region = table.text("size", ""), table.text("region", "")
    water_l = table.quantity("water_capacity", "volume", above=True)
    tare_kg = table.quantity("tare", "mass")
    if size:
        try:
            return cylinder_of_size(size, region or None, gas, tare_kg)
        except UllageError as error:
            raise table.wrapped("size", error) from None
    if water_l is None:
        return None
    return Cylinder(
        gas=gas,
        water_capacity_l=water_l,
        full_scale_kpa=usual_scale_kpa(),
        tare_kg=tare_kg,
        capacity_source="stamp",
    )


def _reading(table: TomlTable) -> Reading | None:
    gauge_kpa, weight_kg = table.quantity("gauge", "pressure"), table.quantity("weight", "mass")
    temperature_k = _temperature_k(table)
    if gauge_kpa is None and weight_kg is None:
        return None
    return Reading(
        at_min=0.0, gauge_kpa=gauge_kpa, weight_kg=weight_kg, temperature_k=temperature_k
    )


def _part(table: TomlTable, kind: type[Any], part: str = "") -> Any:
    hints = get_type_hints(kind)
    listed, member = LISTS.get(kind.__name__.lower(), ("", PlannedFlow))
    read: dict[str, Any] = {}
    for one in fields(kind):
        if one.name == listed:
            if listed in table:
                read[listed] = tuple(_part(row, member) for row in table.tables(listed))
        else:
            key = _key(one.name)
            if key in table:
                read[one.name] = _value(table, key, one.name, _bare(hints[one.name]))
    table.finish(known=[_key(one.name) for one in fields(kind)])
    try:
        return kind(**read)
    except (UllageError, TypeError) as error:
        if isinstance(error, UllageError):
            raise table.wrapped("", error) from None
        missing = ", ".join(_key(one.name) for one in fields(kind) if one.name not in read)
        raise table.refused("", f"This also needs one or more of {missing}.") from None


def _value(table: TomlTable, key: str, name: str, kind: Any) -> Any:
    if kind is bool:
        return table.flag(key)
    if kind is int:
        return table.count(key)
    if kind is float:
        return table.quantity(key, ending_of(name).kind or "count")
    if isinstance(kind, type) and issubclass(kind, StrEnum) and kind is not str:
        return table.choice(key, kind, None)
    return table.text(key)


def _key(name: str) -> str:
    """A key of the file is the name of the field without its unit.

    >>> _key("still_gauge_kpa"), _key("flow_l_min"), _key("colour")
    ('still_gauge', 'flow', 'colour')
    """
    words = name.split("_")
    for start in range(1, len(words)):
        if "_".join(words[start:]) in ENDINGS:
            return "_".join(words[:start])
    return name


def _bare(annotation: Any) -> Any:
    return get_args(annotation)[0] if isinstance(annotation, UnionType) else annotation
