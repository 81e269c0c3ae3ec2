"""Second factors: an app, recovery codes, what strange answers get, what a lead may take away."""

import time

import pytest
from allauth.mfa.models import Authenticator
from allauth.mfa.recovery_codes.internal.auth import RecoveryCodes
from allauth.mfa.totp.internal.auth import TOTP, hotp_value
from django.db import connection
from django.test import Client
from django.urls import reverse

from ullage.web.accounts.models import Sitting, User
from ullage.web.audit.models import AuditLine
from ullage.web.sites.models import Membership

pytestmark = [pytest.mark.web, pytest.mark.django_db]

WORD = "a long enough word"
SECRET = "JBSWY3DPEHPK3PXP"


def code_now(secret=SECRET, steps=0) -> str:
    """The code of RFC 6238: HOTP over the number of half minutes since 1970."""
    return f"{hotp_value(secret, int(time.time()) // 30 + steps):06d}"


@pytest.fixture
def with_app(operator):
    TOTP.activate(operator, SECRET)
    return operator


def at_the_second_step(client=None):
    client = client or Client()
    reply = client.post(reverse("account_login"), {"login": "otto", "password": WORD})
    assert reply["Location"] == reverse("mfa_authenticate")
    return client


def is_in(client):
    return client.get("/people/").status_code == 200


def again(client):
    """Type the password once more, as allauth asks before a change of factors."""
    return client.post(reverse("account_reauthenticate"), {"password": WORD})


def test_the_password_alone_opens_nothing_where_there_is_an_app(with_app):
    client = at_the_second_step()

    assert not is_in(client)
    assert "The second step" in client.get(reverse("mfa_authenticate")).content.decode()
    assert not Sitting.objects.filter(user=with_app).exists()


def test_the_code_of_the_app_opens_once(with_app, site):
    code = code_now()
    client = at_the_second_step()
    client.post(reverse("mfa_authenticate"), {"code": code})
    second = at_the_second_step()
    reply = second.post(reverse("mfa_authenticate"), {"code": code})

    assert is_in(client)
    assert not is_in(second)
    assert "This is not the code, or it was used already." in reply.content.decode()
    said = AuditLine.objects.filter(site=site, kind="sign_in").last().said
    assert said == "Signed in by password and an authenticator app."


def test_five_wrong_codes_make_the_right_one_wait(with_app, site):
    client = at_the_second_step()
    for _ in range(5):
        client.post(reverse("mfa_authenticate"), {"code": "000000"})
    reply = client.post(reverse("mfa_authenticate"), {"code": code_now()})

    assert "Too many wrong tries. Wait 1 minute" in reply.content.decode()
    assert not is_in(client)
    assert AuditLine.objects.filter(site=site, said__contains="wrong code").count() == 5


@pytest.mark.parametrize("code", ["", "abc", "9" * 500, "０００００００", "\x00", "-1"])
def test_what_is_no_code_gets_a_sentence(with_app, code):
    client = at_the_second_step()
    reply = client.post(reverse("mfa_authenticate"), {"code": code})

    assert reply.status_code == 200
    assert "field--bad" in reply.content.decode()
    assert not is_in(client)


def test_a_recovery_code_opens_once(with_app):
    codes = RecoveryCodes.activate(with_app).get_unused_codes()
    for expected in (True, False):
        client = at_the_second_step()
        client.post(reverse("mfa_authenticate"), {"code": codes[0]})
        assert is_in(client) is expected


def test_secrets_are_not_in_the_clear_in_the_database(with_app):
    RecoveryCodes.activate(with_app)
    with connection.cursor() as cursor:
        cursor.execute("SELECT data FROM mfa_authenticator")
        kept = str(cursor.fetchall())

    assert SECRET not in kept
    assert "gAAAAA" in kept


def test_an_app_is_added_after_the_password_once_more_and_codes_are_shown_once(
    as_operator, site, django_capture_on_commit_callbacks
):
    page = reverse("mfa_activate_totp")
    assert as_operator.get(page)["Location"].startswith(reverse("account_reauthenticate"))
    again(as_operator)
    secret = as_operator.get(page).context["form"].secret
    wrong = as_operator.post(page, {"code": "000000"})
    assert "This is not the code" in wrong.content.decode()
    with django_capture_on_commit_callbacks(execute=True):
        reply = as_operator.post(page, {"code": code_now(secret)})

    assert reply["Location"] == reverse("mfa_view_recovery_codes")
    first = as_operator.get(reply["Location"]).content.decode()
    assert "shown only here and only now" in first
    assert "shown only here" not in as_operator.get(reply["Location"]).content.decode()
    told = AuditLine.objects.filter(site=site, kind="factor").values_list("said", flat=True)
    assert set(told) == {"Added: an authenticator app.", "Added: recovery codes."}
    assert "Remove the app" in as_operator.get(reverse("accounts:safety")).content.decode()


