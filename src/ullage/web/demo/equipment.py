"""The parts of the machines of the practice world: invented figures, no brands.

What a machine has follows from how it is used; dates are counted back from the day of the story.
"""

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

from ullage.core.errors import UnknownReference
from ullage.web.demo.cast import MachineCast
from ullage.web.machines.selectors import Machine, Part
from ullage.web.sites.selectors import Site

__all__ = ["equipment_of", "spare_parts"]

#: A kind, a name, facts in our own units.
type Row = tuple[str, str, dict[str, Any]]

#: [d] since most parts were bought; and since the vaporizer was that nobody has tested in time.
_BOUGHT_D, _OLD_D = 240, 1400
#: [d] until a pressure hose is to be replaced.
_HOSE_D = 1100
#: The old vaporizers: that of Heron is overdue for its output test, that of Wren drifts.
_OLD = {("Heron", "Isoflurane"), ("Wren", "Isoflurane")}
_SCAVENGING: dict[str, dict[str, Any]] = {
    "Theatre 1": {"way": "active", "flow_l_min": 75.0},
    "Theatre 2": {"way": "active", "flow_l_min": 75.0},
    "Imaging room": {"way": "passive"},
    "Rodent lab, Mill End": {"way": "charcoal", "start_kg": 0.212, "gain_limit_kg": 0.050},
    "Cabin": {"way": "charcoal", "start_kg": 0.208, "gain_limit_kg": 0.050},
}


def equipment_of(cast: MachineCast, machine: Machine, today: date) -> list[Part]:
    """The parts of one machine, not yet written."""
    rows = [*_gas_side(cast), *_animal_side(cast), *_watching(cast)]
    return [
        _part(machine.site, row, order, today, machine=machine) for order, row in enumerate(rows)
    ]


def spare_parts(site: Site, today: date) -> list[Part]:
    """What lies in store: a vaporizer and a hose that stand in for others."""
    rows: tuple[Row, ...] = (
        ("vaporizer", "Isoflurane, spare", _vaporizer("isoflurane", 0.05)),
        ("hose", "Oxygen hose, spare", _hose("oxygen", today)),
    )
    return [_part(site, row, order, today) for order, row in enumerate(rows)]


def _part(site: Site, row: Row, order: int, today: date, machine: Machine | None = None) -> Part:
    kind, name, facts = row
    old = machine is not None and (machine.name, name) in _OLD
    bought = today - timedelta(days=_OLD_D if old else _BOUGHT_D)
    if kind == "hose":
        facts = _hose(facts["gas"], today)
    return Part(
        site=site,
        machine=machine,
        kind=kind,
        name=name,
        facts=facts,
        bought_on=bought,
        order=order,
    )


def _hose(gas: str, today: date) -> dict[str, Any]:
    due = today + timedelta(days=_HOSE_D)
    return {"gas": gas, "rated_kpa": 1400.0, "replace_by": due.isoformat()}


def _vaporizer(agent: str, highest: float) -> dict[str, Any]:
    return {
        "agent": agent,
        "works_by": "splitting",
        "dial_lowest_fraction": 0.002,
        "dial_highest_fraction": highest,
        "flow_lowest_l_min": 0.2,
        "flow_highest_l_min": 15.0,
        "fill_l": 0.25,
    }


def _gas_side(cast: MachineCast) -> Iterator[Row]:
    """From the hose to the vaporizer."""
    yield "hose", "Oxygen hose", {"gas": "oxygen"}
    facts: dict[str, Any] = {"gas": "oxygen", "float_kind": "ball"}
    for name, field in (
        ("lowest_l_min", "flowmeter_min_l_min"),
        ("highest_l_min", "flowmeter_max_l_min"),
        ("sd_share", "flow_sd_share"),
    ):
        if field in cast.facts:
            facts[name] = cast.facts[field]
    yield "flowmeter", "Oxygen tube", facts
    if cast.name == "Heron":
        yield "hose", "Air hose", {"gas": "air"}
        yield "flowmeter", "Air tube", {"gas": "air", "lowest_l_min": 0.2, "highest_l_min": 10.0}
        yield "vaporizer", "Sevoflurane", _vaporizer("sevoflurane", 0.08)
    yield "vaporizer", "Isoflurane", _vaporizer("isoflurane", 0.05)


def _animal_side(cast: MachineCast) -> Iterator[Row]:
    """The breathing system and what belongs to it."""
    from ullage.answers import system_named

    circle = cast.system == "Circle"
    facts: dict[str, Any] = {"volume_l": 1.4 if circle else 0.25, "bag_l": 2.0 if circle else 0.5}
    if cast.name == "Plover":
        facts = {"volume_l": 9.0, "bag_l": 15.0}
    try:
        facts["system"] = system_named(cast.system).value
    except UnknownReference:
        facts["is_coaxial"] = "yes" if "oaxial" in cast.system else "no"
    yield "breathing_system", cast.system, facts
    if circle:
        kg = 6.0 if cast.name == "Plover" else 1.1
        yield "absorber", "Absorber", {"absorbent": "soda lime", "mass_kg": kg}
        yield "one_way_valve", "Valve, breathing in", {"limb": "in"}
        yield "one_way_valve", "Valve, breathing out", {"limb": "out"}
    yield "relief_valve", "Relief valve", {}
    yield "manometer", "Manometer", {"highest_kpa": 6.0}
    yield "scavenging", "Scavenging", dict(_SCAVENGING.get(cast.room, {"way": "passive"}))


def _watching(cast: MachineCast) -> Iterator[Row]:
    """What drives and what warns."""
    drive = cast.facts.get("ventilator", "none")
    if drive != "none":
        yield (
            "ventilator",
            "Ventilator",
            {
                "drive": drive,
                "drive_gas_factor": cast.facts["drive_gas_factor"],
            },
        )
    if cast.facts.get("oxygen_alarm") == "yes":
        yield "alarm", "Oxygen failure whistle", {"watches": "oxygen supply"}
        yield "oxygen_analyser", "Oxygen analyser", {}
    yield "flush", "Oxygen flush", {}
