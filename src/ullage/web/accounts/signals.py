"""What happens at the door is written down, however somebody came or went."""

from typing import Any

from allauth.account import signals as account_signals
from allauth.mfa import signals as factor_signals
from django.contrib.auth.signals import user_logged_in, user_logged_out
from django.http import HttpRequest

from ullage.web.accounts.models import User
from ullage.web.accounts.services import sitting_begin, sitting_end, sittings_end
from ullage.web.audit.services import Kind, audit_person

__all__ = ["connect"]

_FACTORS = {
    "webauthn": "a passkey",
    "totp": "an authenticator app",
    "recovery_codes": "recovery codes",
}


def connect() -> None:
    """Listen; called once when the app is ready."""
    user_logged_in.connect(_came, dispatch_uid="ullage.came")
    user_logged_out.connect(_went, dispatch_uid="ullage.went")
    for signal in (account_signals.password_changed, account_signals.password_set):
        signal.connect(_password, dispatch_uid="ullage.password")
    for signal, said in (
        (factor_signals.authenticator_added, "added"),
        (factor_signals.authenticator_removed, "removed"),
        (factor_signals.authenticator_reset, "made anew"),
    ):
        signal.connect(_factor(said), weak=False, dispatch_uid=f"ullage.factor.{said}")
    factor_signals.authentication_failed.connect(_wrong_code, dispatch_uid="ullage.wrong_code")


def _came(sender: object, request: HttpRequest, user: User, **_: Any) -> None:
    sitting: Any = sitting_begin(request, user)
    request.sitting = sitting  # type: ignore[attr-defined]  # as the middleware sets it
    used = [
        _FACTORS.get(one.get("type", ""), one.get("method", ""))
        for one in request.session.get("account_authentication_methods", [])
    ]
    by = f" by {' and '.join(used)}" if used else ""
    audit_person(Kind.SIGN_IN, user, f"Signed in{by}.", request=request)


def _went(sender: object, request: HttpRequest, user: User | None, **_: Any) -> None:
    sitting = getattr(request, "sitting", None)
    if user is None or sitting is None:
        return
    audit_person(Kind.SIGN_OUT, user, "Signed out.", request=request)
    sitting_end(sitting)


def _password(sender: object, request: HttpRequest, user: User, **_: Any) -> None:
    ended = sittings_end(user, keep=getattr(request, "sitting", None))
    said = f"Chose a new password; {ended} other sessions ended."
    audit_person(Kind.PASSWORD, user, said, request=request)


def _factor(done: str) -> Any:
    def told(
        sender: object, request: HttpRequest, user: User, authenticator: Any, **_: Any
    ) -> None:
        name = _FACTORS.get(str(authenticator.type), str(authenticator.type))
        audit_person(Kind.FACTOR, user, f"{done}: {name}.".capitalize(), request=request)

    return told


def _wrong_code(sender: object, request: HttpRequest, user: User, **_: Any) -> None:
    audit_person(Kind.SIGN_IN_FAILED, user, "A wrong code at the second step.", request=request)
