"""What a record is looked for by."""

from datetime import date
from typing import Any

from django import forms

from ullage.web.cases.selectors import CaseState, Looked
from ullage.web.sites.selectors import Site, people_of

__all__ = ["FindForm"]


class FindForm(forms.Form):
    """Words, a span of days, a state, a person; each may be left out."""

    words = forms.CharField(
        label="Animal, number, protocol or procedure",
        required=False,
        max_length=100,
        widget=forms.TextInput(attrs={"type": "search", "autocomplete": "off"}),
    )
    species = forms.CharField(label="Species", required=False, max_length=40)
    from_day = forms.DateField(
        label="From", required=False, widget=forms.DateInput(attrs={"type": "date"})
    )
    to_day = forms.DateField(
        label="To", required=False, widget=forms.DateInput(attrs={"type": "date"})
    )
    state = forms.ChoiceField(
        label="State", required=False, choices=[("", "Any"), *CaseState.choices]
    )
    person = forms.ChoiceField(label="Who wrote in it", required=False)

    def __init__(self, *args: Any, site: Site, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        people = [(str(one.user_id), str(one.user)) for one in people_of(site)]
        self.fields["person"].choices = [("", "Anybody"), *people]  # type: ignore[attr-defined]  # a choice field
        for field in self.fields.values():
            field.optional_word = ""  # type: ignore[attr-defined]  # read by the field template

    def clean(self) -> dict[str, Any]:
        """Days in their order."""
        typed = super().clean() or self.cleaned_data
        first, last = typed.get("from_day"), typed.get("to_day")
        for name in ("from_day", "to_day"):
            day = typed.get(name)
            if isinstance(day, date) and not 1950 <= day.year < 2200:
                self.add_error(name, f"{day.isoformat()} is no day of this work; look again.")
        if first and last and last < first:
            self.add_error("to_day", "The last day lies before the first.")
        return typed

    def wanted(self) -> Looked:
        """What is looked for; call it on a valid form."""
        typed = self.cleaned_data
        return Looked(
            words=typed["words"].strip() or None,
            species=typed["species"].strip() or None,
            from_day=typed["from_day"],
            to_day=typed["to_day"],
            state=typed["state"] or None,
            person=int(typed["person"]) if typed["person"] else None,
        )