@pytest.mark.parametrize(
    "credential",
    ["", "{}", "[]", "null", "1", '"x"', '{"id":"x"}', "{", '{"response":{"userHandle":"MQ"}}'],
)
@pytest.mark.parametrize("name", ["mfa_login_webauthn", "mfa_authenticate"])
def test_a_made_up_passkey_opens_nothing_and_breaks_nothing(with_app, credential, name):
    client = at_the_second_step()
    reply = client.post(reverse(name), {"credential": credential}, follow=True)

    assert reply.status_code == 200
    assert not is_in(client)


@pytest.mark.parametrize("credential", ["", "{}", "[]", '{"id":"x","rawId":"x"}', "{"])
def test_a_made_up_passkey_is_not_added(as_operator, credential):
    again(as_operator)
    as_operator.get(reverse("mfa_add_webauthn"))
    reply = as_operator.post(
        reverse("mfa_add_webauthn"), {"name": "mine", "credential": credential}
    )

    assert reply.status_code == 200
    assert not Authenticator.objects.exists()


def test_tries_with_passkeys_are_counted_at_the_address(client, operator):
    for _ in range(30):
        client.post(reverse("mfa_login_webauthn"), {"credential": "{}"})
    reply = client.post(reverse("mfa_login_webauthn"), {"credential": "{}"}, follow=True)

    assert "Too many wrong tries" in reply.content.decode()


def test_nobody_renames_or_removes_a_passkey_of_somebody_else(as_operator, lead):
    theirs = Authenticator.objects.create(
        user=lead, type="webauthn", data={"name": "hers", "credential": {}}
    )
    again(as_operator)

    for name in ("mfa_edit_webauthn", "mfa_remove_webauthn"):
        assert as_operator.get(reverse(name, args=[theirs.pk])).status_code == 404
        assert as_operator.post(reverse(name, args=[theirs.pk]), {"name": "x"}).status_code == 404
    assert Authenticator.objects.filter(pk=theirs.pk).exists()


def test_the_last_factor_stays_beside_a_short_password(as_operator, with_app):
    with_app.set_password("gravel 7")
    with_app.save()
    client = Client()
    client.force_login(with_app)
    client.post(reverse("account_reauthenticate"), {"password": "gravel 7"})
    reply = client.post(reverse("mfa_deactivate_totp"))

    assert "Choose a password of at least 15 letters first." in reply.content.decode()
    assert Authenticator.objects.filter(user=with_app, type="totp").exists()


def test_the_page_says_plainly_that_passkeys_need_a_name(as_operator, settings):
    settings.ALLOWED_HOSTS = ["127.0.0.1", "192.168.1.20", "pads.fennel.example", "[::1]"]
    page = reverse("accounts:safety")
    for number in ("127.0.0.1", "192.168.1.20:8000", "[::1]:8000"):
        shown = as_operator.get(page, headers={"Host": number}).content.decode()
        assert "Passkeys do not work at this address." in shown
        assert "host name" in shown
    shown = as_operator.get(page, headers={"Host": "pads.fennel.example"}).content.decode()
    assert "Add a passkey" in shown
    assert "do not work" not in shown


def test_a_one_time_password_comes_before_any_factor(as_operator, operator):
    User.objects.update(one_time_until="2099-01-01T00:00:00Z")
    for name in ("mfa_add_webauthn", "mfa_activate_totp", "mfa_view_recovery_codes"):
        assert as_operator.get(reverse(name))["Location"] == reverse("account_change_password")


def test_a_lead_takes_lost_factors_away_and_it_is_written_down(as_lead, with_app, site):
    client = Client()
    client.force_login(with_app)
    reply = as_lead.post(reverse("accounts:factors", args=["otto"])).content.decode()

    assert "One-time password" in reply
    assert not Authenticator.objects.filter(user=with_app).exists()
    assert not is_in(client)
    line = AuditLine.objects.filter(site=site, kind="factor").last()
    assert line.name == "Lena Leads (lena)"
    assert "were taken away" in line.said


def test_who_may_not_take_them_away(as_operator, as_stranger, as_lead, with_app, other_site):
    page = reverse("accounts:factors", args=["otto"])
    assert as_operator.post(page).status_code == 403
    assert as_stranger.post(page).status_code == 404
    Membership.objects.create(user=with_app, site=other_site, role="viewer")
    reply = as_lead.post(page, follow=True).content.decode()

    assert "belongs to another site too" in reply
    assert Authenticator.objects.filter(user=with_app).exists()
