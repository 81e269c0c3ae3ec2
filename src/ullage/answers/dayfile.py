"""A day plan written as TOML: values are text with units, errors name line and key.

Tables: ``[day]``, ``[reserve]``, ``[[machines]]``, ``[[sources]]``, ``[[cases]]``. The keys of a
case are the same wherever a case is written down.
"""

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from math import inf

from ullage.answers.held import HIGHEST_GAUGE_KPA, refuse_impossible
from ullage.answers.places import place_at
from ullage.answers.plan import (
    Case,
    Chamber,
    DayPlan,
    Drive,
    GasSource,
    Held,
    Machine,
    Phase,
    SourceKind,
    Ventilation,
)
from ullage.answers.presets import cylinder_of_size, usual_scale_kpa
from ullage.answers.things import Cylinder, Place, Reading, ReservePolicy
from ullage.answers.toml_table import TomlTable, first_table
from ullage.core.errors import UllageError
from ullage.core.gas import CONDITIONS, Gas
from ullage.reference import sourced

__all__ = ["case_from_table", "day_from_toml", "place_from_table"]

_FLOWS = {"oxygen": "oxygen_l_min", "air": "air_l_min", "nitrous oxide": "nitrous_oxide_l_min"}
_HIGHEST_FLOW_L_MIN = 200.0


def day_from_toml(text: str) -> DayPlan:
    """The day plan that a TOML text describes.

    Parameters
    ----------
    text : the whole file.

    Returns
    -------
    The plan.

    Raises
    ------
    PlanUnreadable : what cannot be taken as written; the sentence names line and key.

    >>> plan = day_from_toml('''
    ... [[machines]]
    ... name = "Wren"
    ... [[sources]]
    ... name = "Alder"
    ... feeds = "Wren"
    ... size = "E"
    ... gauge = "71 bar"
    ... [[cases]]
    ... name = "Clover"
    ... machine = "Wren"
    ... start = "10:30"
    ... duration = "110 min"
    ... oxygen = "1.7 L/min"
    ... ''')
    >>> plan.cases[0].end_min, plan.sources[0].cylinders[0].cylinder.water_capacity_l
    (740.0, 4.76)
    """
    whole = first_table(text)
    told = whole.table("day")
    place = place_from_table(told)
    tables = {key: tuple(whole.tables(key)) for key in ("machines", "sources", "cases")}
    machines = tuple(_machine(one) for one in tables["machines"])
    names = [one.name for one in machines]
    sources = tuple(_source(one, place, names) for one in tables["sources"])
    plan = DayPlan(
        sources=(),
        machines=_each_once(tables["machines"], machines),
        cases=tuple(_case_on(one, names) for one in tables["cases"]),
        policy=_policy(whole.table("reserve")),
        place=place,
        name=told.text("name", ""),
        now_min=told.clock_min("now"),
        reading_interval_min=told.quantity("reading_interval", "time", above=True),
    )
    told.finish()
    whole.finish()
    for key, found in tables.items():
        if not found:
            raise whole.refused("", f"the file has no [[{key}]]; it needs at least one.")
    return _with_sources(plan, tables["sources"], _each_once(tables["sources"], sources))


def _each_once[Thing: (Machine, GasSource)](
    tables: tuple[TomlTable, ...], things: tuple[Thing, ...]
) -> tuple[Thing, ...]:
    """The same things; a name used twice is refused at its second place."""
    seen: set[str] = set()
    for table, thing in zip(tables, things, strict=True):
        if thing.name in seen:
            raise table.refused("name", f"{thing.name!r} is used twice; give each its own name.")
        seen.add(thing.name)
    return things


def _with_sources(
    plan: DayPlan, tables: tuple[TomlTable, ...], sources: tuple[GasSource, ...]
) -> DayPlan:
    """The plan with its sources, added one by one so that the one refused is named."""
    names = [one.name for one in sources]
    main: list[GasSource] = []
    for table, source in zip(tables, sources, strict=True):
        if source.reserve_of and source.reserve_of not in names:
            raise table.refused("reserve_of", _not_known(source.reserve_of, "source", names))
        if source.reserve_of == source.name:
            raise table.refused("reserve_of", f"{source.name} stands behind itself; name another.")
        if not source.reserve_of:
            main.append(source)
            _made(table, "feeds", partial(replace, plan, sources=tuple(main)))
    return replace(plan, sources=sources)


