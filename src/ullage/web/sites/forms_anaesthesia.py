"""What a site sets for anaesthesia: its multiple of MAC, its flows, and its own values."""

from typing import Any

from django import forms

from ullage.answers import species_offered
from ullage.answers.agents import LIQUIDS
from ullage.answers.site_values import SETTABLE, unit_set_in
from ullage.answers.words import figure
from ullage.web.shared.fields import QuantityField, Within
from ullage.web.shared.forms import SiteForm, Ticks

__all__ = ["AnaesthesiaForm", "own_words"]

_KEPT = (
    "target_mac",
    "circle_from_kg",
    "flow_open_multiple",
    "flow_open_l_min_kg",
    "flow_circle_start_l_min_kg",
    "flow_circle_hold_l_min_kg",
)
#: What no animal exceeds, by the unit in which a value is set.
_MOST = {"mL/kg": 300.0, "mL/kg/min": 5000.0, "/min": 1500.0, "1": 0.9, "K": 15.0}
_PER_KG = Within(1.0, 2000.0, "mL/min/kg")
_SPECIES = [("", "Choose"), *((one, one.capitalize()) for one in sorted(species_offered()))]
_AGENTS = [("", "Choose"), *((one, one.capitalize()) for one in LIQUIDS)]
_VALUES = [
    ("", "Choose"),
    *((key, f"{words}, {unit_set_in(key)}") for key, words in SETTABLE.items()),
]


def _optional(kind: str, label: str, allowed: Within, help_text: str = "") -> QuantityField:
    field = QuantityField(
        kind, unit=allowed.unit, allowed=allowed, label=label, required=False, help_text=help_text
    )
    field.optional_word = "if it is a rule here"
    return field


def own_words(key: str, kept: dict[str, Any]) -> str:
    """One of the site's own values as it is read out."""
    species, _, name = key.partition(", ")
    if name in SETTABLE:
        told = f"{SETTABLE[name]} {figure(kept['value'])} {unit_set_in(name)}"
    else:
        told = f"MAC of {name} {figure(100.0 * kept['value'])} %"
    return f"{species}: {told}. Why: {kept['reason']}"


class AnaesthesiaForm(SiteForm):
    """The multiple of MAC, weights, flows, and values in place of the published ones."""

    target_mac = _optional(
        "count",
        "Aim at this multiple of MAC",
        Within(0.1, 3.0, "1"),
        "Without it no dial is shown: the program never chooses a depth.",
    )
    circle_from_kg = _optional(
        "mass", "Use a circle from this weight", Within(0.5, 100.0, "kg"), "Empty: the sources."
    )
    flow_open_multiple = _optional(
        "count",
        "Flow without absorber: times the minute volume",
        Within(0.5, 10.0, "1"),
        "Of this and the next the larger holds. Empty: the first published rule. Nose cones and "
        "chambers keep the rules of the device.",
    )
    flow_open_l_min_kg = _optional(
        "flow per weight", "Flow without absorber, by weight", Within(20.0, 2000.0, "mL/min/kg")
    )
    flow_circle_start_l_min_kg = _optional(
        "flow per weight", "Circle, to begin and to wake", _PER_KG
    )
    flow_circle_hold_l_min_kg = _optional("flow per weight", "Circle, to hold", _PER_KG)
    mac_species = forms.ChoiceField(label="Own MAC: species", choices=_SPECIES, required=False)
    mac_agent = forms.ChoiceField(label="Own MAC: agent", choices=_AGENTS, required=False)
    mac_value = _optional("share", "Own MAC: value", Within(0.1, 150.0, "%"))
    mac_reason = forms.CharField(label="Own MAC: why", max_length=200, required=False)
    value_species = forms.ChoiceField(label="Own value: species", choices=_SPECIES, required=False)
    value_name = forms.ChoiceField(label="Own value: of what", choices=_VALUES, required=False)
    value_number = forms.FloatField(
        label="Own value: number",
        required=False,
        min_value=1e-6,
        max_value=1e6,
        help_text="In the unit beside its name; for one kilogram where it says so.",
    )
    value_reason = forms.CharField(label="Own value: why", max_length=200, required=False)
    give_up = forms.MultipleChoiceField(
        label="Go back to the published value", widget=Ticks, required=False
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        own = {**self.site.mac_overrides, **self.site.value_overrides}
        choices = [(key, own_words(key, kept)) for key, kept in own.items()]
        self.fields["give_up"] = forms.MultipleChoiceField(
            label="Go back to the published value", choices=choices, widget=Ticks, required=False
        )
        if not own:
            del self.fields["give_up"]
        for name in self.fields:
            if name.startswith(("mac_", "value_", "give_up")):
                self.fields[name].optional_word = "to add one"  # type: ignore[attr-defined]  # read by the field template

    def clean(self) -> dict[str, Any]:
        """The fields of the site: what was set, and its own values with one more or fewer."""
        typed = super().clean()
        gone = set(typed.get("give_up") or ())
        macs = {key: one for key, one in self.site.mac_overrides.items() if key not in gone}
        values = {key: one for key, one in self.site.value_overrides.items() if key not in gone}
        macs |= self._one("mac_species", "mac_agent", "mac_value", "mac_reason")
        values |= self._one("value_species", "value_name", "value_number", "value_reason")
        kept = {name: typed[name] for name in _KEPT if name in typed}
        return {**kept, "mac_overrides": macs, "value_overrides": values}

    def _one(self, *names: str) -> dict[str, dict[str, Any]]:
        """One value to add: all of it, with its reason, or nothing."""
        typed = [self.cleaned_data.get(name) for name in names]
        if not any(typed):
            return {}
        for name, one in zip(names, typed, strict=True):
            if not one and name not in self.errors:
                self.add_error(name, "Needed to add a value; its reason is kept with it.")
        self._possible()
        species, about, value, reason = typed
        return {f"{species}, {about}": {"value": value, "reason": str(reason).strip()}}

    def _possible(self) -> None:
        """Refuse a value that no animal has."""
        name, value = (self.cleaned_data.get(one) for one in ("value_name", "value_number"))
        if name and value and value > _MOST[unit_set_in(name)]:
            unit = unit_set_in(name)
            self.add_error(
                "value_number", f"{value:g} {unit} is more than any animal has; look again."
            )

    def words(self, name: str, value: Any) -> str:
        """The site's own values are read out one by one."""
        if name in {"mac_overrides", "value_overrides"}:
            return " ".join(own_words(key, kept) for key, kept in value.items()) or "none"
        return super().words(name, value)
