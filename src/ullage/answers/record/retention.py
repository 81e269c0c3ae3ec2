"""Until when a record is kept: every clock that applies, and the longest of them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from ullage.answers.answer import Answer, Verdict, View, WhereFrom
from ullage.answers.lines import line_of
from ullage.core.checks import within
from ullage.core.errors import UnknownReference
from ullage.reference import sourced
from ullage.reference.record import record_file, species_in

__all__ = ["Clock", "KeptRecord", "clock_rules", "retention_date", "retention_until"]

#: Day that a clock runs from -> the question that settles it.
_ASKS = {
    "made": "On which day was the record made?",
    "activity_ended": "On which day did the activity under this protocol end?",
    "animal_left": "On which day did the animal die or leave?",
    "approved": "On which day was the study approved?",
    "submitted": "On which day was the study submitted?",
    "study_ended": "On which day did the study end?",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptRecord:
    """The days from which clocks run; None where a day is not known or has not come."""

    species: str
    made: date
    activity_ended: date | None = None
    animal_left: date | None = None
    approved: date | None = None
    submitted: date | None = None
    study_ended: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """One clock for one record: whose it is, how long, from which day, until when if known."""

    label: str
    years: float
    begins: str
    where_from: WhereFrom
    until: date | None = None
    optional: bool = False


def clock_rules() -> tuple[str, ...]:
    """The rules whose clocks a site may say apply.

    >>> clock_rules()[:3]
    ('awa', 'phs', 'ucla')
    """
    return tuple(dict.fromkeys(one["rule"] for one in record_file("rules")["clock"]))


def _clocks(record: KeptRecord, rules: frozenset[str]) -> list[Clock]:
    name = record.species.strip().lower()
    found = []
    for one in record_file("rules")["clock"]:
        if one["rule"] in rules and species_in(name, one.get("species", "")):
            row = sourced("record", f"clock.{one['key']}")
            day = getattr(record, one["begins"])
            found.append(
                Clock(
                    label=one["label"],
                    years=row.value,
                    begins=one["begins"],
                    where_from=line_of(row, one["label"]),
                    until=_later(day, row.value),
                    optional=one.get("optional", False),
                )
            )
    return [one for one in found if one.until or not one.optional]


def _later(day: date | None, years: float) -> date | None:
    """The same day so many years later; the first of March for a 29th of February."""
    if day is None:
        return None
    year = day.year + round(years)
    if year > date.max.year:
        return date.max
    try:
        return day.replace(year=year)
    except ValueError:
        return date(year, 3, 1)


def retention_date(
    record: KeptRecord, rules: Iterable[str], own_years: float | None = None
) -> date | None:
    """The first day on which nothing keeps a record any more; None while a day is not known.

    Parameters
    ----------
    record : the days of the record.
    rules : those that apply here.
    own_years : [a] that the site itself keeps records from the day they were made; None: not set.

    Raises
    ------
    UnknownReference : a rule that is none.

    >>> retention_date(KeptRecord(species="pig", made=date(2026, 6, 8)), ["eu"])
    datetime.date(2031, 6, 8)
    """
    clocks = _all(record, rules, own_years)
    until = [one.until for one in clocks if one.until]
    return max(until) if clocks and len(until) == len(clocks) else None


def _all(record: KeptRecord, rules: Iterable[str], own_years: float | None) -> list[Clock]:
    wanted = frozenset(rules)
    unknown = sorted(wanted - set(clock_rules()))
    if unknown:
        raise UnknownReference(
            f"{unknown[0]!r} is no rule of keeping; they are {', '.join(clock_rules())}."
        )
    clocks = _clocks(record, wanted)
    if own_years is not None:
        within("own_years", own_years, 1.0, 100.0)
        said = WhereFrom(source="site_rule", how_known="site", text="Set by the site.")
        until = _later(record.made, own_years)
        clocks.append(
            Clock(label="This site", years=own_years, begins="made", where_from=said, until=until)
        )
    return clocks


def retention_until(
    record: KeptRecord, rules: Iterable[str], own_years: float | None = None
) -> Answer:
    """How long a record is kept at least: the longest of the clocks that apply.

    Parameters
    ----------
    record : the days of the record.
    rules : those that apply here; the site says which.
    own_years : [a] that the site itself keeps records from the day they were made; None: not set.

    Returns
    -------
    [days] from the day on which it was made. Not yet: a day is not known, so there is no date, and
    the record stays.

    Raises
    ------
    UnknownReference : a rule that is none.
    """
    clocks = _all(record, rules, own_years)
    last = retention_date(record, rules, own_years)
    open_ = [one for one in clocks if one.until is None]
    longest = max((one.until for one in clocks if one.until), default=None)
    return Answer(
        question="Until when is this record kept?",
        value=None if last is None else float((last - record.made).days),
        unit="days",
        verdict=Verdict.NOT_YET if last is None else Verdict.FINE,
        sentence=_sentence(last, longest),
        settles=_ASKS[open_[0].begins] if open_ else "" if clocks else _WHICH,
        todo="" if last else "Keep it: nothing is destroyed while a date is not known.",
        reasons=("The longest clock that applies counts; sources disagree and none is averaged.",),
        views=_views(clocks, last),
        where_from=tuple(dict.fromkeys(one.where_from for one in clocks)) or (_NONE,),
        cautions=(
            "This is no legal advice: which rules apply is for the site to say.",
            "A record that a dispute or an inspection needs is kept beyond its date.",
        ),
    )


_WHICH = "Which rules of keeping hold here?"
_NONE = WhereFrom(
    source="site_rule", how_known="site", text="The site has named no rule of keeping yet."
)


def _views(clocks: list[Clock], last: date | None) -> tuple[View, ...]:
    """Every clock beside the others; the first of the longest is the one that counts."""
    longest = next((one for one in clocks if last and one.until == last), None)
    return tuple(_view(one, chosen=one is longest) for one in clocks)


def _view(one: Clock, *, chosen: bool) -> View:
    years = f"{one.years:g} years"
    told = f"{years}, until {one.until:%d %B %Y}" if one.until else f"{years}, from an unknown day"
    return View(
        label=one.label,
        result=told,
        source=one.where_from.source,
        how_known=one.where_from.how_known,
        chosen=chosen,
    )


def _sentence(last: date | None, longest: date | None) -> str:
    if last is not None:
        return f"Kept until {last:%d %B %Y} at least."
    if longest is not None:
        return f"Kept until {longest:%d %B %Y} and beyond: another clock has no first day yet."
    return "Kept without an end: no clock has a date yet."