def place_from_table(told: TomlTable) -> Place:
    """The place that a ``[day]`` table tells: air pressure, warmth, the litres it speaks in.

    Raises
    ------
    PlanUnreadable : a value that cannot be taken as written.
    """
    temperature_k = told.quantity("temperature", "temperature", low=243.15, high=338.15)
    band_k = told.quantity("temperature_band", "temperature step", high=30.0)
    barometer = told.quantity("barometer", "pressure", low=50.0, high=110.0)
    elevation = told.quantity("elevation", "length", low=-500.0, high=6000.0)
    litres = told.text("litres", "15C").replace(" ", "").replace("°", "")
    if litres not in CONDITIONS:
        raise told.refused(
            "litres", f"{litres!r} is not known; write one of {', '.join(CONDITIONS)}."
        )
    unit = told.text("pressure_unit", "bar")
    if unit not in {"bar", "psi", "kPa", "MPa"}:
        raise told.refused("pressure_unit", f"{unit!r} is not known; write bar, psi, kPa or MPa.")
    place = place_at(
        barometric_kpa=barometer, elevation_m=elevation, condition=litres, pressure_unit=unit
    )
    if temperature_k is None:
        return place if band_k is None else replace(place, temperature_band_k=band_k)
    read_k = sourced("supply", "temperature_read_band_k").value
    return replace(
        place,
        temperature_k=temperature_k,
        temperature_band_k=read_k if band_k is None else band_k,
        temperature_given=True,
    )


def _policy(told: TomlTable) -> ReservePolicy:
    found = ReservePolicy(
        pressure_kpa=told.quantity("pressure", "pressure", high=HIGHEST_GAUGE_KPA),
        volume_l=told.quantity("volume", "volume"),
        minutes=told.quantity("time", "time"),
        begin_kpa=told.quantity("begin", "pressure", high=HIGHEST_GAUGE_KPA),
    )
    told.finish()
    return found


def _machine(told: TomlTable) -> Machine:
    found = Machine(
        name=told.text("name"),
        oxygen_alarm=told.flag("oxygen_alarm"),
        ventilator=told.choice("ventilator", Drive, Drive.NONE),
        drive_factor=told.quantity("drive_factor", "count", high=10.0),
        drive_factor_low=told.quantity("drive_factor_low", "count", high=10.0),
        drive_factor_high=told.quantity("drive_factor_high", "count", high=10.0),
        control_l_min=told.quantity("control_gas", "flow", high=100.0) or 0.0,
        sampling_l_min=told.quantity("sampling", "flow", high=100.0) or 0.0,
        basal_l_min=told.quantity("basal", "flow", high=100.0) or 0.0,
        whistle=told.flag("whistle") or False,
        checks_l=told.quantity("checks", "volume", high=1000.0),
        flow_sd_share=told.quantity("flow_error", "share", high=1.0),
    )
    told.text("system", "")
    told.finish()
    return found


def _case_on(told: TomlTable, machines: list[str]) -> Case:
    found = case_from_table(told)
    if found.machine not in machines:
        raise told.refused("machine", _not_known(found.machine, "machine", machines))
    return found


def _not_known(name: str, what: str, known: list[str]) -> str:
    from difflib import get_close_matches

    near = get_close_matches(name, known, n=1)
    also = f"the nearest is {near[0]!r}" if near else f"known are {', '.join(known) or 'none'}"
    return f"{name!r} is no {what} of this file; {also}."


