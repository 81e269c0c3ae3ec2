"""Parts of an anaesthetic machine: one row a kind, with what is written down of it.

Forms, pages, documents and tests read this table: a new kind of part is a new row.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any

from ullage.answers.agents import LIQUIDS
from ullage.answers.breathing import BreathingSystem
from ullage.answers.chain_things import RegulatorKind
from ullage.answers.plan import Drive
from ullage.answers.things import Gas
from ullage.answers.vaporizers import VaporizerKind
from ullage.core.checks import within
from ullage.core.errors import RuleBroken, UnknownReference
from ullage.core.units import KINDS

__all__ = [
    "PART_KINDS",
    "Missed",
    "PartFact",
    "PartKind",
    "facts_read",
    "part_kind",
]

type Pairs = tuple[tuple[str, str], ...]


class Missed(StrEnum):
    """What a machine is without a part of a kind, when one that is fitted may not be used."""

    STOPS = "out of use"
    STOPS_UNLESS_SPARE = "out of use, unless another of the kind is fitted"
    DOUBTS = "in doubt"


@dataclass(frozen=True, slots=True, kw_only=True)
class PartFact:
    """One thing that is written down of a part.

    ``kind`` is a kind of quantity of `ullage.core.units.KINDS`, or ``choice``, ``date``,
    ``text``. ``unit`` is the one people think in; ``low`` and ``high`` are counted in it.
    """

    name: str
    label: str
    kind: str
    unit: str = ""
    low: float = 0.0
    high: float = 0.0
    choices: Pairs = ()
    help: str = ""

    def read(self, value: Any) -> Any:
        """The value as it is kept; a number in our own unit, a date as text."""
        if self.kind == "date":
            return _day(self.label, value)
        if self.kind == "text":
            return str(value)
        if self.kind == "choice":
            return self._chosen(value)
        share = KINDS[self.kind][self.unit]
        try:
            number = float(value)
        except (TypeError, ValueError) as refusal:
            raise RuleBroken(f"{self.label}: {value} is no number.") from refusal
        return within(self.name, number, self.low * share, self.high * share)

    def _chosen(self, value: Any) -> str:
        if str(value) not in dict(self.choices):
            offered = ", ".join(words for _, words in self.choices)
            raise RuleBroken(f"{self.label}: {value} is none of {offered}.")
        return str(value)


def _day(label: str, value: Any) -> str:
    try:
        return (value if isinstance(value, date) else date.fromisoformat(str(value))).isoformat()
    except ValueError as refusal:
        raise RuleBroken(f"{label}: {value} is no date; write it as 2026-01-31.") from refusal


@dataclass(frozen=True, slots=True, kw_only=True)
class PartKind:
    """A kind of part: its name, its facts, and what a machine is when it may not be used."""

    key: str
    name: str
    plural: str
    missed: Missed
    facts: tuple[PartFact, ...] = ()
    help: str = ""

    def fact(self, name: str) -> PartFact:
        """One fact by its name.

        Raises
        ------
        UnknownReference : a name that this kind has not.
        """
        found = next((one for one in self.facts if one.name == name), None)
        if found is None:
            known = ", ".join(one.name for one in self.facts) or "none"
            raise UnknownReference(f"{self.name} has no {name!r}. It has: {known}.")
        return found


def _words(values: Any) -> Pairs:
    """Pairs of key and words, of an enumeration or of plain names."""
    return tuple((str(one), str(one)[0].upper() + str(one)[1:]) for one in values)


def _flow(name: str, label: str, high: float, help: str = "") -> PartFact:  # noqa: A002  # as forms say
    return PartFact(
        name=name, label=label, kind="flow", unit="L/min", low=0.0, high=high, help=help
    )


_GAS = PartFact(name="gas", label="Gas", kind="choice", choices=_words(Gas))
_AGENT = PartFact(name="agent", label="Agent", kind="choice", choices=_words(LIQUIDS))
_REPLACE_BY = PartFact(
    name="replace_by", label="Replace by", kind="date", help="The date that its maker gives."
)


def _volume(name: str, label: str, high_l: float, unit: str = "L") -> PartFact:
    high = high_l / KINDS["volume"][unit]
    return PartFact(name=name, label=label, kind="volume", unit=unit, low=0.0, high=high)


def _dial(name: str, label: str) -> PartFact:
    return PartFact(name=name, label=label, kind="share", unit="%", low=0.0, high=25.0)


def _grams(name: str, label: str, high_g: float) -> PartFact:
    return PartFact(name=name, label=label, kind="mass", unit="g", low=0.0, high=high_g)


def _airway(name: str, label: str, high_cmh2o: float) -> PartFact:
    return PartFact(name=name, label=label, kind="pressure", unit="cmH2O", low=0.0, high=high_cmh2o)


def _line(name: str, label: str, high_bar: float) -> PartFact:
    return PartFact(name=name, label=label, kind="pressure", unit="bar", low=0.0, high=high_bar)


_ROWS = (
    PartKind(
        key="flowmeter",
        name="Flowmeter",
        plural="Flowmeters",
        missed=Missed.STOPS,
        facts=(
            _GAS,
            _flow("lowest_l_min", "Lowest flow marked", 20.0),
            _flow("highest_l_min", "Highest flow marked", 200.0),
            PartFact(
                name="float_kind",
                label="Float",
                kind="choice",
                choices=_words(("ball", "bobbin")),
                help="A ball is read at its centre, a bobbin at its top.",
            ),
            PartFact(
                name="sd_share",
                label="How well the flow is known (one standard deviation)",
                kind="share",
                unit="%",
                low=0.5,
                high=100.0,
                help="Left empty: the usual value for a flowmeter is taken.",
            ),
        ),
    ),
    PartKind(
        key="vaporizer",
        name="Vaporizer",
        plural="Vaporizers",
        missed=Missed.STOPS_UNLESS_SPARE,
        facts=(
            _AGENT,
            PartFact(
                name="works_by",
                label="How it works",
                kind="choice",
                choices=_words(VaporizerKind),
            ),
            _dial("dial_lowest_fraction", "Lowest dial setting above zero"),
            _dial("dial_highest_fraction", "Highest dial setting"),
            _flow("flow_lowest_l_min", "Lowest flow it is made for", 20.0),
            _flow("flow_highest_l_min", "Highest flow it is made for", 100.0),
            _volume("fill_l", "Liquid from empty to full", 2.0, "mL"),
        ),
    ),
    PartKind(
        key="breathing_system",
        name="Breathing system",
        plural="Breathing systems",
        missed=Missed.STOPS_UNLESS_SPARE,
        facts=(
            PartFact(name="system", label="System", kind="choice", choices=_words(BreathingSystem)),
            _volume("volume_l", "Volume without the bag", 60.0),
            _volume("bag_l", "Bag", 60.0),
            PartFact(
                name="is_coaxial",
                label="One tube inside the other",
                kind="choice",
                choices=(("yes", "Yes"), ("no", "No")),
            ),
        ),
    ),
    PartKind(
        key="bag",
        name="Reservoir bag",
        plural="Reservoir bags",
        missed=Missed.STOPS_UNLESS_SPARE,
        facts=(_volume("volume_l", "Size", 60.0), _REPLACE_BY),
    ),
    PartKind(
        key="absorber",
        name="Absorber",
        plural="Absorbers",
        missed=Missed.STOPS,
        facts=(
            PartFact(
                name="absorbent",
                label="Absorbent",
                kind="choice",
                choices=(
                    ("soda lime", "Soda lime"),
                    ("calcium hydroxide lime", "Lime without strong base"),
                    ("barium lime", "Barium lime"),
                    ("lithium hydroxide", "Lithium hydroxide"),
                ),
            ),
            PartFact(
                name="mass_kg",
                label="Mass of absorbent",
                kind="mass",
                unit="kg",
                low=0.0,
                high=30.0,
                help="What one filling holds, weighed dry of spilled dust.",
            ),
            _volume("volume_l", "Volume of the canister", 60.0),
        ),
    ),
    PartKind(
        key="ventilator",
        name="Ventilator",
        plural="Ventilators",
        missed=Missed.DOUBTS,
        facts=(
            PartFact(
                name="drive",
                label="What drives it",
                kind="choice",
                choices=_words(one for one in Drive if one is not Drive.NONE),
            ),
            PartFact(
                name="drive_gas_factor",
                label="Litres of drive gas for each litre breathed",
                kind="count",
                unit="1",
                low=0.0,
                high=10.0,
                help="From its manual or measured. Left empty, the published range is used.",
            ),
        ),
    ),
    PartKind(
        key="relief_valve",
        name="Relief valve",
        plural="Relief valves",
        missed=Missed.STOPS,
        facts=(_airway("opens_kpa", "Opens at, fully open", 100.0),),
    ),
    PartKind(
        key="one_way_valve",
        name="One-way valve",
        plural="One-way valves",
        missed=Missed.STOPS,
        facts=(
            PartFact(
                name="limb",
                label="Limb",
                kind="choice",
                choices=(("in", "Breathing in"), ("out", "Breathing out")),
            ),
        ),
    ),
    PartKind(
        key="manometer",
        name="Manometer",
        plural="Manometers",
        missed=Missed.STOPS,
        facts=(_airway("highest_kpa", "Highest pressure marked", 200.0),),
        help="It shows the pressure in the breathing system.",
    ),
    PartKind(
        key="oxygen_analyser",
        name="Oxygen analyser",
        plural="Oxygen analysers",
        missed=Missed.DOUBTS,
        facts=(
            PartFact(name="cell_fitted", label="Cell fitted on", kind="date"),
            PartFact(
                name="replace_by",
                label="Replace the cell by",
                kind="date",
                help="The date that its maker gives.",
            ),
        ),
    ),
    PartKind(
        key="alarm",
        name="Alarm",
        plural="Alarms",
        missed=Missed.DOUBTS,
        facts=(
            PartFact(
                name="watches",
                label="What it watches",
                kind="choice",
                choices=(
                    ("oxygen supply", "Failure of the oxygen supply"),
                    ("airway high", "High pressure in the breathing system"),
                    ("airway low", "Low pressure in the breathing system"),
                    ("oxygen fraction", "Oxygen in the gas breathed"),
                    ("power", "Mains power"),
                ),
            ),
        ),
    ),
    PartKind(
        key="scavenging",
        name="Scavenging",
        plural="Scavenging",
        missed=Missed.DOUBTS,
        facts=(
            PartFact(
                name="way",
                label="Way",
                kind="choice",
                choices=(
                    ("passive", "Passive, led outdoors"),
                    ("active", "Active, with suction"),
                    ("charcoal", "Charcoal canister"),
                ),
            ),
            _flow("flow_l_min", "Flow drawn", 300.0, "Of active scavenging."),
            _grams("start_kg", "Canister: weight when new", 5000.0),
            _grams("gain_limit_kg", "Canister: gain at which its maker has it changed", 1000.0),
        ),
    ),
    PartKind(
        key="hose",
        name="Hose",
        plural="Hoses",
        missed=Missed.STOPS,
        facts=(_GAS, _line("rated_kpa", "Rated for", 350.0), _REPLACE_BY),
        help="A pressure hose between source and machine.",
    ),
    PartKind(
        key="regulator",
        name="Regulator",
        plural="Regulators",
        missed=Missed.STOPS,
        facts=(
            _GAS,
            PartFact(name="works_by", label="Kind", kind="choice", choices=_words(RegulatorKind)),
            _line("outlet_kpa", "Outlet pressure", 20.0),
        ),
    ),
    PartKind(
        key="gauge",
        name="Gauge",
        plural="Gauges",
        missed=Missed.STOPS,
        facts=(_GAS, _line("highest_kpa", "Highest pressure marked", 400.0)),
    ),
    PartKind(
        key="flush",
        name="Oxygen flush",
        plural="Oxygen flushes",
        missed=Missed.DOUBTS,
        facts=(_flow("flow_l_min", "Flow", 100.0),),
    ),
    PartKind(
        key="other",
        name="Other part",
        plural="Other parts",
        missed=Missed.DOUBTS,
        facts=(PartFact(name="what", label="What it is", kind="text"),),
    ),
)

#: Every kind of part by its key, in the order in which lists show them.
PART_KINDS: Mapping[str, PartKind] = {one.key: one for one in _ROWS}


def part_kind(key: str) -> PartKind:
    """The row of one kind of part.

    Parameters
    ----------
    key : as it is stored, such as ``relief_valve``.

    Returns
    -------
    Its name, its facts, and what a machine is without it.

    Raises
    ------
    UnknownReference : no kind of that key.

    >>> part_kind("relief_valve").missed.value
    'out of use'
    """
    if key not in PART_KINDS:
        raise UnknownReference(f"No kind of part {key!r}. Kinds: {', '.join(PART_KINDS)}.")
    return PART_KINDS[key]


def facts_read(key: str, facts: Mapping[str, Any]) -> dict[str, Any]:
    """What is written down of a part, as it is kept: empty facts left out, numbers in our unit.

    Parameters
    ----------
    key : of the kind of part.
    facts : by name; numbers in our own unit, dates as dates or as text.

    Returns
    -------
    The facts that were given, fit to be kept.

    Raises
    ------
    UnknownReference : a kind or a fact that the table has not.
    InvalidQuantity : a number that cannot be.
    RuleBroken : a choice that is not offered, a date that is none, limits the wrong way round.

    >>> facts_read("hose", {"gas": "oxygen", "rated_kpa": None, "replace_by": "2031-05-01"})
    {'gas': 'oxygen', 'replace_by': '2031-05-01'}
    """
    kind = part_kind(key)
    given = {name: value for name, value in facts.items() if value not in {None, ""}}
    kept = {name: kind.fact(name).read(value) for name, value in given.items()}
    for low in (name for name in kept if "lowest" in name):
        high = low.replace("lowest", "highest")
        if high in kept and kept[low] >= kept[high]:
            raise RuleBroken(
                f"{kind.fact(high).label} must lie above "
                f"{kind.fact(low).label[0].lower()}{kind.fact(low).label[1:]}."
            )
    return kept
