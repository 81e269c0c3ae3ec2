"""What a site sets for its records: intervals, groups, recovery, how long they are kept."""

from collections.abc import Mapping
from typing import Any

from django import forms

from ullage.answers.animals import species_offered
from ullage.answers.record.intervals import Phase
from ullage.answers.record.retention import clock_rules
from ullage.answers.record.site_rules import ANY, steps_known
from ullage.answers.words import figure
from ullage.core.units import convert
from ullage.reference.record import record_file
from ullage.web.shared.fields import QuantityField, Within
from ullage.web.shared.forms import SiteForm, Ticks

__all__ = ["RecordsForm", "rule_lines"]

_SPECIES = [
    ("", "Choose"),
    (ANY, "Any species"),
    *((one, one.capitalize()) for one in sorted(species_offered())),
]
_PHASES = [("", "Choose"), *((one.value, one.value.capitalize()) for one in Phase)]
_MINUTES = Within(0.5, 240, "min")
_LABELS = {one["rule"]: one["label"] for one in reversed(record_file("rules")["clock"])}
_STEPS = {
    key: text for species in ("sheep", "mouse", "cat") for key, text in steps_known(species).items()
}


def _optional(
    label: str, allowed: Within, kind: str = "time", help_text: str = ""
) -> QuantityField:
    field = QuantityField(
        kind, unit=allowed.unit, allowed=allowed, label=label, required=False, help_text=help_text
    )
    field.optional_word = "if it is a rule here"
    return field


def _why(label: str) -> forms.CharField:
    return forms.CharField(label=label, max_length=200, required=False)