def case_from_table(told: TomlTable) -> Case:
    """One case from its table; the keys are those of every file that holds a case."""
    start = told.clock_min("start")
    if start is None:
        raise told.missing("start", 'this case needs a start, such as "10:30".')
    given = {
        "name": told.text("name"),
        "machine": told.text("machine"),
        "start_min": start,
        "phases": _phases(told),
        "species": told.text("species", ""),
        "weight_kg": told.quantity("weight", "mass", above=True),
        "system": told.text("system", ""),
        "flushes": told.count("flushes"),
        "chamber": _chamber(told),
        "ventilation": _ventilation(told),
        "checked": told.flag("checked") or False,
        "minutes_sd_share": told.quantity("duration_error", "share", high=1.0),
    }
    told.finish()
    return _made(told, "", lambda: Case(**given))  # type: ignore[arg-type]  # keys are its fields


def _made[Thing](told: TomlTable, key: str, make: Callable[[], Thing]) -> Thing:
    """A thing, its own refusal told with line and key."""
    try:
        return make()
    except UllageError as error:
        raise told.wrapped(key, error) from None


def _phases(told: TomlTable) -> tuple[Phase, ...]:
    duration = told.quantity("duration", "time", above=True)
    flows = _flows(told)
    phases = tuple(_phase(one) for one in told.tables("phases"))
    if not phases:
        if duration is None:
            raise told.refused("", "this case needs phases, or a duration and its flows.")
        return (Phase(name="whole", minutes=duration, **flows),)
    if any(flows.values()):
        raise told.refused("oxygen", "flows stand in the phases; leave them out beside them.")
    minutes = sum(phase.minutes for phase in phases)
    if duration is not None and abs(minutes - duration) > 0.5:
        raise told.refused(
            "duration", f"the phases add up to {minutes:g} min, not to {duration:g} min."
        )
    return phases


def _phase(told: TomlTable) -> Phase:
    minutes = told.needed("minutes", "time", high=2880.0)
    found = Phase(name=told.text("name", "phase"), minutes=minutes, **_flows(told))
    told.finish()
    return found


def _flows(told: TomlTable) -> dict[str, float]:
    found = {}
    for gas, name in _FLOWS.items():
        key = gas if gas in told else gas.replace(" ", "_")
        found[name] = told.quantity(key, "flow", high=_HIGHEST_FLOW_L_MIN) or 0.0
    return found


def _chamber(told: TomlTable) -> Chamber | None:
    if "chamber" not in told:
        return None
    inside = told.table("chamber")
    found = Chamber(
        volume_l=inside.needed("volume", "volume", high=1000.0),
        fills=inside.count("fills", 1),
        purges=inside.count("purges", 1),
        volumes=inside.quantity("volumes", "count", high=20.0, above=True) or 3.0,
    )
    inside.finish()
    return found


def _ventilation(told: TomlTable) -> Ventilation | None:
    if "ventilation" not in told:
        return None
    inside = told.table("ventilation")
    found = Ventilation(
        minute_volume_l_min=inside.needed("minute_volume", "flow", high=_HIGHEST_FLOW_L_MIN),
        phases=inside.names("phases"),
    )
    inside.finish()
    return found


def _source(told: TomlTable, place: Place, machines: list[str]) -> GasSource:
    name = told.text("name")
    kind = told.choice("kind", SourceKind, SourceKind.CYLINDER)
    gas = told.choice("gas", Gas, Gas.OXYGEN)
    feeds = told.names("feeds")
    for one in feeds:
        if one not in machines:
            raise told.refused("feeds", _not_known(one, "machine", machines))
    leak = told.quantity("leak", "flow", high=100.0) or 0.0
    given = {
        "name": name,
        "kind": kind,
        "gas": gas,
        "feeds": feeds,
        "reserve_of": told.text("reserve_of", ""),
        "cylinders": _cylinders(told, kind, gas, place),
        "leak_l_min": leak,
        "leak_band_l_min": told.quantity("leak_band", "flow", high=leak) or 0.0,
        "opens_min": told.clock_min("opens"),
        "closes_min": told.clock_min("closes"),
        "change_over_kpa": told.quantity("change_over", "pressure", high=HIGHEST_GAUGE_KPA),
        "flow_limit_l_min": told.quantity("flow_limit", "flow", high=1000.0, above=True),
        "oxygen_fraction": told.quantity("oxygen", "share", high=1.0, above=True),
        "outlet_kpa": told.quantity("outlet", "pressure", high=2000.0, above=True),
        "liquid_l": _liquid_l(told),
        "liquid_band_share": told.quantity("liquid_error", "share", high=1.0),
        "daily_loss_share": told.quantity("daily_loss", "share", high=1.0) or 0.0,
        "read_at_min": told.clock_min("read"),
    }
    told.finish()
    return _made(told, "kind", lambda: GasSource(**given))  # type: ignore[arg-type]  # its fields


