"""What is asked at each step of a change of cylinder."""

from typing import Any

from django import forms

from ullage.answers.things import Gas
from ullage.web.shared.forms import Choices, Segments

__all__ = ["AnimalForm", "CheckForm", "CloseOldForm", "ReasonForm", "SealForm"]

_YES_NO = (("yes", "Yes"), ("no", "No"))


class AnimalForm(forms.Form):
    """Other gas for the animal comes first."""

    how = forms.ChoiceField(
        label="How is the animal supplied meanwhile?",
        widget=Choices,
        choices=(
            ("no animal on the machine", "No animal is on the machine"),
            ("second source connected and flowing", "A second source is connected and flowing"),
            ("other bank feeds", "The other bank of the manifold feeds"),
            ("self-inflating bag", "Somebody ventilates with a self-inflating bag"),
        ),
        error_messages={"required": "The animal comes first: choose how it is supplied."},
    )


class CheckForm(forms.Form):
    """The full one: scanned or chosen, then looked at, question by question."""

    cylinder = forms.UUIDField(
        label="Which full one?",
        widget=forms.Select,
        error_messages={
            "required": "Scan the full one, or choose it.",
            "invalid": "Scan the full one, or choose it.",
        },
    )
    label_gas = forms.ChoiceField(
        label="Which gas does its label name?",
        choices=[("", "Read the label")] + [(gas.value, gas.value.capitalize()) for gas in Gas],
        error_messages={"required": "Read the label and choose the gas it names."},
    )
    label_agrees = forms.ChoiceField(
        label="Do label and shoulder colour agree?", widget=Segments, choices=_YES_NO
    )
    size_agrees = forms.ChoiceField(
        label="Do size and stamp agree with its page?", widget=Segments, choices=_YES_NO
    )
    outlet_clean = forms.ChoiceField(
        label="Outlet clean, no grease, seal face whole?", widget=Segments, choices=_YES_NO
    )
    contents = forms.CharField(
        label="What does its tag say it holds?", required=False, max_length=40
    )

    def __init__(self, *args: Any, full_ones: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = [("", "Scan it, or choose"), *full_ones]
        self.fields["cylinder"].widget.choices = choices
        self.fields["contents"].optional_word = "if it has one"  # type: ignore[attr-defined]  # ours
        for name in ("label_agrees", "size_agrees", "outlet_clean"):
            self.fields[name].error_messages["required"] = "Look at it, then answer."


class CloseOldForm(forms.Form):
    """The old one is closed and tagged."""

    tag = forms.ChoiceField(
        label="Which tag does the old one get?",
        widget=Segments,
        choices=(("part used", "Part used"), ("empty", "Empty")),
        error_messages={"required": "Choose the tag."},
    )


class SealForm(forms.Form):
    """Exactly one seal; an old one asks for a reason."""

    seal = forms.ChoiceField(
        label="Which seal goes in?",
        widget=Choices,
        choices=(
            ("new", "A new seal: old one thrown away, no grease, pins clean"),
            ("old", "The old seal, looked at: asks for a reason; next reading in 30 min"),
        ),
        error_messages={"required": "Choose the seal."},
    )
    reason = forms.CharField(label="Why the old seal?", required=False, max_length=240)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["reason"].optional_word = "only for the old one"  # type: ignore[attr-defined]  # ours

    def clean(self) -> dict[str, Any]:
        """An old seal needs its reason."""
        typed = super().clean() or self.cleaned_data
        if typed.get("seal") == "old" and not typed.get("reason"):
            self.add_error("reason", "Say why the old seal goes in again.")
        return typed


class ReasonForm(forms.Form):
    """A reason in a few words."""

    reason = forms.CharField(
        max_length=240,
        label="Why?",
        error_messages={"required": "Say why, in a few words."},
    )
