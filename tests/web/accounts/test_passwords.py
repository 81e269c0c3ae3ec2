"""Passwords: long, of any signs, not well known; nothing about capitals, nothing about age.

Lengths and the rest: NIST SP 800-63B-4 (2025), passwords: 15 alone, 8 beside a second factor, at
least 64 taken, any Unicode, a list of refused ones, no rules of composition, no change by time.
"""

import unicodedata

import pytest
from allauth.mfa.models import Authenticator
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.urls import reverse

from ullage.web.accounts.models import User

pytestmark = [pytest.mark.web, pytest.mark.django_db]

GOOD = [
    "plain gravel lantern",
    "onlysmallletters",
    "15 15 27 93 8 4",
    "ein Käse für Zoë",
    "ключ от старого дома",
    "紫色的大象在月光下跳舞喝茶唱歌",
    "x9" + "å∂ß€" * 15 + "yz",
    "four words and some more " * 10,
]


@pytest.mark.parametrize("word", GOOD)
def test_any_signs_are_taken_where_there_are_enough(operator, word):
    validate_password(word, operator)
    operator.set_password(word)

    assert operator.check_password(word)
    assert not operator.password_is_short


def test_sixty_four_letters_and_more_count_to_the_last(operator):
    operator.set_password("plain gravel lantern " * 4)

    assert operator.check_password("plain gravel lantern " * 4)
    assert not operator.check_password("plain gravel lantern " * 4 + "x")
    assert not operator.check_password(("plain gravel lantern " * 4)[:72])


@pytest.mark.parametrize(
    ("word", "says"),
    [
        ("fourteen words", "has 14 letters; it needs at least 15"),
        ("", "has 0 letters"),
        ("a" * 20, "one sign repeated"),
        ("passwordpassword", "little more than a name"),
        ("qwertyuiopasdfghjkl", "little more than a name"),
        ("Isoflurane2026!!!", "little more than a name"),
        ("Otto.Reads.Otto.1", "little more than a name"),
        ("FennelLane123456", "little more than a name"),
        ("y" * 500 + "abcdefgh" * 100, "At most 1000"),
    ],
)
def test_what_is_short_or_would_be_guessed_here_is_refused(operator, word, says):
    with pytest.raises(ValidationError, match=says):
        validate_password(word, operator)


@pytest.mark.parametrize("word", ["1q2w3e4r5t6y7u8i", "1qaz2wsx3edc4rfv"])
def test_the_list_of_well_known_passwords_is_asked(operator, word):
    with pytest.raises(ValidationError, match="too common"):
        validate_password(word, operator)


def test_beside_a_second_factor_eight_are_enough(operator):
    with pytest.raises(ValidationError, match="at least 15"):
        validate_password("gravel 7", operator)
    Authenticator.objects.create(user=operator, type="recovery_codes", data={})
    with pytest.raises(ValidationError, match="at least 15"):
        validate_password("gravel 7", operator)
    Authenticator.objects.create(user=operator, type="totp", data={"secret": "x"})

    validate_password("gravel 7", operator)
    with pytest.raises(ValidationError, match="at least 8"):
        validate_password("gravel7", operator)


def test_the_same_letters_from_another_keyboard_are_the_same_password(operator):
    typed = "Zoë’s Käse und Brot"
    operator.set_password(unicodedata.normalize("NFD", typed))

    assert operator.check_password(unicodedata.normalize("NFC", typed))
    made = User.objects.create_user("zoe", password=unicodedata.normalize("NFD", typed))
    assert made.check_password(unicodedata.normalize("NFC", typed))


def test_a_short_password_is_remembered_as_short(operator):
    operator.set_password("gravel 7")
    assert operator.password_is_short
    operator.set_password("plain gravel lantern")
    assert not operator.password_is_short
    assert User(username="x").password_is_short is False


def test_nobody_is_told_to_change_a_password_because_time_went_by(as_operator, operator):
    User.objects.filter(pk=operator.pk).update(date_joined="2001-01-01T00:00:00Z")

    assert as_operator.get(reverse("sites:more")).status_code == 200


def test_what_is_typed_is_never_shown_again_and_managers_may_paste(client, operator):
    shown = client.post(
        reverse("account_login"), {"login": "otto", "password": "wrong but long enough"}
    ).content.decode()

    assert "wrong but long enough" not in shown
    assert 'autocomplete="current-password"' in shown
    assert "onpaste" not in shown
