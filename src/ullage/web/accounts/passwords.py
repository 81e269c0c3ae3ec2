"""What a password must be: long, not a well-known one, not made of names; nothing else."""

import re
import unicodedata
from typing import TYPE_CHECKING

from django.apps import apps
from django.core.exceptions import ValidationError

if TYPE_CHECKING:
    from ullage.web.accounts.models import User

__all__ = [
    "LONG_ENOUGH_ALONE",
    "LONG_ENOUGH_BESIDE",
    "MOST_LETTERS",
    "LengthValidator",
    "OwnWordsValidator",
    "one_form",
]

#: Letters of a password that stands alone, and of one beside a second factor
#: (NIST SP 800-63B-4, 2025, section on passwords: 15 and 8, at least 64 taken, any sign).
LONG_ENOUGH_ALONE = 15
LONG_ENOUGH_BESIDE = 8
#: More than this is no password but an attempt to keep the server busy.
MOST_LETTERS = 1000

#: Words of this place and rows of a keyboard, which somebody who guesses here tries first.
_OWN_WORDS = (
    "ullage",
    "password",
    "anaesthesia",
    "anaesthesia".replace("ae", "e"),
    "isoflurane",
    "sevoflurane",
    "vaporizer",
    "veterinary",
    "laboratory",
    "oxygen",
    "cylinder",
    "qwertyuiop",
    "qwertzuiop",
    "asdfghjkl",
    "zxcvbnm",
    "qwerty",
    "abcdefgh",
    "iloveyou",
    "letmein",
    "welcome",
    "administrator",
)
#: So many letters must remain of a password beside known words, digits and signs.
_OWN_PART = 8
#: So many different signs at least: one sign repeated is no password.
_DIFFERENT = 5


def one_form(password: str) -> str:
    """The same letters in one form (NFKC), however a keyboard made them."""
    return unicodedata.normalize("NFKC", password)


def _has_second_factor(user: "User | None") -> bool:
    """Say whether a passkey or an authenticator app stands beside the password."""
    if user is None or user.pk is None or not apps.is_installed("allauth.mfa"):
        return False
    kept = apps.get_model("mfa", "Authenticator").objects.filter(user=user)
    return bool(kept.exclude(type="recovery_codes").exists())


class LengthValidator:
    """At least 15 letters alone, 8 beside a second factor; at most what is no attack."""

    def validate(self, password: str, user: "User | None" = None) -> None:
        """Refuse what is too short or absurdly long."""
        letters = len(one_form(password))
        least = LONG_ENOUGH_BESIDE if _has_second_factor(user) else LONG_ENOUGH_ALONE
        if letters < least:
            raise ValidationError(
                f"This password has {letters} letters; it needs at least {least}. "
                "Four unrelated words are easy to remember."
            )
        if letters > MOST_LETTERS:
            raise ValidationError(f"At most {MOST_LETTERS} letters, please.")

    def get_help_text(self) -> str:
        """What is said beside the field."""
        return f"At least {LONG_ENOUGH_ALONE} letters, or {LONG_ENOUGH_BESIDE} beside a passkey."


class OwnWordsValidator:
    """Not the person's name, not the site's, not the words of the trade with a digit or two."""

    def validate(self, password: str, user: "User | None" = None) -> None:
        """Refuse what is little more than words that anybody here would try."""
        whole = left = one_form(password).casefold()
        for word in sorted(_known_words(user), key=len, reverse=True):
            left = left.replace(word, "")
        own = re.sub(r"[\d\W_]+", "", left)
        if len(set(whole)) < _DIFFERENT or (left != whole and len(own) < _OWN_PART):
            raise ValidationError(
                "This is little more than a name or a word of this place, or one sign repeated. "
                "Add words that nobody here would think of."
            )

    def get_help_text(self) -> str:
        """What is said beside the field."""
        return "Not your name, not your site's name, not words of the trade alone."


def _known_words(user: "User | None") -> set[str]:
    """Words of the place, of the person and of their sites, each at least three letters."""
    known = set(_OWN_WORDS)
    if user is not None:
        known |= {user.username, *re.split(r"\W+", user.full_name)}
        if user.pk is not None:
            sites = apps.get_model("sites", "Membership").objects.filter(user=user)
            for name in sites.values_list("site__name", flat=True):
                known |= set(re.split(r"\W+", name))
    return {one.casefold() for one in known if len(one) >= 3}
