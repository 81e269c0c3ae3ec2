"""How a device is called, and why it is taken out of use."""

from django import forms

__all__ = ["RenameForm", "RevokeForm"]


class RenameForm(forms.Form):
    """What people call a device."""

    name = forms.CharField(
        label="Name",
        max_length=60,
        help_text="Where it lies or how it is marked, so that people find it.",
    )


class RevokeForm(forms.Form):
    """Why a device sends nothing into records any more."""

    reason = forms.CharField(
        label="Why",
        max_length=240,
        error_messages={"required": "Say why; lost, broken, handed on."},
    )
