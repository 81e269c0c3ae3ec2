"""Units and entries in the words that charts and printed records use."""

from datetime import UTC, datetime, tzinfo

from ullage.answers.record.things import EntryKind, EntryText
from ullage.reference.record import variable_rows

__all__ = ["clock_text", "entry_name", "entry_words", "local_time", "unit_words"]

#: Unit of the record -> as people read it; every other unit reads as it is written.
_READ = {
    "mm[Hg]": "mmHg",
    "cm[H2O]": "cmH₂O",
    "[psi]": "psi",
    "Cel": "°C",
    "[degF]": "°F",
    "[ppm]": "ppm",
    "%{vol}": "%",
    "{beats}/min": "/min",
    "{breaths}/min": "/min",
    "1": "",
    "{MAC}": "MAC",
    "[iU]/mL": "IU/mL",
    "ug": "µg",
    "ug/kg": "µg/kg",
    "ug/mL": "µg/mL",
    "uL": "µL",
    "ug/kg/min": "µg/kg/min",
}
#: Details of what was given, in the order in which they are read.
_DETAILS = ("dose", "concentration", "volume", "rate", "route", "lot", "expiry")
_NAMED = {"concentration": "at ", "lot": "lot ", "expiry": "expiry "}


def unit_words(unit: str) -> str:
    """A unit of the record as people read it.

    >>> unit_words("mm[Hg]"), unit_words("L/min")
    ('mmHg', 'L/min')
    """
    return _READ.get(unit, unit)


def entry_name(entry: EntryText) -> str:
    """What an entry is of, by name."""
    known = variable_rows().get(entry.what)
    if known is not None and known.kind == entry.kind.value:
        return known.name
    return entry.what.strip() or entry.kind.words.capitalize()


def entry_words(entry: EntryText) -> str:
    """What an entry says: its number with its unit, or its words, then its details as typed."""
    if entry.number:
        said = f"{entry.number} {unit_words(entry.unit)}".strip()
    elif entry.kind in {EntryKind.DRUG, EntryKind.FLUID}:
        said = ""
    else:
        said = entry.typed.strip()
    return ", ".join(one for one in (said, *_details(entry)) if one)


def _details(entry: EntryText) -> list[str]:
    given = {name: text.strip() for name, text in entry.details.items() if text.strip()}
    first = [f"{_NAMED.get(name, '')}{given.pop(name)}" for name in _DETAILS if name in given]
    return [*first, *(f"{name} {text}" for name, text in given.items())]


def local_time(at: datetime, zone: tzinfo) -> datetime:
    """A time on the clock of a place; as it is where that lies outside the calendar.

    >>> from datetime import UTC, timedelta, timezone
    >>> west = timezone(timedelta(hours=-5))
    >>> local_time(datetime.min.replace(tzinfo=UTC), west).isoformat()
    '0001-01-01T00:00:00+00:00'
    """
    try:
        return at.astimezone(zone)
    except OverflowError:
        return at


def clock_text(at: datetime, zone: tzinfo) -> str:
    """The time of day on the clock of a place; where no place is known it says UTC.

    >>> from datetime import timedelta, timezone
    >>> at = datetime(2026, 6, 8, 22, 16, tzinfo=UTC)
    >>> clock_text(at, UTC), clock_text(at, timezone(timedelta(hours=12)))
    ('22:16 UTC', '10:16')
    """
    return f"{local_time(at, zone):%H:%M}{' UTC' if zone is UTC else ''}"
