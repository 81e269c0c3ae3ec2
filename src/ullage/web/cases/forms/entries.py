"""Entries as they are typed on the running page, each form sent once however often it is sent.

A plain form does all that the pad of a tablet does: fields start empty, an empty field is no entry.
"""

from collections.abc import Iterator, Mapping
from datetime import UTC, datetime, time, timedelta
from typing import Any
from uuid import UUID, uuid4, uuid5

from django import forms
from django.utils import timezone

from ullage.answers.record.things import EntryKind
from ullage.answers.record.words import MEASURES, measure
from ullage.core.errors import UllageError
from ullage.reference.record import term_lists, variable_rows
from ullage.web.cases.pads import unit_typed
from ullage.web.cases.services import typed_reading
from ullage.web.cases.services.entries import Seen

__all__ = ["FORMS", "EntriesForm", "ObservationForm", "SettingForm", "WordForm"]

_LONGEST = 40
#: A clock may run ahead by so much before a time is taken as that of the day before.
_AHEAD = timedelta(minutes=2)
_ROUTES = ("IV", "IM", "SC", "IP", "by mouth", "local", "epidural", "inhaled")


class EntriesForm(forms.Form):
    """What every form of entries has: its own code, when it was seen, of which animal.

    ``units`` are those in which the site reads a variable, where it is not the usual one.
    """

    code = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)
    animal = forms.CharField(widget=forms.HiddenInput, required=False, max_length=60)
    observed = forms.TimeField(
        label="Seen at",
        required=False,
        widget=forms.TimeInput(attrs={"type": "time"}),
        error_messages={"invalid": "Write the time like 09:05."},
    )

    def __init__(self, *args: Any, units: Mapping[str, str] | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.units = dict(units or {})

    def clean_observed(self) -> datetime:
        """The moment of the clock: today's, or yesterday's where it has not come yet."""
        given: time | None = self.cleaned_data["observed"]
        now = timezone.now()
        if given is None:
            return now
        local = timezone.localtime(now)
        at = local.replace(hour=given.hour, minute=given.minute, second=given.second, microsecond=0)
        if at - now > _AHEAD:
            at -= timedelta(days=1)
        return at.astimezone(UTC)

    def entries(self) -> Iterator[Seen]:
        """The entries of a form that is valid."""
        yield from ()

    def entry(self, kind: EntryKind, what: str, typed: str, **details: str) -> Seen:
        """One entry with an id of its own, the same whenever this form is sent."""
        code: UUID = self.cleaned_data["code"]
        named = ":".join((kind.value, what, details.get("warning", ""), details.get("cause", "")))
        return Seen(
            kind=kind,
            what=what,
            at=self.cleaned_data["observed"],
            typed=typed,
            details=details,
            animal=self.cleaned_data["animal"],
            code=str(uuid5(code, named)),
        )


class ValuesForm(EntriesForm):
    """Any variables, each a number with its unit or a word of its list."""

    kinds: tuple[str, ...] = ()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for key, row in variable_rows().items():
            if row.kind in self.kinds:
                self.fields[key] = forms.CharField(
                    label=row.name, required=False, max_length=_LONGEST
                )

    def clean(self) -> dict[str, Any]:
        """Read every field that was filled in; an empty one is no entry."""
        typed = super().clean() or {}
        said = {
            key: str(typed[key]).strip()
            for key, row in variable_rows().items()
            if row.kind in self.kinds and str(typed.get(key) or "").strip()
        }
        self.read = {key: self._with_unit(key, words) for key, words in said.items()}
        for key, words in self.read.items():
            try:
                typed_reading(key, words)
            except UllageError as why:
                self.add_error(key, str(why))
        if not self.read and not self.errors:
            self.add_error(None, "Nothing is filled in; leave out only what you did not see.")
        return typed

    def _with_unit(self, key: str, words: str) -> str:
        """What was typed; digits alone are in the unit that stands beside the field."""
        row = variable_rows()[key]
        if not row.ucum or not _is_bare(words):
            return words
        return f"{words} {unit_typed(self.units.get(key) or row.ucum[0])}".strip()

    def entries(self) -> Iterator[Seen]:
        """One entry for each field that was filled in."""
        rows = variable_rows()
        for key, said in self.read.items():
            yield self.entry(EntryKind(rows[key].kind), key, said)


def _is_bare(said: str) -> bool:
    return not any(sign.isalpha() or sign in "%°" for sign in said)


class ObservationForm(ValuesForm):
    """What was seen and measured."""

    kinds = ("vital", "gas", "depth", "warming", "reading")


class SettingForm(ValuesForm):
    """Dial, flows, system, warming, and other settings."""

    kinds = ("setting", "warming")


class EventForm(EntriesForm):
    """One event by its word; a note says more."""

    event = forms.ChoiceField(
        choices=lambda: [(one.word, one.word) for one in term_lists()["event"]],
        error_messages={"required": "Which event?", "invalid_choice": "No such event."},
    )
    note = forms.CharField(required=False, max_length=240)

    def entries(self) -> Iterator[Seen]:
        """The event."""
        yield self.entry(EntryKind.EVENT, self.cleaned_data["event"], self.cleaned_data["note"])


class GivenForm(EntriesForm):
    """A drug or a fluid with what was given of it."""

    kind = EntryKind.DRUG
    names: tuple[str, ...] = ()
    what = forms.CharField(max_length=80, error_messages={"required": "Which one was given?"})

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in self.names:
            self.fields[name] = forms.CharField(required=False, max_length=_LONGEST)

    def clean(self) -> dict[str, Any]:
        """Read every amount; at least one of dose, volume and rate is needed."""
        typed = super().clean() or {}
        self.details: dict[str, str] = {}
        for name in self.names:
            said = str(typed.get(name) or "").strip()
            if not said:
                continue
            if name in MEASURES:
                said = f"{said} {MEASURES[name][0]}" if _is_bare(said) else said
                try:
                    measure(said, MEASURES[name], name.capitalize())
                except UllageError as why:
                    self.add_error(name, str(why))
            self.details[name] = said
        if not ({"dose", "volume", "rate"} & self.details.keys()):
            self.add_error(None, "How much was given? Dose, volume or rate.")
        return typed

    def entries(self) -> Iterator[Seen]:
        """What was given."""
        typed = ", ".join(self.details[one] for one in self.names if one in self.details)
        what = self.cleaned_data["what"]
        yield self.entry(self.kind, what, typed, **self.details)


class DrugForm(GivenForm):
    """A drug with dose, concentration, volume and route."""

    names = ("dose", "concentration", "volume", "route", "lot", "expiry")
    routes = _ROUTES


class FluidForm(GivenForm):
    """A fluid with its rate or a volume at once."""

    kind = EntryKind.FLUID
    names = ("rate", "volume", "route", "lot")


class NoteForm(EntriesForm):
    """Free text."""

    text = forms.CharField(max_length=2000, error_messages={"required": "Nothing is written."})

    def entries(self) -> Iterator[Seen]:
        """The text."""
        yield self.entry(EntryKind.TEXT, "", self.cleaned_data["text"])


class WordForm(EntriesForm):
    """A word on a warning."""

    warning = forms.CharField(max_length=40, widget=forms.HiddenInput)
    cause = forms.CharField(max_length=80, widget=forms.HiddenInput)
    word = forms.CharField(
        max_length=240,
        error_messages={"required": "Say a word on this warning, such as what was done."},
    )

    def entries(self) -> Iterator[Seen]:
        """The word as an event."""
        details = {name: self.cleaned_data[name] for name in ("warning", "cause")}
        yield self.entry(
            EntryKind.EVENT, "warning acknowledged", self.cleaned_data["word"], **details
        )


#: The forms of the page by name.
FORMS: dict[str, type[EntriesForm]] = {
    "observation": ObservationForm,
    "setting": SettingForm,
    "event": EventForm,
    "drug": DrugForm,
    "fluid": FluidForm,
    "note": NoteForm,
    "word": WordForm,
}
