"""What the fact tables hold on a species: tissues, blood, lung, alerts, ventilator settings.

Every number stays in its row and comes with the mark of that row.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache

from ullage.core.errors import UnknownReference
from ullage.reference.facts import Fact, fact_rows
from ullage.reference.taken import number_of, numbers_in
from ullage.reference.values import HowKnown, Sourced, Standing

__all__ = [
    "SIX",
    "Alerts",
    "FourGroups",
    "TissueRow",
    "alerts",
    "blood_volume",
    "four_groups",
    "lung_volumes",
    "physiology_row",
    "tissue_set",
    "ventilator_rows",
]

#: The tissues of the six-group set, in the order of the engine, which adds a seventh behind them.
SIX = ("brain", "viscera", "kidney", "muscle", "vessel_poor", "fat")

#: The table speaks of these species under another name.
_ALSO = {"macaque": ("macaque", "macaque (rhesus)", "monkey", "monkey (macaque proxy)")}

#: Organs of the chicken's table -> the tissue of the six-group set that they count with.
_ORGANS = {
    "kidney": "kidney",
    "brain": "brain",
    "muscle": "muscle",
    "adipose": "fat",
    "carcass": "vessel_poor",
    **dict.fromkeys(
        ("liver", "lung", "heart", "intestine", "crop", "gizzard", "hepatic_artery"), "viscera"
    ),
    "reproductive": "viscera",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class TissueRow:
    """Mass and flow of one tissue, as shares of body weight and of cardiac output."""

    tissue: str
    mass: Sourced
    flow: Sourced


@dataclass(frozen=True, slots=True, kw_only=True)
class FourGroups:
    """The four-group row of a species: output awake, and shares in percent.

    The order is vessel-rich, muscle with skin, fat, vessel-poor.
    """

    output_ml_min_kg: Sourced
    flow_percent: tuple[Sourced, ...]
    volume_percent: tuple[Sourced, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Alerts:
    """Proposed limits for an anaesthetised adult; a plan may set its own."""

    heart_rate_low: Sourced
    heart_rate_high: Sourced
    breaths_low: Sourced
    breaths_high: Sourced
    mean_pressure_low: Sourced
    temperature_caution: Sourced
    temperature_critical: Sourced
    temperature_high: Sourced


@cache
def tissue_set(species: str, which: str = "REC") -> tuple[TissueRow, ...]:
    """The six tissues of a species; empty where the table has no set of it.

    >>> [one.mass.value for one in tissue_set("mouse")][:2]
    [0.0165, 0.115]
    """
    rows = [one for one in fact_rows("body") if one.subject == f"{species}, {which}"]
    if not rows and species == "chicken":
        return _chicken()
    found = (TissueRow(tissue=one.quantity, mass=_part(one, 1), flow=_part(one, 2)) for one in rows)
    return tuple(sorted(found, key=lambda one: SIX.index(one.tissue)))


def _part(row: Fact, part: int, unit: str = "1") -> Sourced:
    return number_of(row, part, unit)


@cache
def _chicken() -> tuple[TissueRow, ...]:
    """The organs of the chicken's table, added up to six tissues; flows made to add to one."""
    masses, flows = (_added(f"{kind}: ") for kind in ("tissue mass", "blood flow"))
    whole = sum(flows.values())
    first = next(one for one in fact_rows("physiology_values") if one.subject == "chicken")

    def worked_out(value: float, kind: str, tissue: str) -> Sourced:
        text = f"{kind} of {tissue}, organs of the table added up"
        row = number_of(first)
        return _computed(row, value, f"B263 to B288: {text}. {first.source}")

    return tuple(
        TissueRow(
            tissue=one,
            mass=worked_out(masses[one], "mass", one),
            flow=worked_out(flows[one] / whole, "flow", one),
        )
        for one in SIX
    )


def _added(start: str) -> dict[str, float]:
    total = dict.fromkeys(SIX, 0.0)
    for row in fact_rows("physiology_values"):
        if row.subject == "chicken" and row.quantity.startswith(start):
            organ = row.quantity.removeprefix(start)
            if organ in _ORGANS:
                total[_ORGANS[organ]] += row.number or 0.0
    return total


