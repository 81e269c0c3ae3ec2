"""Weeks of cases, drawn by kind of animal; and the cases of today, which the story needs."""

from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Any
from uuid import UUID

import numpy as np

from ullage.web.demo.cast import FLOWERS, MachineCast
from ullage.web.demo.simulate import Draw

__all__ = ["TODAY", "CaseRow", "draws_of", "past_cases", "today_cases"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Anaesthesia:
    """What is planned of the anaesthesia of a case; ``drugs`` None: nobody has said yet."""

    weight_kg: float
    agent: str = "isoflurane"
    drugs: tuple[str, ...] | None = ()
    planned: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseRow:
    """One case in minutes of the story."""

    machine: str
    name: str
    species: str
    weight_kg: float | None
    system: str
    start: int
    phases: tuple[dict[str, Any], ...]
    extras: dict[str, Any]
    code: UUID
    state: str = "done"
    note: str = ""
    plan: Anaesthesia | None = None

    @property
    def minutes(self) -> float:
        """[min] all phases together."""
        return float(sum(phase["minutes"] for phase in self.phases))

    @property
    def end(self) -> float:
        """[min] of the story."""
        return self.start + self.minutes


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """How cases of one kind go: weight, minutes of the procedure, flows by phase."""

    species: str
    weight_kg: tuple[float, float]
    procedure_min: tuple[int, int]
    oxygen_l_min: tuple[float, float, float]
    around_min: tuple[int, int] = (20, 15)
    air_l_min: float = 0.0
    nitrous_oxide_l_min: float = 0.0
    minute_volume_l_min: float = 0.0
    name: str = ""
    chamber_l: float = 0.0


_KINDS = {
    "rabbit": Kind(
        species="rabbit",
        weight_kg=(2.8, 4.6),
        procedure_min=(40, 95),
        oxygen_l_min=(1.7, 1.7, 1.7),
    ),
    "cat": Kind(
        species="cat", weight_kg=(3.4, 5.6), procedure_min=(30, 80), oxygen_l_min=(1.5, 1.5, 1.5)
    ),
    "sheep": Kind(
        species="sheep",
        weight_kg=(42.0, 74.0),
        procedure_min=(80, 150),
        oxygen_l_min=(3.0, 1.0, 3.0),
        around_min=(25, 20),
        air_l_min=0.5,
        minute_volume_l_min=6.0,
    ),
    "pig": Kind(
        species="pig",
        weight_kg=(28.0, 45.0),
        procedure_min=(60, 140),
        oxygen_l_min=(3.0, 1.0, 3.0),
        around_min=(20, 15),
        nitrous_oxide_l_min=0.6,
        minute_volume_l_min=5.0,
    ),
    "scan": Kind(
        species="rabbit",
        weight_kg=(2.8, 4.4),
        procedure_min=(40, 70),
        oxygen_l_min=(1.5, 1.0, 1.5),
        around_min=(12, 10),
    ),
    "mice": Kind(
        species="mouse",
        weight_kg=(0.021, 0.031),
        procedure_min=(110, 190),
        oxygen_l_min=(4.0, 4.0, 4.0),
        around_min=(10, 10),
        name="Mice",
        chamber_l=6.0,
    ),
    "pony": Kind(
        species="pony",
        weight_kg=(180.0, 240.0),
        procedure_min=(50, 90),
        oxygen_l_min=(8.0, 4.0, 6.0),
        around_min=(20, 25),
    ),
    "barn sheep": Kind(
        species="sheep",
        weight_kg=(45.0, 80.0),
        procedure_min=(30, 60),
        oxygen_l_min=(4.0, 3.0, 4.0),
    ),
    "station pig": Kind(
        species="pig", weight_kg=(28.0, 34.0), procedure_min=(60, 140), oxygen_l_min=(3.0, 1.0, 4.0)
    ),
    "goat": Kind(
        species="goat",
        weight_kg=(28.0, 55.0),
        procedure_min=(40, 90),
        oxygen_l_min=(3.0, 1.5, 3.0),
    ),
    "ferret": Kind(
        species="ferret",
        weight_kg=(0.7, 1.6),
        procedure_min=(25, 60),
        oxygen_l_min=(1.0, 1.0, 1.0),
        around_min=(12, 10),
    ),
}

#: machine, kind, name, start [min after midnight], procedure [min], state.
TODAY = {
    "Wren": (("rabbit", "Clover", 630, 75), ("cat", "Sorrel", 810, 65)),
    "Heron": (("sheep", "Bracken", 500, 110), ("sheep", "Yarrow", 780, 105)),
    "Dunlin": (("scan", "Teasel", 615, 60), ("scan", "Mallow", 840, 55)),
    "Siskin": (("mice", "Mice C-31", 505, 125), ("mice", "Mice C-32", 665, 130)),
    "Plover": (("pony", "Juno", 800, 70),),
    "Curlew": (("barn sheep", "Tansy", 645, 45),),
    "Ptarmigan": (("station pig", "Vetch", 660, 90),),
    "Dipper": (("ferret", "Betony", 600, 40),),
}


_SAID = {"warmed": True, "co2_measured": True, "cautery": False}
#: What is planned of the anaesthesia of today's cases, and what the scale said.
PLANS = {
    "Clover": Anaesthesia(weight_kg=3.4, planned={**_SAID, "dead_space_l": 0.003}),
    "Sorrel": Anaesthesia(weight_kg=4.0, planned={**_SAID, "dead_space_l": 0.003}),
    "Mice C-31": Anaesthesia(weight_kg=0.024, drugs=("buprenorphine",), planned={"warmed": True}),
    "Mice C-32": Anaesthesia(
        weight_kg=0.025,
        drugs=("buprenorphine",),
        planned={"warmed": True, "cautery": False, "reach_min": 5.0},
    ),
    "Bracken": Anaesthesia(
        weight_kg=62.0, drugs=None, planned={"warmed": True, "absorbent_kg": 1.2}
    ),
    "Yarrow": Anaesthesia(
        weight_kg=58.0, drugs=None, planned={"warmed": True, "absorbent_kg": 1.2}
    ),
    "Vetch": Anaesthesia(
        weight_kg=30.0,
        planned={
            **_SAID,
            "cautery": True,
            "vaporizer_for": "isoflurane",
            "vaporizer_end_fraction": 0.05,
            "absorbent_kg": 1.2,
        },
    ),
}
#: What somebody wrote beside a case of today.
NOTES = {
    "Yarrow": "Heron’s vaporizer is overdue for its output check: "
    "the lead decides before the case begins.",
}


def _phases(kind: Kind, procedure_min: int) -> tuple[dict[str, Any], ...]:
    names = ("Induction" if kind.chamber_l else "Preparation", "Procedure", "Waking")
    minutes = (kind.around_min[0], procedure_min, kind.around_min[1])
    return tuple(
        {
            "name": name,
            "minutes": float(long),
            "oxygen_l_min": oxygen,
            "air_l_min": kind.air_l_min if name == "Procedure" else 0.0,
            "nitrous_oxide_l_min": kind.nitrous_oxide_l_min if name == "Procedure" else 0.0,
        }
        for name, long, oxygen in zip(names, minutes, kind.oxygen_l_min, strict=True)
    )


@dataclass(frozen=True, slots=True)
class _When:
    """When a case starts, in minutes of the story, and how long its procedure takes."""

    start: int
    procedure_min: int


def _case(
    machine: MachineCast, kind: Kind, name: str, when: _When, rng: np.random.Generator
) -> CaseRow:
    told = {"minute_volume_l_min": kind.minute_volume_l_min, "chamber_l": kind.chamber_l}
    extras = {name: one for name, one in told.items() if one}
    return CaseRow(
        machine=machine.name,
        name=name,
        species=kind.species,
        weight_kg=None,
        system=machine.system,
        start=when.start,
        phases=_phases(kind, when.procedure_min),
        extras=extras,
        code=UUID(bytes=rng.bytes(16), version=4),
    )


def _weighed(case: CaseRow, kind: Kind, rng: np.random.Generator) -> CaseRow:
    return replace(case, weight_kg=float(f"{rng.uniform(*kind.weight_kg):.2g}"))


def past_cases(
    machines: tuple[MachineCast, ...], first: date, days: int, rng: np.random.Generator
) -> list[CaseRow]:
    """Done cases of the days before today; hardly anybody works at a weekend."""
    found: list[CaseRow] = []
    count = 0
    for day in range(days):
        if (first + timedelta(days=day)).weekday() >= 5:
            continue
        for machine in machines:
            share, most = machine.cases_a_day
            start = day * 1440 + 8 * 60 + int(rng.integers(0, 5)) * 15
            for _ in range(int(rng.binomial(most, share))):
                kind = _KINDS[machine.kinds[int(rng.integers(len(machine.kinds)))]]
                long = int(rng.integers(*kind.procedure_min))
                count += 1
                name = f"{kind.name} C-{count % 30:02d}" if kind.name else _flower(count, rng)
                case = _weighed(_case(machine, kind, name, _When(start, long), rng), kind, rng)
                found.append(_in_chamber(case) if kind.chamber_l else case)
                start = int(case.end) + 30 + int(rng.integers(0, 4)) * 15
    return _with_tansy(found)


def _with_tansy(cases: list[CaseRow]) -> list[CaseRow]:
    """The last sheep on Heron before today is the one whose record is closed and signed."""
    sheep = [one for one in cases if one.machine == "Heron" and one.species == "sheep"]
    last = max(sheep, key=lambda one: one.start, default=None)
    return [replace(one, name="Tansy") if one is last else one for one in cases]


def _in_chamber(case: CaseRow) -> CaseRow:
    """What begins in a chamber is planned, so that its waste gas can be reckoned afterwards."""
    weight = case.weight_kg or 0.025
    return replace(case, plan=Anaesthesia(weight_kg=weight, drugs=("buprenorphine",)))


def _flower(count: int, rng: np.random.Generator) -> str:
    return FLOWERS[(count + int(rng.integers(3))) % len(FLOWERS)]


def today_cases(
    machines: tuple[MachineCast, ...], midnight: int, now: float, rng: np.random.Generator
) -> list[CaseRow]:
    """The cases of today, each done, running or planned by the time it is."""
    found = []
    for machine in machines:
        for key, name, start, long in TODAY.get(machine.name, ()):
            kind = _KINDS[key]
            case = _case(machine, kind, name, _When(midnight + start, long), rng)
            state = "done" if case.end <= now else "running" if case.start <= now else "planned"
            if state != "planned" or rng.random() < 0.7:
                case = _weighed(case, kind, rng)
            plan = PLANS.get(name)
            if plan is not None:
                case = replace(case, weight_kg=plan.weight_kg)
            found.append(replace(case, state=state, note=NOTES.get(name, ""), plan=plan))
    return found


def draws_of(
    cases: list[CaseRow], gas: str, feeds: tuple[str, ...], drive: dict[str, float]
) -> list[Draw]:
    """What cases ask of a source: fresh gas, and drive gas where a ventilator takes oxygen."""
    found = []
    for case in cases:
        if case.machine not in feeds:
            continue
        at = float(case.start)
        for number, phase in enumerate(case.phases, start=1):
            flow = float(phase[f"{gas.replace(' ', '_')}_l_min"])
            if gas == "oxygen" and phase["name"] == "Procedure":
                flow += drive.get(case.machine, 0.0) * case.extras.get("minute_volume_l_min", 0.0)
            if flow > 0:
                found.append(
                    Draw(
                        start=at,
                        end=at + phase["minutes"],
                        flow_l_min=flow,
                        machine=case.machine,
                        why=f"{case.name} on {case.machine}, case {str(case.code)[:8]}",
                        state=case.state,
                        is_last=number == len(case.phases),
                    )
                )
            at += phase["minutes"]
    return found
