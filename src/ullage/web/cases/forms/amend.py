"""A correction of an entry, a decision on what was not taken, a signature."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import uuid4
from zoneinfo import ZoneInfo

from django import forms
from django.utils import timezone

from ullage.answers.record.posted import amended_as_typed
from ullage.answers.record.things import Amendment, EntryKind, EntryText, Meaning, Times
from ullage.core.errors import UllageError
from ullage.reference.record import term_lists, variable_rows
from ullage.web.cases.selectors import Record
from ullage.web.shared.forms import Choices
from ullage.web.sites.selectors import Site

__all__ = ["AmendForm", "SettleForm", "SignForm"]

_GIVEN = ("dose", "concentration", "volume", "rate", "route", "lot", "expiry")
_NOT_SHOWN = {"step", "met", "warning", "cause", "sha256"}


class AmendForm(forms.Form):
    """What an entry should have said, and why; what is left empty stays as it is."""

    withdrawn = forms.BooleanField(
        label="It should not stand at all",
        required=False,
        help_text="Such as an entry in the wrong case. It stays readable, struck through.",
    )
    reason = forms.CharField(
        label="Why",
        max_length=240,
        error_messages={"required": "Say why; the reason stands in the record."},
    )
    code = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)

    def __init__(self, *args: Any, entry: EntryText, site: Site, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.entry, self.zone = entry, ZoneInfo(site.time_zone)
        self.fields["typed"] = _typed_field(entry)
        self.fields["observed"] = forms.DateTimeField(
            label="Seen at",
            required=False,
            widget=forms.DateTimeInput(
                attrs={"type": "datetime-local", "step": "1"}, format="%Y-%m-%dT%H:%M:%S"
            ),
        )
        self.named = _details(entry)
        for name in self.named:
            self.fields[f"of_{name}"] = forms.CharField(
                label=name.capitalize(), required=False, max_length=200
            )
        for name, field in self.fields.items():
            if not field.required and name != "withdrawn":
                field.optional_word = "empty: as it was"  # type: ignore[attr-defined]  # read by the field template
        last = ("observed", "withdrawn", "reason")
        self.order_fields(["typed", *(f"of_{name}" for name in self.named), *last])

    def clean(self) -> dict[str, Any]:
        """Something is different, and can be read as a reading of the same thing."""
        typed = super().clean() or self.cleaned_data
        said = (typed.get("typed"), typed.get("observed"), *self._details().values())
        if not any(said) and not typed.get("withdrawn") and not self.errors:
            raise forms.ValidationError("Say what is different, or that it should not stand.")
        at = typed.get("observed")
        if isinstance(at, datetime) and at > timezone.now():
            self.add_error("observed", "This time has not come yet; write when it was seen.")
        if not self.errors:
            try:
                self.made()
            except UllageError as why:
                self.add_error("typed", str(why))
        return typed

    def _details(self) -> dict[str, str]:
        found = {name: self.cleaned_data.get(f"of_{name}", "").strip() for name in self.named}
        return {name: text for name, text in found.items() if text}

    def made(self) -> Amendment:
        """The correction; its number is read as the entry's own variable reads it."""
        typed, now = self.cleaned_data, timezone.now()
        gone = bool(typed.get("withdrawn"))
        line = Amendment(
            id=str(typed["code"]),
            record="",
            order=1,
            author="",
            times=Times(observed=now, written=now, received=now),
            of=self.entry.id,
            reason=typed["reason"].strip(),
            typed="" if gone else typed["typed"].strip(),
            details={} if gone else self._details(),
            observed=None if gone else typed["observed"],
            withdrawn=gone,
        )
        return amended_as_typed(line, self.entry)


def _typed_field(entry: EntryText) -> forms.Field:
    row = variable_rows().get(entry.what)
    if row is not None and row.kind == entry.kind.value and row.terms:
        words = [(one.word, one.word) for one in term_lists()[row.terms]]
        return forms.ChoiceField(
            label="It should have been", required=False, choices=[("", "As it was"), *words]
        )
    field = forms.CharField(label="It should have been", required=False, max_length=1000)
    if entry.unit:
        field.help_text = f"With its unit; it was {entry.typed}."
    return field


def _details(entry: EntryText) -> tuple[str, ...]:
    """The details that can be corrected: those that it has, and those that a drug should have."""
    own = tuple(name for name in entry.details if name not in _NOT_SHOWN)
    given = _GIVEN if entry.kind in {EntryKind.DRUG, EntryKind.FLUID} else ()
    return tuple(dict.fromkeys((*given, *own)))


class SettleForm(forms.Form):
    """What becomes of something that was not taken."""

    decision = forms.ChoiceField(
        label="What becomes of it",
        widget=Choices,
        choices=(
            ("take", "Into the record, as a late entry by its author"),
            ("leave", "Leave it here; it stays readable"),
        ),
        error_messages={"required": "Choose what becomes of it."},
    )
    into = forms.ChoiceField(label="Into the record of", required=False)
    reason = forms.CharField(label="Why", max_length=240, error_messages={"required": "Say why."})

    def __init__(self, *args: Any, records: Mapping[str, Record], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.records = records
        field = self.fields["into"]
        field.choices = [("", "Choose"), *((key, str(one)) for key, one in records.items())]  # type: ignore[attr-defined]  # a choice field
        field.optional_word = "if it is taken"  # type: ignore[attr-defined]  # read by the field template

    def clean(self) -> dict[str, Any]:
        """What is taken goes into a record."""
        typed = super().clean() or self.cleaned_data
        if typed.get("decision") == "take" and not typed.get("into") and "into" not in self.errors:
            self.add_error("into", "Choose the record that it belongs to.")
        return typed

    def chosen(self) -> Record | None:
        """The record that it goes into; None where it is left."""
        typed = self.cleaned_data
        return self.records[typed["into"]] if typed["decision"] == "take" else None


class SignForm(forms.Form):
    """What a signature means, and how far the person saw the record."""

    meaning = forms.ChoiceField(
        label="What your signature says",
        widget=Choices,
        choices=[(one.value, one.value) for one in Meaning],
        error_messages={"required": "Choose what your signature says."},
    )
    count = forms.IntegerField(widget=forms.HiddenInput, min_value=1, max_value=10_000_000)
