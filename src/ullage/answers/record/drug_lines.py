"""Lines for the site's own log of controlled drugs, from the drug entries of a record.

One line a use: when it really happened, what, how much, how much was wasted, for which animals, by
whom. Nothing is kept here of what is in stock.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, fields, replace
from datetime import UTC, date, datetime, tzinfo

from ullage.answers.answer import Answer, Verdict
from ullage.answers.record.cells import table_csv
from ullage.answers.record.drug_amount import drug_given
from ullage.answers.record.fixed import utc_text
from ullage.answers.record.seen import NOT_RECORDED, CaseSeen, case_seen
from ullage.answers.record.standing import Change, Standing, record_standing
from ullage.answers.record.things import AnyLine, EntryKind
from ullage.answers.words import minutes_text

__all__ = ["DRUG_LOG_CAUTIONS", "DrugLine", "drug_lines", "drug_lines_csv"]

#: Stand above and below every print of these lines.
DRUG_LOG_CAUTIONS = (
    "These lines are for the site's own log; they are no log by themselves.",
    "No running balance is kept here, and no stock is counted; the log of the container does that.",
    "Which drugs are controlled is for the site and its law to say.",
    "What nobody entered is not recorded; it is never filled in.",
)

_EXPIRY = re.compile(r"([0-9]{4})-([0-9]{2})(?:-([0-9]{2}))?", re.ASCII)


@dataclass(frozen=True, slots=True, kw_only=True)
class DrugLine:
    """One use of a drug, every part in words; `given` holds how its amount was worked out."""

    record: str
    entry: str
    at: str
    at_utc: str
    drug: str
    concentration: str
    bottle: str
    lot: str
    expiry: str
    as_typed: str
    dose: str
    volume: str
    amount: str
    wasted: str
    route: str
    species: str
    animals: str
    animal: str
    protocol: str
    name: str
    initials: str
    remarks: str
    given: Answer

    @property
    def is_asked(self) -> bool:
        """Whether its amount has to be settled first."""
        return self.given.verdict is not Verdict.FINE


#: In the order of a log: the use, the container, the amounts, the animals, the person.
_COLUMNS = tuple(one.name for one in fields(DrugLine) if one.name != "given")


def drug_lines(
    lines: Iterable[AnyLine],
    *,
    zone: tzinfo = UTC,
    drugs: Sequence[str] = (),
    late_after_min: float | None = None,
) -> tuple[DrugLine, ...]:
    """A line for each use of a drug, by the time at which it happened.

    Parameters
    ----------
    lines : of one record, in their order.
    zone : of the site; the date of a log is that of the place.
    drugs : names to keep, in any case of letters; none keeps every drug.
    late_after_min : [min] set by the site; None takes what is proposed.

    Returns
    -------
    Uses as they stand now; what was corrected and what was withdrawn says so in its remarks.

    >>> drug_lines([])
    ()
    """
    kept = tuple(lines)
    wanted = {one.strip().lower() for one in drugs}
    standing = record_standing(kept, late_after_min)
    named = frozenset(one.entry.animal.strip() for one in standing.entries) - {""}
    cases: dict[str, CaseSeen] = {}
    found = []
    for one in standing.entries:
        entry = one.entry
        if entry.kind is EntryKind.DRUG and (not wanted or entry.what.strip().lower() in wanted):
            if entry.animal not in cases:
                cases[entry.animal] = case_seen(kept, entry.animal)
            found.append(_line(one, cases[entry.animal], len(named), zone))
    return tuple(found)


def _line(one: Standing, case: CaseSeen, animals: int, zone: tzinfo) -> DrugLine:
    entry = one.entry
    given = drug_given(entry, _weight_kg(case, entry.times.observed))

    def detail(name: str) -> str:
        return entry.details.get(name, "").strip() or NOT_RECORDED

    return DrugLine(
        record=entry.record,
        entry=entry.id,
        at=_local(entry.times.observed, zone),
        at_utc=utc_text(entry.times.observed),
        drug=entry.what.strip() or NOT_RECORDED,
        concentration=detail("concentration"),
        bottle=detail("bottle"),
        lot=detail("lot"),
        expiry=detail("expiry"),
        as_typed=entry.typed.strip() or NOT_RECORDED,
        dose=detail("dose"),
        volume=detail("volume"),
        amount=_amount(given),
        wasted=detail("wasted"),
        route=detail("route"),
        species=case.fact("species") or NOT_RECORDED,
        animals=_animals(one, animals),
        animal=entry.animal.strip() or case.fact("animal") or NOT_RECORDED,
        protocol=case.fact("protocol") or NOT_RECORDED,
        name=entry.author.strip() or NOT_RECORDED,
        initials=_initials(entry.author),
        remarks=" ".join(_remarks(one, given)),
        given=given,
    )


def _local(at: datetime, zone: tzinfo) -> str:
    """Date and time at the site, with how far it is from UTC."""
    try:
        return f"{at.astimezone(zone).isoformat(sep=' ', timespec='minutes')}"
    except OverflowError:
        return utc_text(at)


def _weight_kg(case: CaseSeen, at: datetime) -> float | None:
    """[kg] as last weighed before a time, else as the case was opened."""
    before = tuple(one for one in case.entries if one.times.observed <= at)
    found = replace(case, entries=before).weight_kg
    return found if found is not None and found > 0.0 else None


def _amount(given: Answer) -> str:
    if given.value is not None:
        return given.number_text
    return f"asked: {given.range_text}" if given.low is not None else NOT_RECORDED


def _animals(one: Standing, named: int) -> str:
    """How many animals the use was for: one, unless it was for a bench of several."""
    if one.entry.animal.strip() or named <= 1:
        return "1"
    return f"{named}, as entries of the group name them"


def _initials(author: str) -> str:
    """The first letters of a name; the name to sign in with, in brackets, is left out."""
    name = re.sub(r"\(.*", "", author)
    return "".join(word[0].upper() for word in re.findall(r"[^\W\d_]+", name)) or NOT_RECORDED


def _remarks(one: Standing, given: Answer) -> Iterator[str]:
    if one.is_withdrawn:
        yield "Withdrawn: it should not stand."
    if one.is_late:
        yield f"Written {minutes_text(one.entry.times.late_by_min)} after it was given."
    if not one.entry.author_confirmed:
        yield "Author to confirm."
    yield from (_change(change) for change in one.changes)
    if _expired(one.entry.details.get("expiry", ""), one.entry.times.observed.date()):
        yield "Past the expiry date that was entered."
    if given.verdict is not Verdict.FINE:
        yield f"Asked: {given.settles}"
    yield from given.assumptions


def _change(change: Change) -> str:
    was = change.was
    said = ", ".join([was.typed, *was.details.values()]) if was else ""
    reason = change.by.reason.strip() or NOT_RECORDED
    return f"Amended by {change.by.author}: was {said.strip(', ') or 'empty'}; reason: {reason}."


def _expired(typed: str, day: date) -> bool:
    """Whether a date, or the end of a month, lies before a day; what is no date is not judged."""
    found = _EXPIRY.fullmatch(typed.strip())
    if found is None:
        return False
    year, month, last = int(found[1]), int(found[2]), int(found[3] or 31)
    return 1 <= month <= 12 and (year, month, last) < (day.year, day.month, day.day)


def drug_lines_csv(
    records: Iterable[Iterable[AnyLine]], *, zone: tzinfo = UTC, drugs: Sequence[str] = ()
) -> str:
    """The uses of drugs of several records as CSV; cells are guarded as in the tidy table.

    Parameters
    ----------
    records : the lines of each, in their order.
    zone : of the site.
    drugs : names to keep; none keeps every drug.

    >>> drug_lines_csv([]).startswith("record,entry,at,at_utc,drug,")
    True
    """
    rows = (one for lines in records for one in drug_lines(lines, zone=zone, drugs=drugs))
    return table_csv(_COLUMNS, ({name: getattr(row, name) for name in _COLUMNS} for row in rows))
