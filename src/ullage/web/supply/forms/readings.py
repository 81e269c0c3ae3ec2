"""What people type at a gauge or a scale, and what they answer when they are asked."""

from datetime import datetime, timedelta
from typing import Any
from uuid import uuid4

from django import forms
from django.utils import timezone

from ullage.answers import things
from ullage.answers.held import refuse_impossible
from ullage.core.errors import UllageError, UnreadableQuantity
from ullage.core.units import read_quantity
from ullage.web.shared.fields import QuantityField, Within
from ullage.web.shared.forms import Choices, Segments, SiteForm
from ullage.web.sites.selectors import Site

__all__ = [
    "SAID_CHOICES",
    "VALVE_CHOICES",
    "AmendForm",
    "NeedleForm",
    "NoteForm",
    "ReadingForm",
    "SaidForm",
    "ValveForm",
]

#: The units of a gauge, the site's own first; a scale has its own.
_GAUGE_UNITS = ("bar", "psi", "MPa")
_SCALE_UNITS = ("kg", "lb")

#: What a person may say to a question about a reading.
SAID_CHOICES = (
    ("right", "It is what the needle shows"),
    ("warmer", "The room is warmer than it was"),
    ("other", "It is another cylinder: keep this as a note only"),
    ("meant", "I meant another number"),
)
VALVE_CHOICES = (("closed", "Closed"), ("open", "Open"), ("unknown", "Not sure"))

_AHEAD = timedelta(minutes=2)


def local_time_widget() -> forms.DateTimeInput:
    """A date and a time of day on the site's clock."""
    return forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")


class NeedleForm(SiteForm):
    """One number and its unit, as the instrument shows it."""

    number = forms.CharField(
        max_length=40,
        widget=forms.TextInput(
            attrs={"inputmode": "decimal", "autocomplete": "off", "data-quantity": "pressure"}
        ),
        error_messages={"required": "Write what the needle shows."},
    )
    unit = forms.ChoiceField(widget=Segments)

    #: A needle shows a pressure; a reading of what is left may be a weight.
    may_weigh = False

    def __init__(self, *args: Any, site: Site, thing: things.Cylinder, **kwargs: Any) -> None:
        super().__init__(*args, site=site, **kwargs)
        self.thing = thing
        weighed = self.may_weigh and thing.gas.liquefied
        own = site.pressure_unit
        gauge = (own, *(one for one in _GAUGE_UNITS if one != own))
        units = (*_SCALE_UNITS, own) if weighed else gauge
        field = self.fields["unit"]
        field.choices = [(one, one) for one in units]  # type: ignore[attr-defined]  # a choice field
        field.initial = units[0]
        self.fields["number"].label = "Scale or gauge" if weighed else "Gauge"
        if weighed:
            self.fields["number"].error_messages["required"] = "Write what the scale shows."

    @property
    def kind(self) -> str:
        """The kind of quantity that the unit chosen belongs to."""
        return "mass" if self.cleaned_data.get("unit") in _SCALE_UNITS else "pressure"

    def clean(self) -> dict[str, Any]:
        """Read number and unit together and refuse what cannot be, in the unit typed."""
        typed = super().clean() or self.cleaned_data
        if "number" not in typed or "unit" not in typed:
            return typed
        try:
            value = read_quantity(typed["number"], self.kind, unit=typed["unit"])
        except UnreadableQuantity as refusal:
            self.add_error("number", str(refusal))
            return typed
        typed["value"] = value
        self._possible(value, typed["unit"])
        return typed

    def _possible(self, value: float, unit: str) -> None:
        """Refuse what this cylinder cannot show; the sentence speaks the unit typed."""
        if self.kind == "mass":
            shown, place = things.Reading(at_min=0.0, weight_kg=value), things.Place()
        else:
            shown = things.Reading(at_min=0.0, gauge_kpa=value)
            place = things.Place(pressure_unit=unit)
        try:
            refuse_impossible(self.thing, shown, place)
        except UllageError as refusal:
            self.add_error("number", str(refusal))

    @staticmethod
    def words(number: str, unit: str) -> str:
        """What was typed, with its unit once."""
        bare = number.strip()
        has_unit = any(one.isalpha() for one in bare)
        return bare if has_unit else f"{bare} {unit}"

    def seen(self) -> dict[str, Any]:
        """What was seen, by the names a service wants; call it on a valid form."""
        kept = self.cleaned_data
        which = "weight_kg" if self.kind == "mass" else "gauge_kpa"
        return {which: kept["value"], "typed": self.words(kept["number"], kept["unit"])}


class ReadingForm(NeedleForm):
    """A reading of now, or of earlier, with the room's temperature where it is known."""

    may_weigh = True

    code = forms.UUIDField(widget=forms.HiddenInput)
    at = forms.DateTimeField(
        label="Read earlier?",
        required=False,
        widget=local_time_widget(),
        input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M"],
        help_text="Leave empty for now. An earlier time is kept as a late reading.",
    )
    temperature = QuantityField(
        "temperature",
        label="Room temperature",
        required=False,
        allowed=Within(-30.0, 65.0, "°C"),
        help_text="Write it when the room is colder or warmer than usual.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["code"].initial = uuid4

    def clean_at(self) -> datetime:
        """The time of the reading; now where none was written."""
        at: datetime | None = self.cleaned_data["at"]
        if at is not None and at > timezone.now() + _AHEAD:
            raise forms.ValidationError(
                f"{timezone.localtime(at):%d %B, %H:%M} has not come yet; "
                "write when the gauge was read."
            )
        return at or timezone.now()

    def seen(self) -> dict[str, Any]:
        """The same with time, room temperature and the code made with the form."""
        kept = self.cleaned_data
        return {
            **super().seen(),
            "at": kept["at"],
            "temperature_k": kept["temperature"],
            "code": kept["code"],
        }


class AmendForm(ReadingForm):
    """A better reading with the reason; the first one stays readable."""

    reason = forms.CharField(
        max_length=240,
        label="Why is it amended?",
        error_messages={"required": "Say why; the first reading stays readable beside it."},
    )


class NoteForm(forms.Form):
    """Keep a reading as a note only, with the reason."""

    reason = forms.CharField(
        max_length=240,
        label="Why is it a note only?",
        error_messages={"required": "Say why it is used in no sum."},
    )


class SaidForm(forms.Form):
    """The answer to the question that a reading raised."""

    choice = forms.ChoiceField(
        label="What is it?",
        widget=Choices,
        choices=SAID_CHOICES,
        error_messages={"required": "Choose what fits best."},
    )


class ValveForm(forms.Form):
    """One touch: was the valve closed since the reading before?"""

    valve = forms.ChoiceField(choices=VALVE_CHOICES)
    reading = forms.UUIDField(required=False)
