"""What people type about themselves: sign-in, passwords, PIN, the first account, a new person."""

from typing import Any
from zoneinfo import available_timezones

from allauth.account import forms as allauth_forms
from allauth.mfa.base import forms as factor_forms
from allauth.mfa.totp import forms as totp_forms
from django import forms
from django.contrib.auth.password_validation import validate_password
from django.contrib.auth.validators import UnicodeUsernameValidator
from django.core.exceptions import ValidationError

from ullage.web.accounts.again import ProofForm
from ullage.web.accounts.passwords import LONG_ENOUGH_ALONE, LONG_ENOUGH_BESIDE
from ullage.web.accounts.selectors import User
from ullage.web.accounts.services import At, NewPerson, TooManyTries, tries_clear, tries_take
from ullage.web.shared.choices import COLOURS, COUNTRIES, PRESSURE_UNITS, TEMPERATURE_UNITS
from ullage.web.shared.fields import QuantityField, Within
from ullage.web.shared.forms import Choices, Segments
from ullage.web.sites.selectors import Role

__all__ = [
    "AppForm",
    "CodeAgainForm",
    "FirstRunForm",
    "MeForm",
    "NewPasswordForm",
    "PersonForm",
    "PinForm",
    "RoleForm",
    "SecondStepForm",
    "SignInForm",
]

_CHOOSE_WELL = (
    f"At least {LONG_ENOUGH_ALONE} letters, any letters and signs; four unrelated words are good. "
    f"{LONG_ENOUGH_BESIDE} are enough beside a passkey or an authenticator app."
)
_INITIALS = "Two or three letters for the log, such as T.K. Left empty, they come from the name."


class SignInForm(allauth_forms.LoginForm):  # type: ignore[misc]  # allauth ships no types
    """User name and password."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["login"].label = "User name"
        self.fields["remember"].label = "Stay signed in on this device for two weeks"
        self.fields["remember"].help_text = "Not on a device that others use too."
        for field in self.fields.values():
            field.widget.attrs.pop("placeholder", None)


class NewPasswordForm(allauth_forms.ChangePasswordForm):  # type: ignore[misc]  # the same
    """The present password, and the new one twice."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["oldpassword"].label = "Present password"
        self.fields["password1"].label = "New password"
        self.fields["password1"].help_text = _CHOOSE_WELL
        self.fields["password2"].label = "New password again"
        for field in self.fields.values():
            field.widget.attrs.pop("placeholder", None)

    def clean_oldpassword(self) -> str:
        """The present password, slowed down after wrong tries."""
        present: str = self.cleaned_data["oldpassword"]
        place = At("again", f"{self.user.pk}|change", self.user)
        _take(place)
        if not self.user.check_password(present):
            raise ValidationError("This is not your present password.")
        tries_clear(place)
        return present


def _take(place: At) -> None:
    try:
        tries_take(place)
    except TooManyTries as refusal:
        raise ValidationError(str(refusal)) from None


class _Code(forms.Form):
    """A code of an authenticator app, or one of the recovery codes; slowed down by our table."""

    user: User

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        code = self.fields["code"]
        code.label = "Code"
        code.help_text = "Six digits from the app, or one of your recovery codes."
        code.widget.attrs.pop("placeholder", None)
        code.widget.attrs |= {"inputmode": "numeric", "autocomplete": "one-time-code"}

    def clean_code(self) -> str:
        """The right code, and not too many wrong ones before it."""
        place = At("code", str(self.user.pk), self.user)
        _take(place)
        code: str = super().clean_code()  # type: ignore[misc]  # of the form that stands beside
        tries_clear(place)
        return code


class SecondStepForm(_Code, factor_forms.AuthenticateForm):  # type: ignore[misc]  # the same
    """The second step at sign-in."""


class CodeAgainForm(_Code, factor_forms.ReauthenticateForm):  # type: ignore[misc]  # the same
    """A code to show again who it is."""


