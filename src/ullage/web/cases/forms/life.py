"""What people change about a record while it lives."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from django import forms

from ullage.web.cases.forms.start import FactsForm, fact_field
from ullage.web.cases.selectors import KEPT_DAYS
from ullage.web.shared.attachments import AttachmentField

__all__ = ["ChangeFactsForm", "FileForm"]

_LATER = (("severity", "Actual severity", "As judged afterwards, for returns that ask for it."),)


class ChangeFactsForm(FactsForm):
    """The facts of a record said anew, with why they are different."""

    why = forms.CharField(
        label="Why is this different now?",
        max_length=240,
        error_messages={"required": "Say why this is different now."},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for fact, label, help_text in _LATER:
            self.fields[fact] = fact_field(fact, label, help_text)
        for name, label in KEPT_DAYS.items():
            self.fields[name] = forms.DateField(
                label=label,
                required=False,
                widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            )
        self.order_fields([*(one for one in self.fields if one != "why"), "why"])

    def clean(self) -> dict[str, Any]:
        """Days lie in a time that people live in."""
        typed = super().clean() or self.cleaned_data
        for name in KEPT_DAYS:
            day = typed.get(name)
            if isinstance(day, date) and not 1950 <= day.year < 2200:
                self.add_error(name, f"{day.isoformat()} is no day of this work; look again.")
        return typed

    def different(self, before: Mapping[str, str]) -> dict[str, str]:
        """The facts that were said otherwise before; one that was emptied reads empty."""
        said = {"name": self.cleaned_data["name"], "species": self.cleaned_data["species"].lower()}
        said |= {fact: self.said_of(fact) for fact in (*self.named, *(one for one, *_ in _LATER))}
        for name in KEPT_DAYS:
            day = self.cleaned_data[name]
            said[name] = day.isoformat() if day else ""
        return {name: one for name, one in said.items() if one != before.get(name, "").strip()}


class FileForm(forms.Form):
    """A picture or a paper for the record."""

    file = AttachmentField(label="File")
