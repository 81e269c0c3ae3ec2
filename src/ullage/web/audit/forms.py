"""What is asked of the audit: whose lines, of which kind, of which day."""

from collections.abc import Sequence
from typing import Any

from django import forms

from ullage.web.accounts.selectors import User
from ullage.web.audit.selectors import Kind, Wanted

__all__ = ["WantedForm"]


class WantedForm(forms.Form):
    """Whose lines, of which kind, of which day; empty: all."""

    person = forms.ChoiceField(label="Person", required=False)
    kind = forms.ChoiceField(
        label="Kind", choices=[("", "every kind"), *Kind.choices], required=False
    )
    day = forms.DateField(
        label="Day", required=False, widget=forms.DateInput(attrs={"type": "date"})
    )

    def __init__(self, *args: Any, people: Sequence[User], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        named = [(one.username, f"{one} ({one.username})") for one in people]
        self.fields["person"] = forms.ChoiceField(
            label="Person", choices=[("", "everybody"), *named], required=False
        )
        self.order_fields(["person", "kind", "day"])
        for field in self.fields.values():
            field.optional_word = "may stay empty"  # type: ignore[attr-defined]  # field.html

    def wanted(self) -> Wanted:
        """What is looked for; call it on a valid form."""
        return Wanted(**{name: self.cleaned_data[name] for name in ("person", "kind", "day")})
