"""What each slot of a methods section says of one case or of several, from their lines alone."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from ullage.answers.record.printed import local_time
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


def _by_case(words: Iterable[str]) -> str:
    """What each case says, one text a case, and for how many nobody said."""
    each = list(words)
    said = _several(each)
    return f"{said}{_unsaid(sum(not one.strip() for one in each))}" if said else ""


def _fact(key: str) -> Callable[[_Cases], str]:
    return lambda cases: _by_case(one.fact(key) for one in cases)


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


def _read(cases: _Cases, unit: str, *keys: str, shown: str = "") -> str:
    """Median and range of what was entered, of how many entries and animals, and who has none."""
    return _entries([case.numbers(unit, *keys) for case in cases], shown or unit)


def _entries(found: Sequence[Sequence[float]], unit: str) -> str:
    """Numbers of each case together: how many entries of how many animals they are."""
    having = [one for one in found if one]
    every = [value for one in having for value in one]
    if not every:
        return ""
    middle = f"{figure(median(every))} {unit}"
    ends = f"range {figure(min(every))} to {figure(max(every))}"
    said = middle if min(every) == max(every) else f"median {middle}, {ends}"
    entries = "1 entry" if len(every) == 1 else f"{len(every)} entries"
    animals = "1 animal" if len(having) == 1 else f"{len(having)} animals"
    return f"{said}, {entries} of {animals}{_unsaid(len(found) - len(having))}"


def _unsaid(count: int) -> str:
    return f" (not recorded for {count})" if count else ""


def _times(values: Sequence[float]) -> str:
    if not values:
        return ""
    if min(values) == max(values):
        return minutes_text(values[0])
    ends = f"{minutes_text(min(values))} to {minutes_text(max(values))}"
    return f"median {minutes_text(median(values))}, range {ends}, n = {len(values)}"


def _weight(cases: _Cases) -> str:
    found = [one.weight_kg for one in cases if one.weight_kg is not None]
    return f"{_spread(found, 'kg')}{_unsaid(len(cases) - len(found))}" if found else ""


def _typed(*keys: str) -> Callable[[_Cases], str]:
    """The words of some variables, each once."""
    return lambda cases: _by_case(
        ", ".join(dict.fromkeys(one.typed for one in case.of(*keys))) for case in cases
    )


def _level(*, induction: bool, of: str, how: str) -> Callable[[_Cases], str]:
    """Levels as dialled or as measured, by the phase in which they were entered."""

    def says(cases: _Cases) -> str:
        said = _entries([case.levels(of, induction=induction) for case in cases], "%")
        return f"{said}, {how}" if said else ""

    return says


def _median_of(unit: str, *keys: str, shown: str = "") -> Callable[[_Cases], str]:
    return lambda cases: _read(cases, unit, *keys, shown=shown)


def _flow(cases: _Cases) -> str:
    named = {"flow_oxygen": "oxygen", "flow_air": "air", "flow_nitrous_oxide": "nitrous oxide"}
    said = {
        gas: _entries([found for case in cases if (found := case.kept("L/min", key))], "L/min")
        for key, gas in named.items()
    }
    return "; ".join(f"{gas} {flow}" for gas, flow in said.items() if flow)


def _date(cases: _Cases) -> str:
    """On which days something was entered, the first and the last."""
    days = sorted(
        local_time(one.entries[0].times.observed, one.zone).date() for one in cases if one.entries
    )
    if not days:
        return ""
    ends = dict.fromkeys((days[0], days[-1]))
    return " to ".join(f"{day.day} {day:%B %Y}" for day in ends)


def _duration(cases: _Cases) -> str:
    return _lasted(cases, "anaesthesia began", "anaesthesia ended")


def _lasted(cases: _Cases, first: str, last: str) -> str:
    """Minutes between two events of each case, and for how many they are not known."""
    found = [one.minutes(first, last) for one in cases]
    known = [one for one in found if one is not None]
    return f"{_times(known)}{_unsaid(len(found) - len(known))}" if known else ""


def _waking(cases: _Cases) -> str:
    said = _lasted(cases, "anaesthesia ended", "on its chest")
    return f"{said}, until on its chest" if said else ""


def _given(cases: _Cases) -> str:
    """Every drug with its doses and routes as they were typed, and when it was given."""
    said = _doses(cases, EntryKind.DRUG, "dose", "route")
    if not said and any(one.event("no other drug") for one in cases):
        return "none"
    return said


def _fluids(cases: _Cases) -> str:
    return _doses(cases, EntryKind.FLUID, "rate", "volume", "route")


def _doses(cases: _Cases, kind: EntryKind, *names: str) -> str:
    given = [(case, one) for case in cases for one in case.kinds(kind)]
    return "; ".join(
        _dose(
            drug,
            _several(_said(one, names) for _, one in given if one.what == drug),
            [case for case, one in given if one.what == drug],
            [one for _, one in given if one.what == drug],
            len(cases),
        )
        for drug in dict.fromkeys(one.what for _, one in given)
    )


def _said(one: EntryText, names: Sequence[str]) -> str:
    """What an entry says of how much and by which way."""
    found = " ".join(one.details.get(name, "").strip() for name in names).split()
    return " ".join(found) or f"{names[0]} not recorded"


def _dose(
    drug: str, said: str, cases: Sequence[CaseSeen], entries: Sequence[EntryText], of: int
) -> str:
    """One drug: doses, when against the beginning, in how many animals where there are several."""
    after = [
        (one.times.observed - began).total_seconds() / 60.0
        for case, one in zip(cases, entries, strict=True)
        if (began := case.event("anaesthesia began")) is not None
    ]
    animals = len({id(one) for one in cases})
    return f"{drug} {said}, {_when(after)}" + (f", {animals} of {of} animals" if of > 1 else "")


def _when(after_min: Sequence[float]) -> str:
    """Times against the beginning of the anaesthesia."""
    if not after_min:
        return "time against the beginning not recorded"
    ends = dict.fromkeys((_side(min(after_min)), _side(max(after_min))))
    return f"{' to '.join(ends)} the anaesthesia began"


def _side(minutes: float) -> str:
    return f"{minutes_text(abs(minutes))} {'before' if minutes < 0 else 'after'}"


_WATCHED = (EntryKind.VITAL, EntryKind.GAS, EntryKind.DEPTH)


def _variables(cases: _Cases) -> str:
    from ullage.reference.record import variable_rows

    found = dict.fromkeys(one.what for case in cases for one in case.kinds(*_WATCHED))
    rows = variable_rows()
    return ", ".join(rows[key].name.lower() for key in found if key in rows)


def _devices(cases: _Cases) -> str:
    return _by_case(
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


_TEMPERATURES = ("temperature", "temperature_rectal", "temperature_gullet")
_MEANS = ("arterial_mean", "cuff_mean", "pressure_mean")


def _temperature_site(cases: _Cases) -> str:
    """Where the temperature was taken, by the variable or as it was said."""
    from ullage.reference.record import variable_rows

    rows = variable_rows()
    return _by_case(
        ", ".join(
            dict.fromkeys(
                one.typed if one.what == "temperature_site" else rows[one.what].name.lower()
                for one in case.of("temperature_rectal", "temperature_gullet", "temperature_site")
            )
        )
        for case in cases
    )


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
    return f"{len(had)} of {len(cases)}{_unsaid(len(cases) - len(said))}"


def _adverse(cases: _Cases) -> str:
    counted = _counted(cases, ("adverse event",), ("nothing to report",))
    told = _several(
        one.typed
        for case in cases
        for one in case.kinds(EntryKind.EVENT)
        if one.what == "adverse event"
    )
    return f"{counted}: {told}" if counted and told else counted


def _killed(cases: _Cases) -> str:
    """How many were killed, and how where somebody said."""
    killed = sum(one.event("killed") is not None for one in cases)
    how = _several(one.fact("killing") for one in cases)
    if not (killed or how):
        return ""
    return ", ".join(one for one in (f"{killed} of {len(cases)}" if killed else "", how) if one)


def _deaths(cases: _Cases) -> str:
    return _counted(cases, ("died",), ("awake", "on its chest", "killed"))


def _one_of_each(cases: _Cases) -> str:
    """How many animals the section speaks of."""
    return str(len(cases)) if cases else ""


#: Which level it is, and how it is known.
_ET = "end_tidal_*"
_DIALLED, _MEASURED = "as dialled", "end-tidal as measured"

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
    Slot("9", "When", _date),
    Slot("9", "Where", _fact("place")),
    Slot("9", "Why this agent, route and dose", _fact("reason")),
    Slot("9", "Agent", _typed("agent")),
    Slot("9", "Induction", _typed("induction")),
    Slot("9", "Level at induction", _level(induction=True, of="dial", how=_DIALLED)),
    Slot("9", "Level at induction, measured", _level(induction=True, of=_ET, how=_MEASURED)),
    Slot("9", "Level kept, dialled", _level(induction=False, of="dial", how=_DIALLED)),
    Slot("9", "Level kept, measured", _level(induction=False, of=_ET, how=_MEASURED)),
    Slot("9", "Carrier gas", _typed("carrier")),
    Slot("9", "Inspired oxygen", _median_of("%", "inspired_oxygen")),
    Slot("9", "Flow", _flow),
    Slot("9", "Pressure of the air", _median_of("kPa", "air_pressure")),
    Slot("9", "Machine", _fact("machine")),
    Slot("9", "Vaporizer", _fact("vaporizer")),
    Slot("9", "Breathing system", _typed("system", "breathing_system")),
    Slot("9", "Volume of the chamber", _fact("chamber volume")),
    Slot("9", "Airway", _typed("airway")),
    Slot("9", "Ventilation", _typed("ventilation")),
    Slot("9", "Duration", _duration),
    Slot("9", "Drugs given, premedication and pain relief", _given),
    Slot("9", "Fluids given", _fluids),
    Slot("9", "Asepsis", _fact("asepsis")),
    Slot("9", "Body temperature", _median_of("Cel", *_TEMPERATURES, shown="°C")),
    Slot("9", "Temperature taken", _temperature_site),
    Slot("9", "Warming", _typed("heating")),
    Slot("9", "Test of depth", _depth),
    Slot("9", "Heart rate", _median_of("/min", "heart_rate", "pulse_rate")),
    Slot("9", "Mean arterial pressure", _median_of("mm[Hg]", *_MEANS, shown="mmHg")),
    Slot("9", "End-tidal carbon dioxide", _median_of("mm[Hg]", "end_tidal_co2", shown="mmHg")),
    Slot("9", "Oxygen saturation", _median_of("%", "oxygen_saturation")),
    Slot("9", "Care afterwards", _fact("care afterwards")),
    Slot("9", "Killing", _killed),
    Slot("14", "Committee and licence", _fact("committee")),
    Slot("14", "Protocol", _fact("protocol")),
    Slot("16a", "Pain relief planned", _fact("pain relief")),
    Slot("16b", "Adverse events expected", _fact("adverse events expected")),
    Slot("16b", "Adverse events", _adverse),
    Slot("16b", "Deaths under anaesthesia", _deaths),
    Slot("16c", "Humane endpoints", _fact("endpoints")),
    Slot("16c", "Watched", _variables),
    Slot("16c", "Watched with", _devices),
    Slot("16c", "Written down every", _how_often),
    Slot("16c", "Time to wake", _waking),
)
