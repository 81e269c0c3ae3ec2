"""Sign in, sign out, passwords; nobody signs up from outside."""

from datetime import timedelta

import pytest
from django.urls import NoReverseMatch, reverse
from django.utils import timezone

from ullage.answers import CAUTION_LINE
from ullage.web.accounts.models import User

pytestmark = [pytest.mark.web, pytest.mark.django_db]

DOOR = {"login": "otto", "password": "a long enough word"}


def test_the_right_password_opens(client, operator):
    response = client.post(reverse("account_login"), DOOR)

    assert response.status_code == 302
    assert client.get(reverse("sites:more")).status_code == 200


def test_the_door_leads_on_to_where_one_wanted_to_go(client, operator):
    wanted = reverse("sites:settings")
    asked = client.get(wanted)["Location"]

    assert client.post(asked, DOOR | {"next": wanted})["Location"] == wanted


def test_a_wrong_password_is_refused_without_saying_which_was_wrong(client, operator):
    response = client.post(reverse("account_login"), DOOR | {"password": "something else"})
    shown = response.content.decode()

    assert "User name and password do not belong together." in shown
    assert 'value="otto"' in shown
    assert "something else" not in shown


def test_the_door_is_in_our_look(client, operator):
    shown = client.get(reverse("account_login")).content.decode()

    assert CAUTION_LINE in shown
    assert "Accounts are made by a lead of your site." in shown
    assert "Stay signed in on this device for two weeks" in shown


@pytest.mark.parametrize(
    "path", ["/accounts/signup/", "/accounts/email/", "/accounts/password/reset/"]
)
def test_pages_that_we_do_not_offer_are_not_there(client, operator, path):
    assert client.get(path).status_code == 404
    with pytest.raises(NoReverseMatch, match="account_signup"):
        reverse("account_signup")


def test_who_forgot_a_password_is_told_whom_to_ask(client, operator):
    shown = client.get(reverse("account_reset_password")).content.decode()

    assert "Ask a lead of your site." in shown
    assert client.post(reverse("account_reset_password")).status_code == 405


def test_signing_out_asks_first_and_then_closes(as_operator):
    assert "Sign out?" in as_operator.get(reverse("account_logout")).content.decode()

    as_operator.post(reverse("account_logout"))

    assert as_operator.get(reverse("sites:more")).status_code == 302


@pytest.fixture
def handed(operator):
    """An operator whose password a lead handed out."""
    operator.one_time_until = timezone.now() + timedelta(days=1)
    operator.save()
    return operator


def test_a_one_time_password_opens_only_the_page_that_changes_it(as_operator, handed):
    response = as_operator.get(reverse("sites:more"))

    assert response["Location"] == reverse("account_change_password")
    shown = as_operator.get(response["Location"]).content.decode()
    assert "Choose your own password before you go on." in shown
    assert 'aria-label="Main"' not in shown


def test_once_it_is_changed_everything_opens(as_operator, handed):
    new = {"oldpassword": "a long enough word", "password1": "plain gravel lantern"}

    as_operator.post(
        reverse("account_change_password"), new | {"password2": "plain gravel lantern"}
    )

    assert User.objects.get(pk=handed.pk).one_time_until is None
    assert as_operator.get(reverse("sites:more")).status_code == 200


def test_a_one_time_password_that_ran_out_opens_nothing(as_operator, handed):
    User.objects.update(one_time_until=timezone.now() - timedelta(minutes=1))

    response = as_operator.get(reverse("sites:more"))

    assert response["Location"].startswith(reverse("account_login"))
    assert "_auth_user_id" not in as_operator.session
    assert "has run out" in as_operator.get(response["Location"]).content.decode()


def test_a_new_password_must_differ_from_a_common_one(as_operator):
    response = as_operator.post(
        reverse("account_change_password"),
        {"oldpassword": "a long enough word", "password1": "password12", "password2": "password12"},
    )

    assert "too common" in response.content.decode()
