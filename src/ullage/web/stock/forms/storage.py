"""What people say about a place of storage, and how cylinders stood there."""

from collections.abc import Iterable
from typing import Any

from django import forms

from ullage.answers.chain_links.storage import CODES
from ullage.answers.storage import KEPT
from ullage.web.shared.fields import QuantityField, Within
from ullage.web.shared.forms import Choices, Segments, SiteForm
from ullage.web.sites.selectors import Room
from ullage.web.stock.forms.entries import Timed, code_field, when_field

__all__ = ["AreaAddForm", "AreaForm", "AreaLookForm"]


class AreaAddForm(forms.Form):
    """Which room is a place of storage."""

    room = forms.ChoiceField(label="Room in which cylinders are stored")

    def __init__(self, *args: Any, rooms: Iterable[Room], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.rooms = {str(one.pk): one for one in rooms}
        self.fields["room"].choices = [(key, one.name) for key, one in self.rooms.items()]  # type: ignore[attr-defined]  # a ChoiceField


class AreaForm(SiteForm):
    """What is written of a place of storage."""

    name = forms.CharField(label="Name", max_length=80)
    storage_code = forms.ChoiceField(
        label="Counted by",
        choices=[("", "The code of the site"), *((key, name) for key, (name, _) in CODES.items())],
        widget=Choices,
        required=False,
        help_text="The thresholds of each code belong to that code alone. Your local authority "
        "decides.",
    )
    enclosed = forms.ChoiceField(
        label="Has it the enclosure that its code asks for?",
        choices=[("yes", "Yes"), ("no", "No"), ("unknown", "Not known")],
        widget=Segments,
    )


class AreaLookForm(Timed, SiteForm):
    """How cylinders stood when somebody looked; nothing is filled in beforehand."""

    hottest_k = QuantityField(
        "temperature",
        allowed=Within(-30, 70, "°C"),
        label="Warmest that it gets",
        required=False,
    )
    note = forms.CharField(label="Note", max_length=160, required=False)
    at = when_field()
    code = code_field()

    field_order = (*KEPT, "hottest_k", "note", "at", "code")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, question in KEPT.items():
            self.fields[name] = forms.ChoiceField(
                label=question,
                choices=[("yes", "Yes"), ("no", "No"), ("", "Not looked at")],
                widget=Segments,
                required=False,
                initial="",
            )
        self.order_fields(self.field_order)

    def found(self) -> dict[str, Any]:
        """What was answered: yes and no are true and false, the rest is left out."""
        words = {"yes": True, "no": False}
        found: dict[str, Any] = {name: words.get(self.cleaned_data[name]) for name in KEPT}
        found["hottest_k"] = self.cleaned_data["hottest_k"]
        return found
