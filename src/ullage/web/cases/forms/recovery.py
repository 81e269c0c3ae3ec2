"""What people say while an animal recovers, and when its case is closed."""

from typing import Any

from django import forms

from ullage.web.cases.forms.moments import ClockField
from ullage.web.cases.forms.start import OverrideForm
from ullage.web.cases.selectors import Life
from ullage.web.cases.services import FATES
from ullage.web.shared.forms import Segments, Ticks

__all__ = ["CloseForm", "FateForm", "GasForm", "RecoveryForm", "ReopenForm", "StepForm"]

_GAS = (("off", "All gas is off"), ("flows", "Gas still flows"))


class GasForm(forms.Form):
    """When the gas was turned off."""

    at = ClockField(label="Gas off at")


class RecoveryForm(forms.Form):
    """The agent is off: recovery begins."""

    at = ClockField(label="Agent off at")
    gas = forms.ChoiceField(
        label="And the flow",
        choices=_GAS,
        widget=Segments,
        error_messages={"required": "Say whether gas still flows: what is left is counted by it."},
    )


class StepForm(forms.Form):
    """One word on one step of recovery."""

    step = forms.CharField(max_length=40)
    met = forms.ChoiceField(choices=(("yes", "Met"), ("no", "Not met")))
    at = ClockField(label="Seen at")
    animal = forms.CharField(required=False, max_length=40)
    code = forms.UUIDField()


class FateForm(forms.Form):
    """An animal is awake, died or was killed."""

    word = forms.ChoiceField(choices=[(one, one.capitalize()) for one in FATES])
    typed = forms.CharField(required=False, max_length=240)
    at = ClockField(label="Seen at")
    animal = forms.CharField(required=False, max_length=40)
    code = forms.UUIDField()


class CloseForm(OverrideForm):
    """A case is closed; who answers for it where something is open."""

    reason = forms.CharField(label="Note on closing", required=False, max_length=240)

    def __init__(self, *args: Any, is_ready: bool, is_open: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if is_ready:
            self.fields["reason"] = forms.CharField(
                label="Why does it not take place?",
                max_length=240,
                error_messages={"required": "Say why it does not take place."},
            )
        self.fields["override_reason"].label = "Why it is closed all the same"
        if not is_open:
            del self.fields["override_by"], self.fields["override_reason"]
        self.order_fields(["override_by", "override_reason", "reason"])


class ReopenForm(forms.Form):
    """What no longer holds of an animal whose record is closed."""

    steps = forms.MultipleChoiceField(
        label="What no longer holds",
        widget=Ticks,
        error_messages={"required": "Say which step of the recovery no longer holds."},
    )
    reason = forms.CharField(
        label="What was seen",
        max_length=240,
        error_messages={"required": "Say what was seen."},
    )
    at = ClockField(label="Seen at")

    def __init__(self, *args: Any, life: Life, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["steps"].choices = [  # type: ignore[attr-defined]  # a choice field
            (f"{step.key}|{end.animal}", f"{end.animal}: {step.text}" if end.animal else step.text)
            for end in life.ends
            if not end.died
            for step in life.steps
        ]

    def worse(self) -> dict[str, tuple[str, ...]]:
        """The steps that no longer hold, by animal."""
        found: dict[str, list[str]] = {}
        for one in self.cleaned_data["steps"]:
            step, _, animal = one.partition("|")
            found.setdefault(animal, []).append(step)
        return {animal: tuple(steps) for animal, steps in found.items()}
