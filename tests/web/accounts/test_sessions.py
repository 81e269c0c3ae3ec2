"""Sessions: listed, ended one by one or all, new at sign-in, over after their time."""

from datetime import timedelta

import pytest
from django.contrib.sessions.models import Session
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from ullage.web.accounts.models import Sitting, User
from ullage.web.accounts.services import password_renew
from ullage.web.audit.models import AuditLine

pytestmark = [pytest.mark.web, pytest.mark.django_db]

WORD = "a long enough word"
NEW = "plain gravel lantern"
PAD = "Mozilla/5.0 (iPad; CPU OS 18_0) AppleWebKit/605 Version/18.0 Safari/605"
PEOPLE = "/people/"


def signed_in(name="otto", word=WORD, agent=PAD, **more):
    client = Client(headers={"User-Agent": agent})
    client.post(reverse("account_login"), {"login": name, "password": word, **more})
    return client


def is_in(client):
    return client.get(PEOPLE).status_code == 200


def test_the_page_lists_devices_in_words_and_marks_this_one(as_operator, operator):
    signed_in()
    page = as_operator.get(reverse("accounts:safety")).content.decode()

    assert "Safari on iPad" in page
    assert page.count("this one") == 1
    assert "127.0.0.1" in page


def test_one_session_is_ended_and_the_others_stay(as_operator, operator):
    pad, desk = signed_in(), signed_in(agent="Mozilla/5.0 (X11; Linux x86_64) Firefox/140.0")
    there = Sitting.objects.get(device="Safari on iPad")
    as_operator.post(reverse("accounts:end", args=[there.code]))

    assert not is_in(pad)
    assert is_in(desk)
    assert is_in(as_operator)
    assert AuditLine.objects.filter(said="Ended the session on Safari on iPad.").exists()


def test_an_ended_session_does_not_come_back_though_its_row_is_written_again(operator):
    """Its sitting has ended, whatever a request that came late saves."""
    client = signed_in()
    store = client.session
    there = Sitting.objects.get(ended_at=None)
    Sitting.objects.update(ended_at=timezone.now())
    store.save()

    assert not is_in(client)
    assert there.session_key


def test_all_others_are_ended(as_operator, operator):
    others = [signed_in() for _ in range(3)]
    as_operator.post(reverse("accounts:end_others"))

    assert is_in(as_operator)
    assert not any(is_in(one) for one in others)


def test_nobody_ends_or_sees_a_session_of_somebody_else(as_lead, operator):
    pad = signed_in()
    there = Sitting.objects.get(device="Safari on iPad")

    assert as_lead.post(reverse("accounts:end", args=[there.code])).status_code == 404
    assert "Safari on iPad" not in as_lead.get(reverse("accounts:safety")).content.decode()
    assert is_in(pad)


def test_ending_this_session_is_signing_out(as_operator):
    here = Sitting.objects.get()

    reply = as_operator.post(reverse("accounts:end", args=[here.code]))
    assert reply["Location"] == reverse("account_logout")


def test_sign_in_takes_a_new_key_so_that_a_planted_one_is_worth_nothing(client, operator):
    client.get(reverse("account_login"))
    session = client.session
    session["planted"] = "yes"
    session.save()
    planted = session.session_key
    client.cookies["sessionid"] = planted
    client.post(reverse("account_login"), {"login": "otto", "password": WORD})

    assert client.session.session_key != planted
    assert not Session.objects.filter(session_key=planted).exists()


def test_signing_out_ends_the_session_on_the_server(operator):
    client = signed_in()
    cookie = client.cookies["sessionid"].value
    client.post(reverse("account_logout"))
    thief = Client()
    thief.cookies["sessionid"] = cookie

    assert not is_in(thief)
    assert not Sitting.objects.filter(ended_at=None).exists()


def test_a_new_password_ends_all_other_sessions(operator):
    here, there = signed_in(), signed_in()
    typed = {"oldpassword": WORD, "password1": NEW, "password2": NEW}
    here.post(reverse("account_change_password"), typed)

    assert is_in(here)
    assert not is_in(there)
    assert Sitting.objects.filter(ended_at=None).count() == 1
    said = AuditLine.objects.get(kind="password").said
    assert said == "Chose a new password; 1 other sessions ended."


def test_a_password_handed_out_by_a_lead_ends_every_session(operator, lead):
    client = signed_in()
    password_renew(user=operator, by=lead)

    assert not is_in(client)


@pytest.mark.parametrize(
    ("field", "hours", "stays"),
    [
        ("began_at", 23, True),
        ("began_at", 25, False),
        ("touched_at", 13, False),
    ],
)
def test_a_session_is_over_after_its_time_and_after_lying_untouched(operator, field, hours, stays):
    client = signed_in()
    Sitting.objects.update(**{field: timezone.now() - timedelta(hours=hours)})

    assert is_in(client) is stays
    assert Sitting.objects.filter(ended_at=None).exists() is stays


@pytest.mark.parametrize(("days", "stays"), [(3, True), (13, True), (15, False)])
def test_who_stays_signed_in_does_so_for_two_weeks_at_most(operator, days, stays):
    client = signed_in(remember="on")
    Sitting.objects.update(began_at=timezone.now() - timedelta(days=days))

    assert is_in(client) is stays


def test_a_session_that_is_not_remembered_goes_with_the_browser(operator):
    assert signed_in().cookies["sessionid"]["max-age"] == ""
    assert int(signed_in(remember="on").cookies["sessionid"]["max-age"]) == 14 * 86_400


def test_limits_are_settings(operator, settings):
    settings.SESSION_LIMITS_H = {"usual": (1.0, 0.5), "remembered": (2.0, 1.0)}
    client = signed_in()
    Sitting.objects.update(began_at=timezone.now() - timedelta(minutes=61))

    assert not is_in(client)


def test_the_door_says_why_and_leads_back(operator):
    client = signed_in()
    Sitting.objects.update(began_at=timezone.now() - timedelta(hours=25))
    reply = client.get(PEOPLE)

    assert reply["Location"] == "/accounts/login/?next=/people/"
    assert "This session is over." in client.get(reply["Location"]).content.decode()
    assert AuditLine.objects.filter(kind="session", said="The session was over.").exists()


def test_cookies_are_out_of_reach_of_scripts(operator):
    cookies = signed_in().cookies

    for name in ("sessionid", "ullage_device"):
        assert cookies[name]["httponly"]
        assert cookies[name]["samesite"] == "Lax"


def test_a_session_from_before_there_were_sittings_gets_one(as_operator):
    session = as_operator.session
    del session["sitting"]
    session.save()
    Sitting.objects.all().delete()

    assert is_in(as_operator)
    assert Sitting.objects.count() == 1


def test_coming_and_going_is_written_down(operator, site):
    client = signed_in()
    client.post(reverse("account_logout"))

    lines = AuditLine.objects.filter(site=site).order_by("number")
    assert [one.said for one in lines] == ["Signed in by password.", "Signed out."]
    assert {one.device for one in lines} == {"Safari on iPad"}


def test_an_account_that_was_closed_is_out_at_once(operator):
    client = signed_in()
    User.objects.update(is_active=False)

    assert not is_in(client)
