"""A study as a table: one row an animal, for the supplement of a paper."""

from collections.abc import Callable, Iterable, Mapping
from datetime import UTC, tzinfo
from statistics import median

from ullage.answers.record.cells import table_csv
from ullage.answers.record.fixed import utc_text
from ullage.answers.record.seen import NOT_RECORDED, CaseSeen, case_seen
from ullage.answers.record.standing import record_standing
from ullage.answers.record.things import AnyLine, EntryKind
from ullage.answers.words import figure

__all__ = ["animal_rows", "animals_csv", "cases_of"]

_TEMPERATURES = ("temperature", "temperature_rectal", "temperature_gullet")
_MEANS = ("arterial_mean", "cuff_mean", "pressure_mean")


def cases_of(lines: Iterable[AnyLine], zone: tzinfo = UTC) -> tuple[CaseSeen, ...]:
    """What a record says of each of its animals: one, or every one that entries of a group name.

    Parameters
    ----------
    lines : of one record, in their order.
    zone : of the place, for days and times of day.

    >>> len(cases_of([]))
    1
    """
    kept = tuple(lines)
    standing = record_standing(kept)
    named = dict.fromkeys(one.entry.animal.strip() for one in standing.entries)
    animals = [one for one in named if one]
    if set(animals) <= {standing.facts.get("animal", "").strip()}:
        return (case_seen(kept, zone=zone),)
    return tuple(case_seen(kept, one, zone) for one in animals)


def _number(value: float | None) -> str:
    return "" if value is None else figure(value).replace("\u202f", "")


def _median(unit: str, *keys: str) -> Callable[[CaseSeen], str]:
    def says(case: CaseSeen) -> str:
        found = case.numbers(unit, *keys)
        return _number(median(found)) if found else ""

    return says


def _least(unit: str, *keys: str) -> Callable[[CaseSeen], str]:
    return lambda case: _number(min(case.numbers(unit, *keys), default=None))


def _most(unit: str, *keys: str) -> Callable[[CaseSeen], str]:
    return lambda case: _number(max(case.numbers(unit, *keys), default=None))


def _level(key: str, *, induction: bool = False) -> Callable[[CaseSeen], str]:
    """Median of a level of the agent, in the induction or as it was kept after it."""

    def says(case: CaseSeen) -> str:
        found = case.levels(key, induction=induction)
        return _number(median(found)) if found else ""

    return says


def _happened(yes: tuple[str, ...], no: tuple[str, ...]) -> Callable[[CaseSeen], str]:
    def says(case: CaseSeen) -> str:
        if case.event(*yes):
            return "yes"
        return "no" if case.event(*no) else ""

    return says


def _began(case: CaseSeen) -> str:
    at = case.event("anaesthesia began")
    return utc_text(at) if at else ""


def _drugs(case: CaseSeen) -> str:
    return "; ".join(
        " ".join([one.what, *(one.details.get(name, "") for name in ("dose", "route"))]).strip()
        for one in case.kinds(EntryKind.DRUG)
    )


def _words(key: str) -> Callable[[CaseSeen], str]:
    return lambda case: ", ".join(dict.fromkeys(one.typed for one in case.of(key)))


def _fact(key: str) -> Callable[[CaseSeen], str]:
    return lambda case: case.fact(key)


#: Column -> what it says of one animal; the unit ends the name.
_COLUMNS: Mapping[str, Callable[[CaseSeen], str]] = {
    **{key: _fact(key) for key in ("species", "strain", "sex", "age", "protocol", "procedure")},
    "weight_kg": lambda case: _number(case.weight_kg),
    "began_utc": _began,
    "duration_min": lambda case: _number(case.minutes("anaesthesia began", "anaesthesia ended")),
    "to_chest_min": lambda case: _number(case.minutes("anaesthesia ended", "on its chest")),
    "agent": _words("agent"),
    "carrier": _words("carrier"),
    "dial_induction_median_percent": _level("dial", induction=True),
    "dial_kept_median_percent": _level("dial"),
    "end_tidal_agent_kept_median_percent": _level("end_tidal_*"),
    "inspired_oxygen_median_percent": _median("%", "inspired_oxygen"),
    "heart_rate_median_per_min": _median("/min", "heart_rate", "pulse_rate"),
    "respiratory_rate_median_per_min": _median("/min", "respiratory_rate", "respiratory_rate_co2"),
    "mean_pressure_median_mmhg": _median("mm[Hg]", *_MEANS),
    "mean_pressure_least_mmhg": _least("mm[Hg]", *_MEANS),
    "oxygen_saturation_least_percent": _least("%", "oxygen_saturation"),
    "end_tidal_co2_median_mmhg": _median("mm[Hg]", "end_tidal_co2"),
    "temperature_median_c": _median("Cel", *_TEMPERATURES),
    "temperature_least_c": _least("Cel", *_TEMPERATURES),
    "temperature_most_c": _most("Cel", *_TEMPERATURES),
    "drugs": _drugs,
    "adverse_event": _happened(("adverse event",), ("nothing to report",)),
    "died_under_anaesthesia": _happened(("died",), ("awake", "on its chest", "killed")),
}


def animal_rows(records: Iterable[Iterable[AnyLine]]) -> list[dict[str, str]]:
    """A row for each animal of a study, "not recorded" where nobody entered anything.

    Parameters
    ----------
    records : the lines of each, in their order.

    Returns
    -------
    Rows by name of column, which are always the same. Medians and ends are over the entries of the
    animal, as they stand now.

    >>> animal_rows([[]])[0]["weight_kg"]
    'not recorded'
    """
    found = []
    for lines in records:
        kept = tuple(lines)
        for case in cases_of(kept):
            own = {
                "record": kept[0].record if kept else "",
                "animal": case.animal or case.fact("animal"),
            }
            says = {name: read(case) for name, read in _COLUMNS.items()}
            row = {**own, **says}
            found.append({name: text.strip() or NOT_RECORDED for name, text in row.items()})
    return found


def animals_csv(records: Iterable[Iterable[AnyLine]]) -> str:
    """The table of a study as CSV, its cells guarded as in the tidy table.

    >>> animals_csv([]).startswith("record,animal,species,strain,")
    True
    """
    return table_csv(["record", "animal", *_COLUMNS], animal_rows(records))
