"""Passkeys and authenticator apps: names, words, secrets that are not kept in the clear."""

import base64
from typing import Any

from allauth.mfa.adapter import DefaultMFAAdapter
from cryptography.fernet import Fernet, InvalidToken
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from django.conf import settings

from ullage.web.accounts.models import User

__all__ = ["FactorAdapter"]


def _box() -> Fernet:
    """The box for secrets, opened by the signing key of this installation."""
    derived = HKDF(algorithm=SHA256(), length=32, salt=None, info=b"ullage second factors")
    return Fernet(base64.urlsafe_b64encode(derived.derive(settings.SECRET_KEY.encode())))


class FactorAdapter(DefaultMFAAdapter):  # type: ignore[misc]  # allauth ships no types
    """Our words, and secrets that a copy of the database alone does not give away."""

    error_messages = {
        **DefaultMFAAdapter.error_messages,
        "incorrect_code": "This is not the code, or it was used already.",
        "cannot_delete_authenticator": "Choose a password of at least 15 letters first.",
    }

    def _get_site_name(self) -> str:
        """The name that a device shows beside the key."""
        return "ullage"

    def encrypt(self, text: str) -> str:
        """Close a secret of an authenticator app or of recovery codes."""
        return _box().encrypt(text.encode()).decode()

    def decrypt(self, encrypted_text: str) -> str:
        """Open it; what another key closed opens nothing."""
        try:
            return _box().decrypt(encrypted_text.encode()).decode()
        except InvalidToken:
            return ""

    def can_delete_authenticator(self, authenticator: Any) -> bool:
        """The last factor stays while the password is too short to stand alone."""
        return self.may_go(authenticator.user, authenticator)

    @staticmethod
    def may_go(user: User, authenticator: Any) -> bool:
        """Say whether this factor may go."""
        from allauth.mfa.models import Authenticator

        others = Authenticator.objects.filter(user=user).exclude(type="recovery_codes")
        return not user.password_is_short or others.exclude(pk=authenticator.pk).exists()

    def generate_authenticator_name(self, user: User, type: Any) -> str:  # noqa: A002  # allauth names it so
        """A name to begin with."""
        from allauth.mfa.models import Authenticator

        return f"Passkey {Authenticator.objects.filter(user=user, type=type).count() + 1}"
