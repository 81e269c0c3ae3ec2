"""Forms of passkeys: what comes from a device, or from whoever says to be one, gets a sentence."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from allauth.mfa.webauthn import forms as passkey_forms
from django import forms
from django.core.exceptions import ValidationError

__all__ = [
    "AddPasskeyForm",
    "PasskeyAgainForm",
    "PasskeyForm",
    "PasskeySignInForm",
    "RenamePasskeyForm",
]


@contextmanager
def _told() -> Iterator[None]:
    """An answer that no device gives is refused in words."""
    try:
        yield
    except (KeyError, TypeError, ValueError, AttributeError, IndexError) as strange:
        raise ValidationError("The passkey was not recognised. Try again.") from strange


class _Told(forms.Form):
    """An answer of a device, whatever it really is."""

    def clean_credential(self) -> Any:
        """The passkey that answered."""
        with _told():
            return super().clean_credential()  # type: ignore[misc]  # of the form beside


class PasskeyForm(_Told, passkey_forms.AuthenticateWebAuthnForm):  # type: ignore[misc]  # untyped
    """A passkey at the second step, or to show again who it is."""


class PasskeyAgainForm(_Told, passkey_forms.ReauthenticateWebAuthnForm):  # type: ignore[misc]  # untyped
    """A passkey before a change of passkeys."""


class PasskeySignInForm(_Told, passkey_forms.LoginWebAuthnForm):  # type: ignore[misc]  # untyped
    """A passkey alone at the door."""


class AddPasskeyForm(passkey_forms.AddWebAuthnForm):  # type: ignore[misc]  # the same
    """A name for a new passkey; it always asks the device who is there."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields.pop("passwordless", None)
        self.fields["name"] = forms.CharField(
            label="Name of this passkey",
            max_length=60,
            help_text="So that you know it again: the device or the key that holds it.",
        )
        self.fields["name"].initial = self.initial.get("name")
        self.order_fields(["name", "credential"])

    def clean(self) -> dict[str, Any]:
        """The answer of the device is believed only with its holder verified."""
        with _told():
            return {**super().clean(), "passwordless": True}


class RenamePasskeyForm(passkey_forms.EditWebAuthnForm):  # type: ignore[misc]  # the same
    """Another name for a passkey."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["name"] = forms.CharField(
            label="Name of this passkey", max_length=60, initial=self.initial.get("name")
        )
