"""What can be measured or read on a cylinder whose size is not known."""

from typing import Any

from django import forms

from ullage.web.shared.fields import QuantityField, Within
from ullage.web.shared.forms import SiteForm
from ullage.web.sites.selectors import Site

__all__ = ["IdentifyForm"]


class IdentifyForm(SiteForm):
    """Any of these; more of them tell more."""

    height = QuantityField(
        "length",
        label="Height, without the valve",
        required=False,
        allowed=Within(0.1, 3.0, "m"),
    )
    diameter = QuantityField(
        "length", label="Diameter", required=False, allowed=Within(0.03, 1.0, "m")
    )
    water_capacity = QuantityField(
        "volume",
        label="Water capacity stamped on it",
        required=False,
        allowed=Within(0.1, 2000.0, "L"),
    )
    label_l = QuantityField(
        "volume", label="Litres on the label", required=False, allowed=Within(1.0, 100_000.0, "L")
    )
    fill_gauge = QuantityField(
        "pressure",
        label="Filled to, beside the litres",
        required=False,
        allowed=Within(1.0, 350.0, "bar"),
    )

    def __init__(self, *args: Any, site: Site, **kwargs: Any) -> None:
        super().__init__(*args, site=site, **kwargs)
        unit = "in" if site.country == "US" else "cm"
        for name in ("height", "diameter"):
            field = self.fields[name]
            if isinstance(field, QuantityField):
                field.use_unit(unit)

    def clean(self) -> dict[str, Any]:
        """One clue at least."""
        typed = super().clean() or self.cleaned_data
        if not self.errors and not any(value is not None for value in typed.values()):
            raise forms.ValidationError("Write at least one of these.")
        return typed

    def clues(self) -> dict[str, Any]:
        """The clues by the names of the reference; call it on a valid form."""
        kept = self.cleaned_data
        return {
            "height_m": kept["height"],
            "diameter_m": kept["diameter"],
            "water_capacity_l": kept["water_capacity"],
            "label_l": kept["label_l"],
            "fill_gauge_kpa": kept["fill_gauge"],
        }