def _computed(row: Sourced, value: float, where: str) -> Sourced:
    return replace(
        row,
        value=value,
        unit="1",
        low=None,
        high=None,
        spread=None,
        where=where,
        how_known=HowKnown.COMPUTED,
        standing=Standing.ESTIMATED,
    )


def _physiology(species: str, start: str) -> Iterator[Fact]:
    names = _ALSO.get(species, (species,))
    for row in fact_rows("physiology_values"):
        several = {one.strip() for one in row.subject.split(",")}
        if several & set(names) and row.quantity.startswith(start):
            yield row


def physiology_row(species: str, start: str) -> Fact | None:
    """The first row of the table of physiology on a species that starts like this; None if none.

    >>> physiology_row("mouse", "blood volume").value
    '79'
    """
    return next(_physiology(species, start), None)


@cache
def four_groups(species: str) -> FourGroups | None:
    """The four-group working set of a species; None where the table has none.

    >>> four_groups("sheep").output_ml_min_kg.value
    95.0
    """
    row = physiology_row(species, "WORKING SET")
    if row is None:
        return None
    return FourGroups(
        output_ml_min_kg=_part(row, 1, "mL/min/kg"),
        flow_percent=tuple(_part(row, part, "%") for part in range(2, 6)),
        volume_percent=tuple(_part(row, part, "%") for part in range(6, 10)),
    )


@cache
def blood_volume(species: str) -> Sourced | None:
    """Blood of a species [mL/kg]; None where the table has none.

    >>> blood_volume("cat").high
    66.0
    """
    rows = _physiology(species, "blood volume")
    row = next((one for one in rows if one.unit == "mL/kg"), None)
    return None if row is None else number_of(row)


@cache
def lung_volumes(species: str) -> tuple[Sourced, ...]:
    """Measured functional residual capacities [mL/kg], anaesthetised where there are such rows.

    >>> [one.value for one in lung_volumes("rat")]
    [20.0, 6.8]
    """
    rows = list(_physiology(species, "TLC / FRC / RV"))
    asleep = [one for one in rows if "anaesthetised" in one.condition]
    return tuple(_part(one, 2, "mL/kg") for one in asleep or rows)


@cache
def alerts(species: str) -> Alerts | None:
    """Proposed alert limits of a species; None where the table has none.

    >>> alerts("rabbit").heart_rate_low.value, alerts("rabbit").temperature_high.value
    (130.0, 40.0)
    """
    row = physiology_row(species, "DEFAULT ALERTS")
    if row is None:
        return None
    groups = row.value.split(";")
    if len(groups) != 4:
        raise UnknownReference(f"{row.place} holds no four groups of limits: {row.value!r}.")
    units = (("/min",) * 2, ("/min",) * 2, ("mmHg",), ("°C",) * 3)
    found = [
        _shifted(row, group, part, unit)
        for group, named in zip(groups, units, strict=True)
        for part, unit in enumerate(named, start=1)
    ]
    names = list(Alerts.__dataclass_fields__)
    return Alerts(**dict(zip(names, found, strict=True)))


def _shifted(row: Fact, group: str, part: int, unit: str) -> Sourced:
    return number_of(replace(row, value=group, number=None), part, unit)


@cache
def ventilator_rows(species: str) -> dict[str, tuple[Sourced, Sourced, Sourced]]:
    """Starting settings of a ventilator: middle, low and high of volume, rate; and of pressure.

    Empty where the table has none; the pressure has only ends, so its middle is the low one.

    >>> [one.value for one in ventilator_rows("cat")["rate_per_min"]]
    [14.0, 10.0, 20.0]
    """
    row = physiology_row(species, "DEFAULT ventilator set")
    if row is None:
        return {}
    volume, rate, pressure = row.value.split(" / ")
    ends = numbers_in(pressure)
    parts = (1, 1, min(2, len(ends)))
    return {
        "tidal_ml_kg": _triple(row, volume, (1, 2, 3), "mL/kg"),
        "rate_per_min": _triple(row, rate, (1, 2, 3), "/min"),
        "pressure_cmh2o": _triple(row, pressure, parts, "cmH2O"),
    }


def _triple(
    row: Fact, group: str, parts: tuple[int, int, int], unit: str
) -> tuple[Sourced, Sourced, Sourced]:
    first, second, third = (_shifted(row, group, part, unit) for part in parts)
    return first, second, third
