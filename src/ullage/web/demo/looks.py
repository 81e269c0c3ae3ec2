"""What somebody found along each chain this morning: in order, but for what the story needs."""

from collections.abc import Mapping
from typing import Any

from ullage.core.units import BAR_KPA
from ullage.web.demo.cast import SiteCast, Story

__all__ = ["look_along"]

#: Gas -> pins of the yoke, number of the large valve, number of the outlet.
_CONNECTIONS = {
    "oxygen": ("pins 2-5", "CGA 540", "DISS 1240"),
    "air": ("pins 1-5", "CGA 346", "DISS 1160"),
    "nitrous oxide": ("pins 3-5", "CGA 326", "DISS 1040"),
}
_COLOURS = {
    "iso32": {"oxygen": "white", "air": "black and white", "nitrous oxide": "blue"},
    "us": {"oxygen": "green", "air": "yellow", "nitrous oxide": "blue"},
}
_LINE_KPA = {"GB": (4.05 * BAR_KPA, 3.9 * BAR_KPA), "US": (345.0, 335.0)}


def look_along(story: Story, site: SiteCast, *, reserve_kpa: float | None) -> dict[str, Any]:
    """What is written down of one chain, part by part."""
    small = story.size == "E"
    has_cylinders = story.kind in {"cylinder", "sequence", "manifold"}
    found: dict[str, Mapping[str, Any]] = {
        "identity": _identity(story, site, small=small, has_cylinders=has_cylinders),
        "oil_free": {"clean": True},
        "regulator": _regulator(site),
        "hose": _hose(story, site, direct=small),
        "flowmeter": {"gas": story.gas, "float_free": True},
        "bag": {"present": True, "fits": True},
        "reserve": _reserve(reserve_kpa),
        "ventilator": {
            "lowest_gauge_kpa": 280.0,
            "highest_gauge_kpa": 600.0,
            "peak_flow_l_min": 60.0,
            "supply_flow_l_min": 120.0,
        },
        "storage": {"enclosed": True},
    }
    if has_cylinders:
        found["secured"] = _secured(small=small)
        found["seal"] = {"takes_seal": True, "count": 1, "new": True, "greased": False}
        found["contents"] = {"second_source": reserve_kpa is not None}
    if any(one.name == story.room and one.is_magnet for one in site.rooms):
        found["magnet"] = {"cylinder_material": "aluminium", "regulator_marked": True}
    return found


def _identity(story: Story, site: SiteCast, *, small: bool, has_cylinders: bool) -> dict[str, Any]:
    yoke, valve, outlet = _CONNECTIONS[story.gas]
    return {
        "label_gas": story.gas,
        "colour": _COLOURS[str(site.facts["gas_colours"])][story.gas],
        "connection": yoke if small else valve if has_cylinders else outlet,
        "adapted": False,
    }


def _regulator(site: SiteCast) -> dict[str, Any]:
    still, flowing = _LINE_KPA[str(site.facts["country"])]
    return {
        "kind": "preset",
        "still_gauge_kpa": still,
        "flowing_gauge_kpa": flowing,
        "creeps": False,
    }


def _hose(story: Story, site: SiteCast, *, direct: bool) -> dict[str, Any]:
    if direct:
        return {"fitted": False}
    return {
        "fitted": True,
        "ends_gas": story.gas,
        "colour": _COLOURS[str(site.facts["gas_colours"])][story.gas],
        "rated": True,
        "laboratory_tubing": False,
        "damaged": False,
    }


def _secured(*, small: bool) -> dict[str, Any]:
    if small:
        return {"held": "on the machine", "upright": True}
    return {"held": "chained to the wall", "upright": True, "chain_above_middle": True}


def _reserve(gauge_kpa: float | None) -> dict[str, Any]:
    if gauge_kpa is None:
        return {"present": False}
    return {
        "present": True,
        "gauge_kpa": gauge_kpa,
        "full_gauge_kpa": 137.0 * BAR_KPA,
        "wrench": True,
        "valve_closed": True,
    }
