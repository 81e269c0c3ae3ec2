"""What people write down about service: an event, an output test, rules, a calendar."""

from typing import Any
from uuid import uuid4

from django import forms

from ullage.answers.equipment import PART_KINDS
from ullage.answers.service import MACHINE, TASKS, Carrier, published_limits
from ullage.reference import HowKnown
from ullage.web.service.selectors import EventKind
from ullage.web.shared.attachments import AttachmentField
from ullage.web.shared.fields import QuantityField, Within
from ullage.web.shared.forms import Choices, Segments, SiteForm
from ullage.web.sites.selectors import Site

__all__ = [
    "POINTS",
    "AddressForm",
    "EventForm",
    "IntervalForm",
    "LimitForm",
    "OutputTestForm",
    "WithdrawForm",
]

#: Dial settings that one test may hold.
POINTS = 6
_OWN = "own"


class DoneForm(SiteForm):
    """When, by whom, with which paper; a second sending carries the same code."""

    code = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)
    done_on = forms.DateField(
        label="Day on which it was done",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    done_by = forms.CharField(
        label="Who did it", max_length=120, help_text="A person or a firm, as on the paper."
    )
    note = forms.CharField(
        label="What was found and done",
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    file = AttachmentField(label="Certificate or photograph", required=False)
    note.optional_word = file.optional_word = "if any"  # type: ignore[attr-defined]  # read by the look


class EventForm(DoneForm):
    """Something that was done to a machine or a part."""

    kind = forms.ChoiceField(label="What was done?", widget=Choices)
    replace_by = forms.DateField(
        label="The new one is to be replaced by",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text="The date that its maker gives. It is written on the part.",
    )
    field_order = ("kind", "done_on", "done_by", "note", "replace_by", "file", "code")

    def __init__(self, *args: Any, site: Site, has_date: bool, **kwargs: Any) -> None:
        super().__init__(*args, site=site, **kwargs)
        kinds = [one for one in EventKind.choices if one[0] != EventKind.OUTPUT_TEST]
        self.fields["kind"].choices = kinds  # type: ignore[attr-defined]  # a ChoiceField
        if not has_date:
            del self.fields["replace_by"]

    def clean(self) -> dict[str, Any]:
        """Only a replacement sets the date of the new one."""
        typed = super().clean()
        if typed.get("replace_by") and typed.get("kind") != EventKind.REPLACEMENT:
            self.add_error("replace_by", "Only a replacement carries the date of a new one.")
        return typed


def _points() -> dict[str, forms.Field]:
    """The pairs of dial and reading; those left empty are no part of the test."""
    found: dict[str, forms.Field] = {}
    for number in range(1, POINTS + 1):
        found[f"dial_{number}"] = QuantityField(
            "share", unit="%", allowed=Within(0.05, 25, "%"), label=f"Dial {number}", required=False
        )
        found[f"measured_{number}"] = QuantityField(
            "share",
            unit="%",
            allowed=Within(0, 90, "%"),
            label=f"Measured {number}",
            required=False,
        )
    for field in found.values():
        field.optional_word = "if tested"  # type: ignore[attr-defined]  # a QuantityField
    return found


class OutputTestForm(DoneForm):
    """An output test: the room, the gas, the flow, and what was read at each dial setting."""

    temperature_k = QuantityField(
        "temperature", allowed=Within(-10, 50, "°C"), label="Room temperature"
    )
    barometric_kpa = QuantityField(
        "pressure",
        unit="hPa",
        allowed=Within(450, 1150, "hPa"),
        label="Air pressure read here",
        required=False,
        help_text="Not reduced to sea level. Left empty: that of the site's settings.",
    )
    fresh_gas_l_min = QuantityField(
        "flow", allowed=Within(0.01, 100, "L/min"), label="Flow through the vaporizer"
    )
    carrier = forms.ChoiceField(
        label="Gas that carried the vapour",
        widget=Segments,
        choices=[
            (Carrier.OXYGEN.value, "Oxygen"),
            (Carrier.AIR.value, "Air"),
            (Carrier.NITROUS_OXIDE.value, "With nitrous oxide"),
        ],
    )
    nitrous_fraction = QuantityField(
        "share",
        unit="%",
        allowed=Within(0, 80, "%"),
        label="Share of nitrous oxide",
        required=False,
    )
    calibrated_in = forms.ChoiceField(
        label="Gas in which its dial was marked",
        widget=Segments,
        required=False,
        choices=[
            (Carrier.OXYGEN.value, "Oxygen"),
            (Carrier.AIR.value, "Air"),
            ("", "Not known"),
        ],
        initial="",
        help_text="Its maker's papers say so.",
    )
    analyser_share = QuantityField(
        "share",
        unit="%",
        allowed=Within(0, 50, "%"),
        label="How far the analyser may be off",
        required=False,
        help_text="As a share of what it shows, from its own check or its papers.",
    )

    def __init__(self, *args: Any, site: Site, **kwargs: Any) -> None:
        super().__init__(*args, site=site, **kwargs)
        self.fields |= _points()

    @property
    def pairs(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        """The entries of the dial settings side by side."""
        numbers = range(1, POINTS + 1)
        return [(self[f"dial_{one}"], self[f"measured_{one}"]) for one in numbers]

    def clean(self) -> dict[str, Any]:
        """Every setting has its reading; nitrous oxide has its share."""
        typed = super().clean()
        mixed = typed.get("carrier") == Carrier.NITROUS_OXIDE
        if mixed and not typed.get("nitrous_fraction") and "nitrous_fraction" not in self.errors:
            self.add_error("nitrous_fraction", "Say how much of it was nitrous oxide.")
        if not mixed and typed.get("nitrous_fraction"):
            self.add_error("nitrous_fraction", "No nitrous oxide was chosen as a gas.")
        typed["points"] = self._clean_points(typed)
        if not typed["points"] and not self.errors:
            self.add_error("dial_1", "Write at least one dial setting with what was measured.")
        return typed

    def _clean_points(self, typed: dict[str, Any]) -> list[tuple[float, float]]:
        points: dict[float, float] = {}
        for number in range(1, POINTS + 1):
            names = f"dial_{number}", f"measured_{number}"
            dial, measured = (typed.get(name) for name in names)
            if (dial is None) != (measured is None) and not self.errors.keys() & set(names):
                missing = names[0] if dial is None else names[1]
                self.add_error(missing, "A dial setting and its reading belong together.")
            elif dial is not None and measured is not None:
                if dial in points:
                    self.add_error(names[0], "This setting stands above already.")
                points[dial] = measured
        return sorted(points.items())

    def facts(self) -> dict[str, Any]:
        """What was measured, as it is kept."""
        names = ("temperature_k", "barometric_kpa", "fresh_gas_l_min", "carrier", "calibrated_in")
        facts = {name: self.cleaned_data[name] or None for name in names}
        facts["analyser_share"] = self.cleaned_data["analyser_share"]
        facts["nitrous_fraction"] = self.cleaned_data["nitrous_fraction"] or 0.0
        facts["points"] = [list(pair) for pair in self.cleaned_data["points"]]
        return facts


class WithdrawForm(forms.Form):
    """Why an event counts for nothing."""

    reason = forms.CharField(
        label="Why was it a mistake?",
        max_length=200,
        help_text="It stays readable, with your name and this reason.",
    )


class IntervalForm(forms.Form):
    """How often something is done here."""

    thing = forms.ChoiceField(
        label="For",
        choices=[(MACHINE, "Whole machines")]
        + [(one.key, one.plural) for one in PART_KINDS.values()],
    )
    task = forms.ChoiceField(
        label="What",
        choices=[(one.key, one.name) for one in TASKS.values()],
    )
    days = forms.IntegerField(
        label="Every so many days",
        min_value=1,
        max_value=7305,
        required=False,
        help_text="91, 182, 365, 1096. Left empty, the published one holds again.",
    )
    why = forms.CharField(
        label="Why, or on whose word", max_length=200, help_text="The maker's manual, a rule here."
    )
    days.optional_word = "empty: as published"  # type: ignore[attr-defined]  # read by the look


class LimitForm(SiteForm):
    """How far from its dial a vaporizer may be here."""

    key = forms.ChoiceField(label="Which limit holds here?", widget=Choices)
    of_dial_share = QuantityField(
        "share",
        unit="%",
        allowed=Within(1, 50, "%"),
        label="Our own, as a share of the dial",
        required=False,
    )
    why = forms.CharField(label="Why, or on whose word", max_length=200)

    def __init__(self, *args: Any, site: Site, **kwargs: Any) -> None:
        super().__init__(*args, site=site, **kwargs)
        choices = [
            (one.key, f"{one.words}: {one.name}, {HowKnown(one.said[0].how_known).words}")
            for one in published_limits()
        ]
        self.fields["key"].choices = [*choices, (_OWN, "Our own")]  # type: ignore[attr-defined]  # a ChoiceField

    def clean(self) -> dict[str, Any]:
        """Our own needs its share; a published one has none."""
        typed = super().clean()
        own = typed.get("key") == _OWN
        share = typed.get("of_dial_share")
        if own and share is None and "of_dial_share" not in self.errors:
            self.add_error("of_dial_share", "Write how far from the dial it may be.")
        if not own and share is not None:
            self.add_error("of_dial_share", "Choose our own for that, or leave this empty.")
        return typed


class AddressForm(forms.Form):
    """A new calendar address."""

    name = forms.CharField(
        label="For which calendar?",
        max_length=60,
        help_text="Such as: workshop tablet. You see it here when you want to revoke it.",
    )