class AppForm(_Code, totp_forms.ActivateTOTPForm):  # type: ignore[misc]  # the same
    """The first code of a new authenticator app."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["code"].help_text = "Six digits that the app shows now."


class PinForm(ProofForm):
    """A PIN for this device and this session; the password or a passkey vouches for it."""

    pin = forms.CharField(
        label="PIN",
        max_length=12,
        help_text="At least six digits. It opens the lock of this session on this device alone.",
        widget=forms.PasswordInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    pin_again = forms.CharField(
        label="PIN again",
        max_length=12,
        widget=forms.PasswordInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    field_order = ("pin", "pin_again", "password", "credential")

    def clean(self) -> dict[str, Any]:
        """Twice the same digits."""
        typed = self.cleaned_data
        if typed.get("pin") != typed.get("pin_again", typed.get("pin")):
            self.add_error("pin_again", "The two differ.")
        return super().clean()


class _Naming(forms.Form):
    """Who a person is."""

    full_name = forms.CharField(label="Name", max_length=120)
    initials = forms.CharField(label="Initials", max_length=6, required=False, help_text=_INITIALS)
    initials.optional_word = "may stay empty"  # type: ignore[attr-defined]  # read by field.html


class MeForm(_Naming):
    """How I am called."""


class _Account(_Naming):
    username = forms.CharField(
        label="User name",
        max_length=150,
        validators=[UnicodeUsernameValidator()],
        help_text="What is typed to sign in: letters, digits and . _ - @ +",
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none"}),
    )
    field_order: tuple[str, ...] = ("full_name", "username", "initials")


def _names(typed: dict[str, Any]) -> dict[str, str]:
    """What a password must not consist of; the site is only about to be made."""
    names = f"{typed.get('full_name', '')} {typed.get('name', '')}"
    return {"username": typed.get("username", ""), "full_name": names}


class FirstRunForm(_Account):
    """The code from the terminal, the first account and the first site."""

    code = forms.CharField(
        label="Code from the terminal",
        max_length=20,
        help_text="Printed where ullage serve runs: eight letters and digits.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters"}),
    )
    password = forms.CharField(
        label="Password",
        help_text=_CHOOSE_WELL,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}, render_value=True),
    )
    password_again = forms.CharField(
        label="Password again",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}, render_value=True),
    )
    name = forms.CharField(
        label="Name of your site", max_length=120, help_text="The building or the group."
    )
    country = forms.ChoiceField(label="Country", choices=COUNTRIES)
    time_zone = forms.ChoiceField(
        label="Time zone",
        choices=[(zone, zone.replace("_", " ")) for zone in sorted(available_timezones())],
        initial="Europe/London",
    )
    pressure_unit = forms.ChoiceField(
        label="Your gauges read", choices=PRESSURE_UNITS, widget=Segments, initial="bar"
    )
    temperature_unit = forms.ChoiceField(
        label="Temperature", choices=TEMPERATURE_UNITS, widget=Segments, initial="°C"
    )
    gas_colours = forms.ChoiceField(
        label="Gas colours", choices=COLOURS, widget=Choices, initial="iso32"
    )
    elevation_m = QuantityField(
        "length",
        unit="m",
        allowed=Within(-450, 5500, "m"),
        label="Height above sea level",
        required=False,
        help_text="The air is thinner higher up. Metres, or feet: 6200 ft.",
    )
    field_order = ("code", "full_name", "username", "initials", "password", "password_again")

    def clean(self) -> dict[str, Any]:
        """Two passwords that agree, and one that is hard to guess."""
        typed = super().clean() or self.cleaned_data
        password = typed.get("password")
        if password and password != typed.get("password_again", password):
            self.add_error("password_again", "The two passwords differ.")
        if password:
            try:
                validate_password(password, User(**_names(typed)))
            except ValidationError as refusal:
                self.add_error("password", refusal)
        return typed

    def person(self) -> NewPerson:
        """The person; call it on a valid form."""
        names = ("username", "full_name", "initials", "password")
        return NewPerson(**{name: self.cleaned_data[name] for name in names})

    def site_facts(self) -> dict[str, object]:
        """The facts of the site; call it on a valid form."""
        units = ("pressure_unit", "temperature_unit", "gas_colours", "elevation_m")
        names = ("name", "country", "time_zone", *units)
        return {name: self.cleaned_data[name] for name in names}


class PersonForm(_Account):
    """A person who is to work here, and in which role."""

    role = forms.ChoiceField(
        label="Role", choices=Role.choices, widget=Choices, initial=Role.OPERATOR
    )

    def person(self) -> NewPerson:
        """The person; call it on a valid form."""
        names = ("username", "full_name", "initials")
        return NewPerson(**{name: self.cleaned_data[name] for name in names})


class RoleForm(forms.Form):
    """What a person may do at this site."""

    role = forms.ChoiceField(label="Role", choices=Role.choices, widget=Choices)
