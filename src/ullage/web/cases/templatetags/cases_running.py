"""How a running case is said on its page: durations, lines of the list, what is typed so far."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import uuid4

from django import template

from ullage.answers.record.printed import entry_name, entry_words, unit_words
from ullage.answers.record.standing import Standing
from ullage.answers.record.things import EntryText
from ullage.answers.record.warned import Warned
from ullage.answers.words import figure, minutes_text
from ullage.web.cases.forms.entries import EntriesForm
from ullage.web.cases.pads import Pad, Tile, answer_to, pad_of
from ullage.web.cases.selectors.levels import CaseLevels
from ullage.web.cases.selectors.running import RunningPage
from ullage.web.shared.display import clock

__all__ = ["register"]

register = template.Library()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Line:
    """One line of the list of events."""

    at: datetime
    number: int | None
    name: str
    words: str
    standing: Standing
    shows: str
    unit: str

    @property
    def entry(self) -> EntryText:
        """The entry as it stands."""
        return self.standing.entry

    @property
    def was(self) -> str:
        """What it said before it was corrected; empty where it was not."""
        first = self.standing.changes[0].was if self.standing.changes else None
        return entry_words(first) if first else ""

    @property
    def reason(self) -> str:
        """Why it was corrected last, and by whom."""
        if not self.standing.changes:
            return ""
        by = self.standing.changes[-1].by
        return f"{by.author.partition(' (')[0]}: “{by.reason}”"

    @property
    def amended_at(self) -> datetime | None:
        """When it was corrected last."""
        return self.standing.changes[-1].by.times.written if self.standing.changes else None


@register.filter
def event_lines(page: RunningPage) -> list[_Line]:
    """Events, drugs, fluids and words; and of the rest what is late or corrected, latest first."""
    numbers = {one.standing.entry.id: one.number for one in page.events}
    kinds = {"event", "drug", "fluid", "text"}
    found = []
    for one in page.standing.entries:
        entry = one.entry
        told = entry.kind.value in kinds or one.is_late or one.is_amended
        if page.animal and entry.animal not in {"", page.animal}:
            continue
        if told:
            found.append(_line(one, numbers.get(entry.id)))
    return sorted(found, key=lambda one: (one.at, one.entry.order), reverse=True)[:_MOST]


#: As many lines as a page shows; the rest stands with all entries.
_MOST = 40


def _line(one: Standing, number: int | None) -> _Line:
    entry = one.entry
    name = entry_name(entry)
    words = _said(entry)
    return _Line(
        at=entry.times.observed,
        number=number,
        name=name[:1].upper() + name[1:],
        words=words,
        standing=one,
        shows=f"{name} {words}".strip(),
        unit=unit_words(entry.unit),
    )


def _said(entry: EntryText) -> str:
    if entry.what == "warning acknowledged":
        return f"{entry.typed} ({entry.details.get('cause', '')})"
    if entry.what == "recovery step":
        met = "met" if entry.details.get("met") == "yes" else "not met"
        step = entry.typed.rstrip(".") or entry.details.get("step", "")
        return f"{step}: {met}"
    return entry_words(entry)


@register.filter
def long(minutes: float | None) -> str:
    """A length of time as people say it."""
    return "" if minutes is None else minutes_text(minutes)


@register.filter
def number_shown(value: float | None) -> str:
    """A number with three figures."""
    return "" if value is None else figure(value)


@register.filter
def ahead(at: datetime | None, page: RunningPage) -> bool:
    """Whether a time has not come yet."""
    return at is not None and at > page.now


@register.filter
def minutes_ago(at: datetime, page: RunningPage) -> str:
    """How long ago a time was."""
    return minutes_text(max((page.now - at) / timedelta(minutes=1), 0.0))


@register.filter
def typed_in(form: object, key: str) -> str:
    """What somebody typed into a field of a form that was not taken."""
    if not isinstance(form, EntriesForm) or not form.is_bound:
        return ""
    return str(form.data.get(key, ""))


@register.filter
def error_in(form: object, key: str) -> str:
    """The sentence about a field of a form that was not taken."""
    if not isinstance(form, EntriesForm) or not form.is_bound:
        return ""
    return " ".join(str(one) for one in form.errors.get(key, ()))


@register.filter
def sentences(form: EntriesForm) -> list[str]:
    """Why a form was not taken, each sentence once."""
    said = [str(one) for errors in form.errors.values() for one in errors]
    return list(dict.fromkeys(said))


@register.filter
def answered_by(one: Warned) -> str:
    """The event of one touch that answers a warning."""
    return answer_to(one.warning, one.cause)


@register.simple_tag
def new_code() -> str:
    """The code of a form that was not sent yet."""
    return str(uuid4())


@register.simple_tag
def pad_blank() -> Pad:
    """What is offered where nobody may see the last values."""
    return pad_of({}, "", {})


@register.filter
def last_of(page: RunningPage, keys: str) -> str:
    """The last of some variables with its unit, for a row of the group."""
    known = [page.last[key] for key in keys.split(",") if key in page.last]
    newest = max(known, key=lambda one: one.times.observed, default=None)
    return entry_words(newest) if newest else "–"


@register.filter
def clock_at(minute: float, levels: CaseLevels) -> str:
    """A minute of the case on the clock of the place."""
    return clock(levels.at(minute))


@register.filter
def all_tiles(pad: Pad) -> tuple[Tile, ...]:
    """Every tile, those behind the others too."""
    return (*pad.tiles, *pad.more)
