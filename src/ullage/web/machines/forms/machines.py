"""What people say about a machine, and what they find along its chain."""

from collections.abc import Iterable
from datetime import datetime
from enum import StrEnum
from typing import Any

from django import forms
from django.utils import timezone

from ullage.answers.things import Gas
from ullage.web.machines.selectors import Asked
from ullage.web.shared.fields import QuantityField, Within
from ullage.web.shared.forms import Choices, Segments, SiteForm
from ullage.web.sites.selectors import Room, Site

__all__ = ["SYSTEMS", "LookForm", "MachineForm"]

#: What the list of breathing systems offers; others may be typed.
SYSTEMS = ("T-piece", "coaxial", "circle", "nose cone", "mask", "mask bench", "chamber")

_YES_NO = [("yes", "Yes"), ("no", "No"), ("", "Not looked at")]


class MachineForm(SiteForm):
    """One anaesthetic machine, as far as gas is concerned."""

    name = forms.CharField(
        label="Name", max_length=60, help_text="One that people say aloud. Birds work well."
    )
    room = forms.ChoiceField(label="Room", required=False)
    system = forms.CharField(
        label="Usual breathing system",
        max_length=40,
        required=False,
        widget=forms.TextInput(attrs={"list": "systems", "autocomplete": "off"}),
    )
    usual_flow_l_min = QuantityField(
        "flow",
        allowed=Within(0.01, 200, "L/min"),
        label="Usual fresh gas flow",
        required=False,
        help_text="Taken where no case is planned. 500 mL/min may be typed too.",
    )
    oxygen_alarm = forms.ChoiceField(
        label="Has it an oxygen-failure alarm?",
        choices=[("yes", "Yes"), ("no", "No"), ("unknown", "Not known")],
        widget=Segments,
        initial="unknown",
        help_text="Without one, or where nobody knows, the day plan holds times to read the gauge.",
    )
    ventilator = forms.ChoiceField(
        label="What drives its ventilator?",
        choices=[
            ("none", "No ventilator"),
            ("oxygen", "Oxygen"),
            ("air", "Air"),
            ("electric", "Electric"),
        ],
        widget=Segments,
        initial="none",
    )
    drive_gas_factor = QuantityField(
        "count",
        allowed=Within(0, 10, "1"),
        label="Litres of drive gas for each litre breathed",
        required=False,
        help_text="From its manual or measured. Left empty, the published range is used.",
    )
    sampling_l_min = QuantityField(
        "flow",
        allowed=Within(0, 2, "L/min"),
        label="Gas taken by the monitor and not given back",
        required=False,
    )
    flowmeter_min_l_min = QuantityField(
        "flow",
        allowed=Within(0, 20, "L/min"),
        label="Lowest flow marked on the oxygen tube",
        required=False,
    )
    flowmeter_max_l_min = QuantityField(
        "flow",
        allowed=Within(0.05, 200, "L/min"),
        label="Highest flow marked",
        required=False,
    )
    float_kind = forms.ChoiceField(
        label="Float",
        choices=[("ball", "Ball"), ("bobbin", "Bobbin"), ("", "Not said")],
        widget=Segments,
        required=False,
        help_text="A ball is read at its centre, a bobbin at its top.",
    )
    flow_sd_share = QuantityField(
        "share",
        unit="%",
        allowed=Within(0.5, 100, "%"),
        label="How well the flow is known (one standard deviation)",
        required=False,
        help_text="Left empty: the usual value for a flowmeter is taken.",
    )
    regulator = forms.ChoiceField(
        label="Regulator",
        choices=[
            ("preset", "Preset"),
            ("adjustable", "Adjustable"),
            ("flow-metering", "Flow-metering"),
            ("", "Not said"),
        ],
        widget=Segments,
        required=False,
    )

    def __init__(
        self,
        *args: Any,
        site: Site,
        rooms: Iterable[Room],
        on_parts: Iterable[str] = (),
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, site=site, **kwargs)
        #: What stands on a part of the machine, and so is no field here.
        self.on_parts = [str(self.fields.pop(name).label) for name in on_parts]
        self.rooms = {str(room.pk): room for room in rooms}
        choices = [(key, room.name) for key, room in self.rooms.items()]
        self.fields["room"].choices = [("", "No room said"), *choices]  # type: ignore[attr-defined]  # a ChoiceField

    def clean(self) -> dict[str, Any]:
        """A tube begins below where it ends; a factor needs a ventilator that gas drives."""
        typed = super().clean()
        low, high = typed.get("flowmeter_min_l_min"), typed.get("flowmeter_max_l_min")
        if low is not None and high is not None and low >= high:
            self.add_error("flowmeter_max_l_min", "The highest mark must lie above the lowest one.")
        driven = typed.get("ventilator", "oxygen") in {"oxygen", "air"}
        if typed.get("drive_gas_factor") and not driven:
            self.add_error(
                "drive_gas_factor", "No gas drives this ventilator: leave the factor empty."
            )
        typed["room"] = self.rooms.get(typed.get("room") or "")
        return typed


