"""What people say about canisters and fillings: put in, weighed, looked at, taken out."""

from collections.abc import Iterable
from typing import Any

from django import forms

from ullage.answers.agents import LIQUIDS
from ullage.web.machines.selectors import Machine
from ullage.web.shared.fields import QuantityField, Within
from ullage.web.shared.forms import Segments, SiteForm
from ullage.web.sites.selectors import Site
from ullage.web.stock.forms.entries import Timed, code_field, when_field
from ullage.web.stock.selectors import StockItem

__all__ = [
    "CanisterForm",
    "FillingForm",
    "FillingLookForm",
    "FlowForm",
    "LayForm",
    "OutForm",
    "WeightForm",
]

_YES_NO = [("yes", "Yes"), ("no", "No"), ("", "Not said")]


def _grams(label: str, **known: Any) -> QuantityField:
    return QuantityField("mass", unit="g", allowed=Within(1, 20_000, "g"), label=label, **known)


class _PutInForm(Timed, SiteForm):
    """What canisters and fillings share: a name, a machine, where it was taken from."""

    def __init__(
        self,
        *args: Any,
        site: Site,
        machines: Iterable[Machine],
        items: Iterable[StockItem],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, site=site, **kwargs)
        self.machines = {str(one.pk): one for one in machines}
        self.items = {str(one.pk): one for one in items}
        for name, rows in (("machine", self.machines), ("item", self.items)):
            empty = "On no machine" if name == "machine" else "From no shelf here"
            choices = [("", empty), *((key, one.name) for key, one in rows.items())]
            self.fields[name].choices = choices  # type: ignore[attr-defined]  # a ChoiceField

    def known(self) -> dict[str, Any]:
        """What was typed, rows in place of keys."""
        typed = dict(self.cleaned_data)
        typed["machine"] = self.machines.get(typed["machine"] or "")
        typed["item"] = self.items.get(typed["item"] or "")
        return typed


class CanisterForm(_PutInForm):
    """A new charcoal canister."""

    name = forms.CharField(label="Name", max_length=60, help_text="A number that you write on it.")
    machine = forms.ChoiceField(label="Machine", required=False)
    start_kg = _grams("Weight when new", required=False, help_text="Write it on the canister too.")
    limit_kg = QuantityField(
        "mass",
        unit="g",
        allowed=Within(5, 1000, "g"),
        label="Gain at which its maker has it changed",
        required=False,
        help_text="Left empty: 50 g.",
    )
    item = forms.ChoiceField(
        label="Taken from the shelf", required=False, help_text="One is then written as used."
    )
    at = when_field()
    code = code_field()


class FillingForm(_PutInForm):
    """A new filling of absorbent."""

    name = forms.CharField(label="Name", max_length=60, help_text="Such as soda lime, Wren.")
    machine = forms.ChoiceField(label="Machine", required=False)
    mass_kg = QuantityField(
        "mass",
        allowed=Within(0.01, 50, "kg"),
        label="Absorbent put in",
        required=False,
        help_text="Grams may be typed too: 850 g.",
    )
    hours_limit_h = QuantityField(
        "time",
        unit="h",
        allowed=Within(1, 500, "h"),
        label="Rule here: change after use of",
        required=False,
    )
    days_limit = QuantityField(
        "time",
        unit="d",
        allowed=Within(1, 365, "d"),
        label="Rule here: change after",
        required=False,
        help_text="Days since it was put in.",
    )
    item = forms.ChoiceField(
        label="Taken from the shelf", required=False, help_text="One is then written as used."
    )
    at = when_field()
    code = code_field()

    def known(self) -> dict[str, Any]:
        """Minutes become hours and days again."""
        typed = super().known()
        for name, minutes in (("hours_limit_h", 60.0), ("days_limit", 1440.0)):
            typed[name] = None if typed[name] is None else typed[name] / minutes
        return typed


class WeightForm(Timed, SiteForm):
    """A canister on the scale."""

    weight_kg = _grams("Weight now")
    at = when_field()
    code = code_field()


class FlowForm(Timed, SiteForm):
    """Agent that flowed to a canister outside of a planned case."""

    agent = forms.ChoiceField(label="Agent", choices=[(one, one.capitalize()) for one in LIQUIDS])
    fraction = QuantityField("share", unit="%", allowed=Within(0.01, 20, "%"), label="Dial")
    flow_l_min = QuantityField("flow", allowed=Within(0.01, 20, "L/min"), label="Fresh gas flow")
    minutes = QuantityField("time", allowed=Within(0.1, 1440, "min"), label="For how long")
    at = when_field()
    code = code_field()


class LayForm(Timed, SiteForm):
    """What else happened to a canister."""

    lay_down = forms.BooleanField(label="It lay on its side", required=False)
    nitrous_oxide = forms.BooleanField(label="Nitrous oxide flowed to it", required=False)
    hours_h = QuantityField(
        "time",
        unit="h",
        allowed=Within(0, 500, "h"),
        label="Hours of use so far",
        required=False,
        help_text="Only where no cases and no flows are written.",
    )
    at = when_field()
    code = code_field()

    def clean_hours_h(self) -> float | None:
        """Hours, as they are kept."""
        minutes = self.cleaned_data["hours_h"]
        return None if minutes is None else minutes / 60.0


class FillingLookForm(Timed, SiteForm):
    """What was seen of a filling; nothing is filled in beforehand."""

    colour_share = QuantityField(
        "share",
        unit="%",
        allowed=Within(0, 100, "%"),
        label="Share that has changed colour",
        required=False,
    )
    after_use = forms.ChoiceField(
        label="Was it read right after use?",
        choices=_YES_NO,
        widget=Segments,
        required=False,
        initial="",
        help_text="At rest colour fades back, and spent lime looks fresh.",
    )
    inspired_share = QuantityField(
        "share",
        unit="%",
        allowed=Within(0, 10, "%"),
        label="Carbon dioxide breathed in, measured",
        required=False,
    )
    left_on_h = QuantityField(
        "time",
        unit="h",
        allowed=Within(0, 1000, "h"),
        label="Gas left flowing with no animal",
        required=False,
        help_text="Hours. It dries the absorbent.",
    )
    hours_h = QuantityField(
        "time",
        unit="h",
        allowed=Within(0, 1000, "h"),
        label="Hours of use so far",
        required=False,
        help_text="Only where the cases are not written here.",
    )
    liquid_ml = QuantityField(
        "volume",
        unit="mL",
        allowed=Within(0, 5000, "mL"),
        label="Liquid agent used since it was put in",
        required=False,
    )
    at = when_field()
    code = code_field()

    def clean(self) -> dict[str, Any]:
        """Hours as they are kept; a colour says when it was read; something was said."""
        typed = super().clean()
        for name in ("left_on_h", "hours_h"):
            if typed.get(name) is not None:
                typed[name] = typed[name] / 60.0
        if typed.get("liquid_ml") is not None:
            typed["liquid_ml"] = 1000.0 * typed["liquid_ml"]
        said = typed.get("after_use")
        typed["after_use"] = {"yes": True, "no": False}.get(said or "")
        if typed.get("colour_share") is not None and typed["after_use"] is None:
            self.add_error("after_use", "Say whether the colour was read right after use.")
        if typed.get("colour_share") is None:
            typed["after_use"] = None
        return typed


class OutForm(Timed):
    """Why something was taken out."""

    why = forms.CharField(label="Why?", max_length=160, required=False)
    at = when_field()
