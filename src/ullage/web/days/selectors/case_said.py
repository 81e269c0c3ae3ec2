"""What people said about a planned anaesthetic, as the answers take it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from ullage.answers import CaseInput
from ullage.answers import plan as things
from ullage.answers.places import place_at
from ullage.answers.site_flows import SiteFlows, with_site_flows
from ullage.answers.site_values import overrides_at
from ullage.answers.things import Place
from ullage.core.errors import RuleBroken
from ullage.web.days.models import PlannedCase
from ullage.web.sites.selectors import Site

__all__ = ["FLAGS", "PLANNED", "CaseSaid", "case_input", "key_of", "said_of"]

#: What is asked and may be left open: yes, no, nobody said.
FLAGS = ("co2_measured", "warmed", "cautery")
#: The names under which a case keeps what its plan asks for.
PLANNED = (
    "dial_fraction",
    "reach_min",
    "vaporizer_for",
    "vaporizer_end_fraction",
    "dead_space_l",
    "absorbent_kg",
    "barometric_kpa",
    *FLAGS,
)
_GASES = ("oxygen_l_min", "air_l_min", "nitrous_oxide_l_min")


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseSaid:
    """A case as far as somebody has said; ``planned`` by the names of `PLANNED`.

    ``phases`` are as typed, with flows or without any: then those of the rules are taken.
    """

    name: str
    machine: str
    species: str
    weight_kg: float | None
    phases: tuple[Mapping[str, Any], ...]
    agent: str
    system: str = ""
    start_min: float = 0.0
    extras: Mapping[str, Any] = field(default_factory=dict)
    drugs: tuple[str, ...] | None = None
    target_mac: float | None = None
    planned: Mapping[str, Any] = field(default_factory=dict)
    weight_is_right: bool = False

    @property
    def flows_given(self) -> bool:
        """True where a flow was typed."""
        return any(phase.get(gas) for phase in self.phases for gas in _GASES)


def key_of(species: str, name: str) -> str:
    """How the site's own values are kept: of a species and an agent, or a value of an animal."""
    return f"{species.strip().lower()}, {name.strip().lower()}"


def said_of(row: PlannedCase, start_min: float = 0.0) -> CaseSaid:
    """What is kept of a case."""
    rows = row.planned.get("rows") or row.phases
    return CaseSaid(
        name=row.name,
        machine=row.machine.name,
        species=row.species,
        weight_kg=row.weight_kg,
        phases=tuple(rows),
        agent=row.agent,
        system=row.system,
        start_min=start_min,
        extras=row.extras,
        drugs=None if row.drugs is None else tuple(row.drugs),
        target_mac=row.target_mac,
        planned={name: row.planned[name] for name in PLANNED if name in row.planned},
        weight_is_right=bool(row.asked and row.said),
    )


def case_input(site: Site, said: CaseSaid) -> CaseInput:
    """The case with the rules of its site, ready to be worked out.

    Raises
    ------
    RuleBroken : what is missing, in one sentence.
    """
    missing = _missing(said)
    if missing:
        raise RuleBroken(f"Still to say: {', '.join(missing)}.")
    rule = SiteFlows(
        open_multiple=site.flow_open_multiple,
        open_l_min_kg=site.flow_open_l_min_kg,
        circle_start_l_min_kg=site.flow_circle_start_l_min_kg,
        circle_hold_l_min_kg=site.flow_circle_hold_l_min_kg,
    )
    return with_site_flows(_given(site, said), rule)


def _given(site: Site, said: CaseSaid) -> CaseInput:
    told = dict(said.planned)
    barometric = told.pop("barometric_kpa", None)
    own_mac = site.mac_overrides.get(key_of(said.species, said.agent), {}).get("value")
    return CaseInput(
        case=_case(said),
        agent=said.agent,
        target_mac=said.target_mac or site.target_mac,
        drugs=said.drugs,
        place=_place(site, barometric),
        pressure_given=_pressure_given(site, barometric),
        flows_given=said.flows_given,
        mac_fraction=own_mac,
        circle_from_kg=site.circle_from_kg,
        overrides=_overrides(site, said),
        weight_is_right=said.weight_is_right,
        equipment_l=told.pop("dead_space_l", None),
        vaporizer_for=told.pop("vaporizer_for", None) or "",
        **told,
    )


def _missing(said: CaseSaid) -> list[str]:
    """What an answer cannot do without."""
    needed = (
        ("the species", bool(said.species)),
        ("the weight", said.weight_kg is not None),
        ("the minutes of a phase", bool(said.phases)),
        ("the agent", bool(said.agent)),
    )
    return [words for words, is_there in needed if not is_there]


def _case(said: CaseSaid) -> things.Case:
    chamber_l = said.extras.get("chamber_l")
    breath_l_min = said.extras.get("minute_volume_l_min")
    return things.Case(
        name=said.name,
        machine=said.machine,
        start_min=max(0.0, min(said.start_min, 2880.0)),
        phases=tuple(_phase(one) for one in said.phases),
        species=said.species,
        weight_kg=said.weight_kg,
        system=said.system,
        flushes=int(said.extras.get("flushes") or 0),
        chamber=things.Chamber(volume_l=chamber_l) if chamber_l else None,
        ventilation=things.Ventilation(minute_volume_l_min=breath_l_min) if breath_l_min else None,
    )


def _phase(told: Mapping[str, Any]) -> things.Phase:
    flows = {gas: told.get(gas) or 0.0 for gas in _GASES}
    return things.Phase(name=told["name"], minutes=told["minutes"], **flows)


def _place(site: Site, barometric_kpa: float | None) -> Place:
    return place_at(
        barometric_kpa=barometric_kpa or site.barometric_kpa,
        elevation_m=site.elevation_m,
        temperature_k=site.temperature_k,
        condition=site.condition,
        pressure_unit=site.pressure_unit,
    )


def _pressure_given(site: Site, barometric_kpa: float | None) -> bool:
    return any(one is not None for one in (barometric_kpa, site.barometric_kpa, site.elevation_m))


def _overrides(site: Site, said: CaseSaid) -> Mapping[str, float]:
    """What the site set for this species, at this weight."""
    start = key_of(said.species, "")
    own = {
        key.removeprefix(start): kept["value"]
        for key, kept in site.value_overrides.items()
        if key.startswith(start)
    }
    return overrides_at(said.weight_kg or 0.0, own)
