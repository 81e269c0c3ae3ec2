"""What is offered on the running page for entry: tiles, words, events of one touch.

Fields start empty; the last value stands beside a field, never in it.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ullage.answers.record.printed import unit_words
from ullage.answers.record.things import EntryKind, EntryText
from ullage.reference.record import VariableRow, term_lists, variable_rows

__all__ = [
    "EVENTS",
    "Pad",
    "Tile",
    "WordsAsked",
    "answer_to",
    "pad_of",
    "settings_of",
    "unit_typed",
]

#: Units as the record writes them -> as a person may type them.
_TYPED = {
    "mm[Hg]": "mmHg",
    "cm[H2O]": "cmH2O",
    "Cel": "°C",
    "[degF]": "°F",
    "%{vol}": "%",
    "[psi]": "psi",
    "[ppm]": "ppm",
    "1": "",
}
#: Short names and how far a common value moves at one touch.
_TILES = {
    "heart_rate": ("Heart", "2"),
    "pulse_rate": ("Pulse", "2"),
    "respiratory_rate": ("Breaths", "1"),
    "respiratory_rate_co2": ("Breaths, by CO₂", "1"),
    "cuff_systolic": ("Pressure, upper", "2"),
    "cuff_mean": ("Pressure, mean", "2"),
    "cuff_diastolic": ("Pressure, lower", "2"),
    "arterial_systolic": ("Artery, upper", "2"),
    "arterial_mean": ("Artery, mean", "2"),
    "arterial_diastolic": ("Artery, lower", "2"),
    "oxygen_saturation": ("SpO₂", "1"),
    "end_tidal_co2": ("End-tidal CO₂", "1"),
    "inspired_co2": ("Inspired CO₂", "1"),
    "inspired_oxygen": ("Inspired O₂", "1"),
    "end_tidal_oxygen": ("End-tidal O₂", "1"),
    "temperature": ("Temp, where?", "0.1"),
    "temperature_rectal": ("Temp, rectum", "0.1"),
    "temperature_gullet": ("Temp, gullet", "0.1"),
    "dial": ("Dial", "0.25"),
    "flow_oxygen": ("Oxygen", "0.5"),
    "flow_air": ("Air", "0.5"),
    "flow_nitrous_oxide": ("Nitrous oxide", "0.5"),
    "gauge": ("Gauge of the source", "5"),
    "airway_pressure": ("Airway, peak", "1"),
    "end_pressure": ("Airway, end", "1"),
    "tidal_volume": ("Tidal volume", "10"),
}
#: Tiles that stand open, with ways to measure the same thing; the one that was used last stands.
_FIRST: tuple[tuple[str, ...], ...] = (
    ("heart_rate", "pulse_rate"),
    ("respiratory_rate", "respiratory_rate_co2"),
    ("cuff_systolic", "arterial_systolic"),
    ("cuff_mean", "arterial_mean"),
    ("cuff_diastolic", "arterial_diastolic"),
    ("oxygen_saturation",),
    ("end_tidal_co2",),
    ("inspired_co2",),
    ("end_tidal_{agent}", "end_tidal_agent"),
    ("temperature_rectal", "temperature_gullet", "temperature"),
)
#: Signs and ways in words, in the order in which they stand.
_WORDS = ("ventilation", "eyelid", "jaw", "eye", "movement", "withdrawal")
_SHORT = {
    "breathing by itself": "By itself",
    "assisted by hand": "Assisted",
    "controlled by hand": "By hand",
    "ventilator, by volume": "Ventilator, volume",
    "ventilator, by pressure": "Ventilator, pressure",
}
_SETTINGS = ("dial", "flow_oxygen", "flow_air", "flow_nitrous_oxide")
_SET_WORDS = ("phase", "breathing_system", "airway", "heating")
#: Not asked for as a tile: weight belongs to the life of the case, levels of other agents to more.
_NOT_MORE = frozenset({"weight", "mac_multiple"})

#: Events of one touch: what they are about, whether of one animal alone or of the whole bench.
EVENTS: tuple[tuple[str, bool, tuple[str, ...]], ...] = (
    (
        "The case",
        True,
        ("anaesthesia began", "procedure began", "procedure ended", "anaesthesia ended"),
    ),
    ("Connection", True, ("connected", "disconnected", "tube in", "tube out")),
    ("The animal", True, ("moved", "awake", "on its chest", "person stays", "nobody stays")),
    ("To tell", True, ("nothing to report", "no other drug", "adverse event", "died", "killed")),
    (
        "Relief valve and leak",
        False,
        ("relief valve open", "relief valve closed", "leak test", "breath by hand", "flushed"),
    ),
    (
        "Supply and system",
        False,
        ("second source at hand", "no second source", "inner tube firm", "inner tube off"),
    ),
    ("Changed", False, ("absorbent changed", "bag changed", "hose changed")),
)
#: Warning and cause -> the event of one touch that answers it; any cause where it is empty.
_ANSWERS = {
    ("relief_valve", ""): "relief valve open",
    ("supply", "second source"): "second source at hand",
    ("flow", "inner tube"): "inner tube firm",
    ("recovery", "person"): "person stays",
    ("leak", "not tested"): "leak test",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Tile:
    """One number that may be entered: its variable, label, unit, and the last value."""

    key: str
    kind: str
    label: str
    unit: str
    shown_unit: str
    step: str
    last: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class WordsAsked:
    """One sign in words: its list, each with how it is shown, and the last word."""

    key: str
    kind: str
    label: str
    words: tuple[tuple[str, str], ...]
    last: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pad:
    """All that is offered for one kind of entry."""

    tiles: tuple[Tile, ...]
    words: tuple[WordsAsked, ...]
    more: tuple[Tile, ...] = ()


def answer_to(warning: str, cause: str) -> str:
    """The event that answers a warning; empty where none of one touch does.

    >>> answer_to("relief_valve", "leak test"), answer_to("supply", "ends early")
    ('relief valve open', '')
    """
    return _ANSWERS.get((warning, cause)) or _ANSWERS.get((warning, ""), "")


def unit_typed(unit: str) -> str:
    """A unit of the record as a person may type it.

    >>> unit_typed("mm[Hg]"), unit_typed("L/min")
    ('mmHg', 'L/min')
    """
    return _TYPED.get(unit, unit)


def pad_of(last: Mapping[str, EntryText], agent: str, units: Mapping[str, str]) -> Pad:
    """What is offered for an observation; ``units`` are those of the site, by variable."""
    first = [_way(ways, last, agent) for ways in _FIRST]
    kinds = {EntryKind.VITAL.value, EntryKind.GAS.value, EntryKind.READING.value}
    more = [
        key
        for key, row in variable_rows().items()
        if row.kind in kinds and row.ucum and key not in {*first, *_NOT_MORE}
    ]
    more.append("heater_temperature")
    return Pad(
        tiles=tuple(_tile(key, last, units) for key in first if key in variable_rows()),
        words=tuple(_asked(key, last) for key in _WORDS),
        more=tuple(_tile(key, last, units) for key in more),
    )


def settings_of(last: Mapping[str, EntryText], units: Mapping[str, str]) -> Pad:
    """What is offered for dial, flows and system."""
    return Pad(
        tiles=tuple(_tile(key, last, units) for key in _SETTINGS),
        words=tuple(_asked(key, last) for key in _SET_WORDS),
    )


def _way(ways: tuple[str, ...], last: Mapping[str, EntryText], agent: str) -> str:
    """Of several ways to measure one thing, the one that was used last."""
    named = [one.format(agent=agent.replace(" ", "_")) for one in ways]
    known = [one for one in named if one in variable_rows()]
    used = [one for one in known if one in last]
    newest = max(used, key=lambda key: last[key].times.observed, default="")
    return newest or (known[0] if known else "")


def _tile(key: str, last: Mapping[str, EntryText], units: Mapping[str, str]) -> Tile:
    row = variable_rows()[key]
    label, step = _TILES.get(key, (_short(row), "0.1"))
    unit = units.get(key) or row.ucum[0]
    before = last.get(key)
    return Tile(
        key=key,
        kind=row.kind,
        label=label,
        unit=unit_typed(unit),
        shown_unit=unit_words(unit),
        step=step,
        last=_last(before, unit) if before else "",
    )


def _short(row: VariableRow) -> str:
    return row.name.replace("carbon dioxide", "CO₂").replace(", not identified", "")


def _last(before: EntryText, unit: str) -> str:
    """The last value in digits; with its unit where it was typed in another."""
    if before.unit == unit or unit_words(before.unit) == unit_words(unit):
        return before.number
    return f"{before.number} {unit_words(before.unit)}"


def _asked(key: str, last: Mapping[str, EntryText]) -> WordsAsked:
    row = variable_rows()[key]
    words = tuple(_words(row))
    before = last.get(key)
    return WordsAsked(
        key=key,
        kind=row.kind,
        label=row.name,
        words=words,
        last=dict(words).get(before.typed, before.typed) if before else "",
    )


def _words(row: VariableRow) -> Iterator[tuple[str, str]]:
    for term in term_lists()[row.terms]:
        yield term.word, _SHORT.get(term.word, term.word[:1].upper() + term.word[1:])