def _liquid_l(told: TomlTable) -> float | None:
    """Litres of liquid, or the mass of it turned into litres."""
    litres = told.quantity("liquid", "volume", high=1e6, above=True)
    kilograms = told.quantity("liquid_mass", "mass", high=1e6, above=True)
    if litres is None and kilograms is not None:
        return kilograms / sourced("supply", "liquid_oxygen_kg_per_l").value
    return litres


def _cylinders(told: TomlTable, kind: SourceKind, gas: Gas, place: Place) -> tuple[Held, ...]:
    if kind is SourceKind.MANIFOLD:
        for key in ("duty", "standby"):
            if key not in told:
                raise told.missing(key, f"a manifold has two banks; give [sources.{key}].")
        banks = (told.table(key) for key in ("duty", "standby"))
        return tuple(_held(one, gas, place) for one in banks)
    if kind is SourceKind.SEQUENCE:
        return tuple(_held(one, gas, place) for one in told.tables("cylinders"))
    if kind is SourceKind.CYLINDER:
        return (_held(told, gas, place, own=False),)
    return ()


def _held(told: TomlTable, gas: Gas, place: Place, *, own: bool = True) -> Held:
    cylinder, count = _cylinder(told, gas), told.count("count", 1)
    weight = told.quantity("weight", "mass", above=True)
    gauge = told.quantity("gauge", "pressure", high=HIGHEST_GAUGE_KPA)
    if gas.liquefied and weight is None:
        key = "gauge" if gauge is not None else "weight"
        raise told.refused(
            key, f"the gauge of {gas} cannot tell what is left: give its weight and its tare."
        )
    if gauge is None and weight is None:
        raise told.missing("gauge", 'say what the gauge reads, such as "71 bar".')
    reading = Reading(
        at_min=told.clock_min("read") or 0.0,
        gauge_kpa=gauge,
        weight_kg=weight,
        temperature_k=told.quantity("temperature", "temperature", low=243.15, high=338.15),
    )
    _made(
        told,
        "gauge" if weight is None else "weight",
        lambda: refuse_impossible(cylinder, reading, place),
    )
    if own:
        told.finish()
    return Held(cylinder=cylinder, reading=reading, count=max(count, 1))


def _cylinder(told: TomlTable, gas: Gas) -> Cylinder:
    region = told.text("region", "") or None
    tare = told.quantity("tare", "mass", above=True)
    water = told.quantity("water", "volume", high=1000.0, above=True)
    size = told.text("size", "")
    if gas.liquefied and tare is None and "weight" in told:
        raise told.refused("tare", "a weight needs the tare stamped on the cylinder.")
    if size:
        found = _made(told, "size", lambda: cylinder_of_size(size, region, gas, tare))
    elif water is not None:
        found = Cylinder(
            gas=gas, water_capacity_l=water, full_scale_kpa=usual_scale_kpa(), tare_kg=tare
        )
    else:
        raise told.missing("size", 'say which cylinder: size = "E", or water = "4.7 L".')
    if water is not None:
        found = replace(found, water_capacity_l=water, capacity_source="stamp")
    scale = told.quantity("scale", "pressure", high=inf, above=True)
    test = told.quantity("test_pressure", "pressure", above=True)
    return replace(
        found,
        full_scale_kpa=found.full_scale_kpa if scale is None else scale,
        test_pressure_kpa=found.test_pressure_kpa if test is None else test,
        gauge_error_share=told.quantity("gauge_error", "share", high=0.5),
        water_capacity_share=told.quantity("water_error", "share", high=0.5),
    )
