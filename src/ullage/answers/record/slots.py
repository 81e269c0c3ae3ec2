"""What each slot of a methods section says of one case or of several, from their lines alone."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from ullage.answers.record.seen import CaseSeen
from ullage.answers.record.things import EntryKind, EntryText
from ullage.answers.words import figure, minutes_text

__all__ = ["SLOTS", "Slot"]

type _Cases = Sequence[CaseSeen]


@dataclass(frozen=True, slots=True)
class Slot:
    """One slot: the item of the guideline, its name, what reads it; empty is not recorded."""

    item: str
    what: str
    says: Callable[[_Cases], str]


def _several(words: Iterable[str]) -> str:
    """Each word once; with how many cases say it where they differ."""
    said = [one.strip() for one in words if one.strip()]
    counts = {one: said.count(one) for one in said}
    if len(counts) <= 1:
        return next(iter(counts), "")
    return ", ".join(f"{one} ({count})" for one, count in counts.items())


def _fact(key: str) -> Callable[[_Cases], str]:
    return lambda cases: _several(one.fact(key) for one in cases)


def _spread(values: Sequence[float], unit: str) -> str:
    """Median and range; one value alone."""
    if not values:
        return ""
    middle = f"{figure(median(values))} {unit}"
    if min(values) == max(values):
        return middle
    return (
        f"median {middle}, range {figure(min(values))} to {figure(max(values))}, n = {len(values)}"
    )


def _times(values: Sequence[float]) -> str:
    if not values:
        return ""
    if min(values) == max(values):
        return minutes_text(values[0])
    ends = f"{minutes_text(min(values))} to {minutes_text(max(values))}"
    return f"median {minutes_text(median(values))}, range {ends}, n = {len(values)}"


def _weight(cases: _Cases) -> str:
    return _spread([one.weight_kg for one in cases if one.weight_kg is not None], "kg")


def _typed(*keys: str) -> Callable[[_Cases], str]:
    """The words of some variables, each once."""
    return lambda cases: _several(
        ", ".join(dict.fromkeys(one.typed for one in case.of(*keys))) for case in cases
    )


_INDUCTION = "induction"


def _levels(case: CaseSeen, induction: bool, *keys: str) -> list[float]:
    """Numbers in percent, while the phase entered last was induction, or was not."""
    return [
        one.value
        for one in case.of(*keys)
        if one.value is not None
        and not one.what.endswith(("_oxygen", "_co2"))
        and (case.phase_at(one.times.observed) == _INDUCTION) is induction
    ]


def _dialled(*, induction: bool) -> Callable[[_Cases], str]:
    def says(cases: _Cases) -> str:
        found = [level for case in cases for level in _levels(case, induction, "dial")]
        return f"{_spread(found, '%')}, as dialled" if found else ""

    return says


def _measured(cases: _Cases) -> str:
    found = [level for case in cases for level in _levels(case, False, "end_tidal_*")]
    return f"{_spread(found, '%')}, end-tidal as measured" if found else ""


def _inspired_oxygen(cases: _Cases) -> str:
    found = [level for case in cases for level in case.numbers("%", "inspired_oxygen")]
    return _spread(found, "%")


def _flow(cases: _Cases) -> str:
    named = {"flow_oxygen": "oxygen", "flow_air": "air", "flow_nitrous_oxide": "nitrous oxide"}
    said = {
        gas: _spread([flow for case in cases for flow in case.numbers("L/min", key)], "L/min")
        for key, gas in named.items()
    }
    return "; ".join(f"{gas} {flow}" for gas, flow in said.items() if flow)


def _duration(cases: _Cases) -> str:
    found = [one.minutes("anaesthesia began", "anaesthesia ended") for one in cases]
    return _times([one for one in found if one is not None])


def _waking(cases: _Cases) -> str:
    found = [one.minutes("anaesthesia ended", "on its chest") for one in cases]
    said = _times([one for one in found if one is not None])
    return f"{said}, until on its chest" if said else ""


def _given(cases: _Cases) -> str:
    """Every drug with its doses and routes as they were typed."""
    doses: dict[str, list[str]] = {}
    for case in cases:
        for one in case.kinds(EntryKind.DRUG):
            said = " ".join(one.details.get(name, "").strip() for name in ("dose", "route"))
            doses.setdefault(one.what, []).append(said.strip() or "dose not recorded")
    if not doses and any(one.event("no other drug") for one in cases):
        return "none"
    return "; ".join(f"{drug} {_several(said)}" for drug, said in doses.items())


_WATCHED = (EntryKind.VITAL, EntryKind.GAS, EntryKind.DEPTH)


def _variables(cases: _Cases) -> str:
    from ullage.reference.record import variable_rows

    found = dict.fromkeys(one.what for case in cases for one in case.kinds(*_WATCHED))
    rows = variable_rows()
    return ", ".join(rows[key].name.lower() for key in found if key in rows)


def _devices(cases: _Cases) -> str:
    return _several(
        ", ".join(dict.fromkeys(_device(one) for one in case.entries if _device(one)))
        for case in cases
    )


def _device(one: EntryText) -> str:
    return one.details.get("device", "").strip()


def _how_often(cases: _Cases) -> str:
    """The time between two moments at which something was watched, as it really was."""
    gaps = []
    for case in cases:
        moments = sorted({one.times.observed for one in case.kinds(*_WATCHED)})
        gaps += [(later - one).total_seconds() / 60.0 for one, later in pairwise(moments)]
    return _times(gaps)


def _temperature(cases: _Cases) -> str:
    found = [level for case in cases for level in case.numbers("Cel", *_TEMPERATURES)]
    return _spread(found, "°C")


_TEMPERATURES = ("temperature", "temperature_rectal", "temperature_gullet")


def _depth(cases: _Cases) -> str:
    from ullage.reference.record import variable_rows

    found = dict.fromkeys(one.what for case in cases for one in case.kinds(EntryKind.DEPTH))
    return ", ".join(variable_rows()[key].name.lower() for key in found if key in variable_rows())


def _counted(cases: _Cases, yes: tuple[str, ...], no: tuple[str, ...]) -> str:
    """In how many cases something happened, and for how many nobody said."""
    had = [one for one in cases if one.event(*yes)]
    said = [one for one in cases if one.event(*yes, *no)]
    if not said:
        return ""
    unsaid = len(cases) - len(said)
    tail = f"; not recorded for {unsaid}" if unsaid else ""
    return f"{len(had)} of {len(cases)}{tail}"


def _adverse(cases: _Cases) -> str:
    return _counted(cases, ("adverse event",), ("nothing to report",))


def _deaths(cases: _Cases) -> str:
    return _counted(cases, ("died",), ("awake", "on its chest", "killed"))


def _one_of_each(cases: _Cases) -> str:
    """How many animals the section speaks of."""
    return str(len(cases)) if cases else ""


#: In the order of the guideline: items 8, 9, 14 and 16.
SLOTS: tuple[Slot, ...] = (
    Slot("8", "Animals", _one_of_each),
    Slot("8", "Species", _fact("species")),
    Slot("8", "Strain", _fact("strain")),
    Slot("8", "Sex", _fact("sex")),
    Slot("8", "Age", _fact("age")),
    Slot("8", "Weight", _weight),
    Slot("8", "Source of the animals", _fact("source")),
    Slot("9", "Procedure", _fact("procedure")),
    Slot("9", "Where", _fact("place")),
    Slot("9", "Why this agent, route and dose", _fact("reason")),
    Slot("9", "Agent", _typed("agent")),
    Slot("9", "Induction", _typed("induction")),
    Slot("9", "Level at induction", _dialled(induction=True)),
    Slot("9", "Level kept, dialled", _dialled(induction=False)),
    Slot("9", "Level kept, measured", _measured),
    Slot("9", "Carrier gas", _typed("carrier")),
    Slot("9", "Inspired oxygen", _inspired_oxygen),
    Slot("9", "Flow", _flow),
    Slot("9", "Vaporizer", _fact("vaporizer")),
    Slot("9", "Breathing system", _typed("system")),
    Slot("9", "Airway", _typed("airway")),
    Slot("9", "Ventilation", _typed("ventilation")),
    Slot("9", "Duration", _duration),
    Slot("9", "Drugs given, premedication and pain relief", _given),
    Slot("9", "Body temperature", _temperature),
    Slot("9", "Warming", _typed("heating")),
    Slot("9", "Test of depth", _depth),
    Slot("14", "Committee and licence", _fact("committee")),
    Slot("14", "Protocol", _fact("protocol")),
    Slot("16a", "Pain relief planned", _fact("pain relief")),
    Slot("16b", "Adverse events", _adverse),
    Slot("16b", "Deaths under anaesthesia", _deaths),
    Slot("16c", "Humane endpoints", _fact("endpoints")),
    Slot("16c", "Watched", _variables),
    Slot("16c", "Watched with", _devices),
    Slot("16c", "Written down every", _how_often),
    Slot("16c", "Time to wake", _waking),
)