class LookForm(SiteForm):
    """What a person found at one part of the chain; nothing is filled in beforehand."""

    def __init__(self, *args: Any, site: Site, asked: Iterable[Asked], **kwargs: Any) -> None:
        self.asked = {one.field: one for one in asked}
        super().__init__(*args, site=site, **kwargs)
        for one in self.asked.values():
            self.fields[one.field] = _field(one, site)
        self.fields["at"] = forms.DateTimeField(
            label="When, if not now",
            required=False,
            widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
            input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M"],
        )

    def clean(self) -> dict[str, Any]:
        """At least one question answered, at a time that has come."""
        typed = super().clean()
        at = typed.get("at")
        if at is not None and at > timezone.now():
            self.add_error("at", "This time has not come yet; write when you looked.")
        if not self.errors and not self.found():
            self.add_error(None, "Nothing was looked at: answer at least one question.")
        return typed

    def found(self) -> dict[str, Any]:
        """What was answered, as plain values: yes and no are true and false."""
        answered = {name: self.cleaned_data.get(name) for name in self.asked}
        return {
            name: value == "yes" if self.asked[name].kind is bool else value
            for name, value in answered.items()
            if value not in {None, ""}
        }

    def at(self) -> datetime:
        """When it was looked at; now, unless another time was written."""
        written: datetime | None = self.cleaned_data["at"]
        return written or timezone.now()


def _field(asked: Asked, site: Site) -> forms.Field:
    """The entry that suits what may be answered."""
    known: dict[str, Any] = {"label": asked.question, "required": False}
    if asked.kind is bool:
        return forms.ChoiceField(choices=_YES_NO, widget=Segments, initial="", **known)
    if asked.kind is Gas:
        gases = [(gas.value, gas.value.replace("_", " ").capitalize()) for gas in Gas]
        return forms.ChoiceField(choices=[("", "Not looked at"), *gases], **known)
    if issubclass(asked.kind, StrEnum):
        words = [(one.value, one.value[0].upper() + one.value[1:]) for one in asked.kind]
        return forms.ChoiceField(
            choices=[*words, ("", "Not looked at")], widget=Choices, initial="", **known
        )
    if asked.kind is float:
        return _quantity(asked, site, known)
    if asked.kind is int:
        return forms.IntegerField(min_value=0, max_value=20, **known)
    return forms.CharField(max_length=60, **known)


def _quantity(asked: Asked, site: Site, known: dict[str, Any]) -> QuantityField:
    if asked.field.endswith("_kpa"):
        allowed = Within(0, 350, "bar")
        return QuantityField("pressure", unit=site.pressure_unit, allowed=allowed, **known)
    if asked.field.endswith("_fraction"):
        return QuantityField("share", unit="%", allowed=Within(0, 100, "%"), **known)
    return QuantityField("flow", unit="L/min", allowed=Within(0, 2000, "L/min"), **known)