class RecordsForm(SiteForm):
    """The rules of a site for its records; what is empty stays as it is proposed."""

    late_after_min = _optional(
        "An entry is late after",
        Within(1, 240, "min"),
        help_text="From seeing to writing. Late entries look late; they are never refused.",
    )
    groups = forms.BooleanField(
        label="Rodents treated alike may share a record",
        required=False,
        help_text="With a line for each animal. Other species always have a record each.",
    )
    interval_species = forms.ChoiceField(label="Own interval: species", choices=_SPECIES)
    interval_phase = forms.ChoiceField(label="Own interval: phase", choices=_PHASES)
    interval_minutes = _optional("Own interval: at most", _MINUTES)
    interval_why = _why("Own interval: why")
    protocol_number = forms.CharField(
        label="Protocol: number",
        max_length=60,
        required=False,
        help_text="Protocols of this list are offered where a case is made ready.",
    )
    protocol_minutes = _optional("Protocol: interval", _MINUTES)
    protocol_why = _why("Protocol: why")
    recovery_species = forms.ChoiceField(label="Recovery: species", choices=_SPECIES)
    recovery_without = forms.MultipleChoiceField(
        label="Recovery: steps taken out",
        required=False,
        widget=Ticks,
        choices=list(_STEPS.items()),
    )
    recovery_own = forms.CharField(
        label="Recovery: own steps",
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="One on each line, as it is to be seen: It stands by itself.",
    )
    recovery_temperature_k = QuantityField(
        "temperature",
        allowed=Within(20, 45, "°C"),
        label="Recovery: least temperature",
        required=False,
        help_text="No document read states a number; none is asked for until you set one.",
    )
    recovery_why = _why("Recovery: why")
    give_up = forms.MultipleChoiceField(
        label="Go back to what is proposed", widget=Ticks, required=False
    )
    keeping = forms.MultipleChoiceField(
        label="Rules of keeping that hold here",
        widget=Ticks,
        required=False,
        choices=[(one, _LABELS[one]) for one in clock_rules()],
        help_text="The longest clock counts. This is no legal advice: the site says which hold.",
    )
    own_years = forms.FloatField(
        label="And this site keeps records for, years",
        required=False,
        min_value=1,
        max_value=100,
    )
    reason = forms.CharField(
        label="Why is this changed?",
        max_length=240,
        error_messages={"required": "Say why; the reason is kept with the change."},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        kept = self.site.record_rules
        for name, value in (
            ("late_after_min", kept.get("late_after_min")),
            ("groups", bool(kept.get("groups"))),
            ("keeping", kept.get("keeping") or []),
            ("own_years", kept.get("own_years")),
        ):
            self.initial.setdefault(name, value)
        for name in self.fields:
            if name.startswith(("interval_", "protocol_", "recovery_")):
                self.fields[name].required = False
                self.fields[name].optional_word = "to set one"  # type: ignore[attr-defined]  # read by the field template
        own = dict(rule_lines(kept))
        if own:
            field = self.fields["give_up"]
            field.choices = list(own.items())  # type: ignore[attr-defined]  # a choice field
            field.optional_word = "to set one"  # type: ignore[attr-defined]  # read by the field template
        else:
            del self.fields["give_up"]

    def clean(self) -> dict[str, Any]:
        """The rules as they are kept: what was set, with one more or fewer of each."""
        typed = super().clean()
        gone = set(typed.get("give_up") or ())
        kept = self.site.record_rules
        rules = {
            "late_after_min": typed.get("late_after_min"),
            "groups": bool(typed.get("groups")),
            "keeping": sorted(typed.get("keeping") or []),
            "own_years": typed.get("own_years"),
        }
        for name, more in (
            ("intervals", self._interval()),
            ("protocols", self._protocol()),
            ("recovery", self._recovery()),
        ):
            before = kept.get(name) or {}
            rules[name] = {
                key: one for key, one in before.items() if f"{name}|{key}" not in gone
            } | more
        known = {name: one for name, one in rules.items() if one not in (None, [], {}, False)}
        return {"record_rules": known, "reason": typed.get("reason", "")}

    def _all_or_none(self, *names: str) -> bool:
        """Whether a rule is set: all of its parts, with its reason, or none."""
        typed = [self.cleaned_data.get(name) for name in names]
        if not any(typed):
            return False
        for name, one in zip(names, typed, strict=True):
            if not one and name not in self.errors:
                self.add_error(name, "Needed to set this rule; its reason is kept with it.")
        return all(typed)

    def _interval(self) -> dict[str, dict[str, Any]]:
        names = ("interval_species", "interval_phase", "interval_minutes", "interval_why")
        if not self._all_or_none(*names):
            return {}
        species, phase, minutes, why = (self.cleaned_data[name] for name in names)
        return {f"{species}, {phase}": {"minutes": minutes, "why": why.strip()}}

    def _protocol(self) -> dict[str, dict[str, Any]]:
        names = ("protocol_number", "protocol_minutes", "protocol_why")
        if not self._all_or_none(*names):
            return {}
        number, minutes, why = (self.cleaned_data[name] for name in names)
        return {number.strip(): {"minutes": minutes, "why": why.strip()}}

    def _recovery(self) -> dict[str, dict[str, Any]]:
        typed = self.cleaned_data
        own = [one.strip() for one in typed.get("recovery_own", "").splitlines() if one.strip()]
        warm_k = typed.get("recovery_temperature_k")
        changes = [typed.get("recovery_without"), own, warm_k]
        if not any(changes) and not typed.get("recovery_species") and not typed.get("recovery_why"):
            return {}
        if not any(changes) and "recovery_own" not in self.errors:
            self.add_error("recovery_own", "Say what is different in this recovery.")
        if not self._all_or_none("recovery_species", "recovery_why"):
            return {}
        return {
            typed["recovery_species"]: {
                "without": sorted(typed.get("recovery_without") or []),
                "own": own,
                "temperature_c": None if warm_k is None else _celsius(warm_k),
                "why": typed["recovery_why"].strip(),
            }
        }

    def words(self, name: str, value: Any) -> str:
        """The rules are read out one by one."""
        if name == "record_rules":
            return " ".join(_all_lines(value)) or "as proposed"
        return super().words(name, value)


def _celsius(temperature_k: float) -> float:
    return round(convert(temperature_k, "K", "temperature", "°C"), 2)


def rule_lines(kept: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Each own rule of a site by its key, as it is read out."""
    lines = []
    for name, title in (("intervals", ""), ("protocols", "protocol ")):
        for key, one in (kept.get(name) or {}).items():
            told = f"{title}{key}: every {figure(one['minutes'])} min. Why: {one.get('why', '')}"
            lines.append((f"{name}|{key}", told))
    for key, one in (kept.get("recovery") or {}).items():
        lines.append((f"recovery|{key}", f"{key}, recovery: {_recovery_words(one)}"))
    return lines


def _recovery_words(one: Mapping[str, Any]) -> str:
    told = [f"also “{text}”" for text in one.get("own") or ()]
    told += [f"without “{_STEPS.get(key, key)}”" for key in one.get("without") or ()]
    if one.get("temperature_c") is not None:
        told.append(f"at least {figure(one['temperature_c'])} °C")
    return f"{'; '.join(told)}. Why: {one.get('why', '')}"


def _all_lines(kept: Mapping[str, Any]) -> list[str]:
    told = [line if line.endswith(".") else f"{line}." for _, line in rule_lines(kept)]
    if kept.get("late_after_min") is not None:
        told.append(f"Late after {figure(kept['late_after_min'])} min.")
    if kept.get("groups"):
        told.append("Groups of rodents allowed.")
    if kept.get("keeping"):
        told.append(f"Keeping: {', '.join(_LABELS.get(one, one) for one in kept['keeping'])}.")
    if kept.get("own_years"):
        told.append(f"Kept for {figure(kept['own_years'])} years.")
    return told
