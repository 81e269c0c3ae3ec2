"""Sessions: coming in, staying, leaving a device that is handed on."""

from datetime import timedelta

import pytest
from django.contrib.sessions.models import Session
from django.core.cache import cache
from django.urls import reverse
from django.utils import timezone

from ullage.web.accounts.models import User
from ullage.web.sites.models import Membership, Role
from ullage.web.sites.services import member_remove, member_role_set

pytestmark = pytest.mark.web

IN, OUT = reverse("account_login"), reverse("account_logout")
WORD = "a long enough word"


@pytest.fixture(autouse=True)
def nobody_tried_before():
    """Tries are counted in the cache, which outlives a test."""
    cache.clear()


@pytest.fixture
def sign_in(client, operator):
    def come(**typed):
        return client.post(IN, {"login": "otto", "password": WORD, **typed})

    return come


def test_who_signs_in_lands_on_today(sign_in):
    reply = sign_in()

    assert (reply.status_code, reply.url) == (302, "/")


def test_who_was_sent_away_from_a_label_comes_back_to_it(sign_in, client):
    wanted = "/c/6f0a1f4e-7b1e-4c38-9d0c-111122223333/"
    reply = client.post(f"{IN}?next={wanted}", {"login": "otto", "password": WORD})

    assert reply.url == wanted


def test_nobody_is_led_away_to_another_house(sign_in, client):
    reply = client.post(
        f"{IN}?next=https://elsewhere.example/", {"login": "otto", "password": WORD}
    )

    assert "elsewhere" not in reply.url


def test_a_wrong_password_gets_a_sentence_that_does_not_say_which_was_wrong(sign_in, client):
    wrong = sign_in(password="another long word")
    nobody = client.post(IN, {"login": "nobody", "password": WORD})

    for reply in (wrong, nobody):
        page = reply.content.decode()
        assert "User name and password do not belong together." in page
        assert WORD not in page
    assert 'value="otto"' in wrong.content.decode()


def test_the_cookie_is_not_for_scripts_and_not_for_other_houses(sign_in, client):
    sign_in()
    cookie = client.cookies["sessionid"]

    assert cookie["httponly"]
    assert cookie["samesite"] == "Lax"


def test_who_does_not_ask_to_stay_is_out_when_the_browser_closes(sign_in, client):
    sign_in()

    assert client.cookies["sessionid"]["max-age"] == ""


def test_who_asks_to_stay_stays_two_weeks(sign_in, client):
    sign_in(remember="on")

    assert client.cookies["sessionid"]["max-age"] == timedelta(days=14).total_seconds()


def test_signing_in_makes_a_new_session(sign_in, client):
    client.get(IN)
    client.session.save()
    before = client.session.session_key
    sign_in()

    assert client.session.session_key != before


def test_leaving_ends_the_session_and_clears_what_the_device_kept(as_operator, site):
    reply = as_operator.post(OUT)

    assert (reply.status_code, reply.url) == (302, IN)
    assert reply["Clear-Site-Data"] == '"cache"'
    assert not Session.objects.filter(session_data__contains="otto").exists()
    assert as_operator.get("/").status_code == 302


def test_to_leave_is_asked_first_and_a_link_alone_signs_nobody_out(as_operator, site):
    reply = as_operator.get(OUT)

    assert reply.status_code == 200
    assert "Clear-Site-Data" not in reply
    assert as_operator.get("/").status_code == 200


def test_leaving_is_no_other_method(as_operator):
    assert as_operator.delete(OUT).status_code == 405


def test_a_new_password_ends_the_sessions_on_other_devices(client_of, operator):
    here, there = client_of(operator), client_of(operator)
    reply = here.post(
        reverse("account_change_password"),
        {"oldpassword": WORD, "password1": "basin cobble amber", "password2": "basin cobble amber"},
    )

    assert reply.status_code == 302
    assert here.get("/").status_code == 200
    assert there.get("/").status_code == 302


def test_a_role_that_was_changed_counts_at_the_next_page(as_operator, operator, site, lead):
    membership = Membership.objects.get(user=operator)
    member_role_set(membership=membership, role=Role.VIEWER)

    assert as_operator.get(reverse("supply:receive")).status_code == 403


def test_who_was_let_go_finds_nothing_though_the_session_lives(as_operator, operator, site, lead):
    member_remove(membership=Membership.objects.get(user=operator))

    assert as_operator.get("/").status_code == 404
    assert User.objects.filter(pk=operator.pk).exists()


def test_a_closed_account_is_out_at_once(as_operator, operator):
    User.objects.filter(pk=operator.pk).update(is_active=False)

    assert as_operator.get("/").status_code == 302


def test_a_one_time_password_that_ran_out_opens_nothing(as_operator, operator):
    gone = timezone.now() - timedelta(minutes=1)
    User.objects.filter(pk=operator.pk).update(one_time_until=gone)
    reply = as_operator.get("/", follow=True)

    assert "This one-time password has run out. Ask a lead for a new one." in (
        reply.content.decode()
    )
    assert reply.redirect_chain[0][0].startswith(IN)


@pytest.mark.parametrize("what", ["too short", "password1234", "otto reads", "otto-reads"])
def test_a_password_that_is_easily_guessed_is_refused(as_operator, operator, what):
    reply = as_operator.post(
        reverse("account_change_password"),
        {"oldpassword": WORD, "password1": what, "password2": what},
    )

    operator.refresh_from_db()
    assert "field__err" in reply.content.decode()
    assert operator.check_password(WORD)


def test_nobody_makes_an_account_for_themselves(client, lead):
    for path in ("/accounts/signup/", "/signup/", "/accounts/email/", "/admin/"):
        assert client.get(path).status_code == 404


def test_the_first_run_is_gone_once_somebody_has_an_account(client, lead):
    address = reverse("accounts:first_run")

    assert client.get(address).status_code == 404
    assert client.post(address, {"code": "AAAA-AAAA"}).status_code == 404


def test_a_forgotten_password_is_a_matter_for_a_lead(client, lead):
    page = client.get(reverse("account_reset_password")).content.decode()

    assert "Ask a lead of your site" in page
    assert client.post(reverse("account_reset_password")).status_code == 405


def test_after_many_wrong_passwords_the_right_one_waits_too_and_the_page_says_so(sign_in):
    for _ in range(12):
        last = sign_in(password="another long word")

    page = last.content.decode()
    assert "Too many wrong tries. Wait 1 minute, then try again." in page
    assert "_auth_user_id" not in sign_in().wsgi_request.session


def test_who_guesses_the_present_password_has_to_wait(as_operator, operator):
    address = reverse("account_change_password")
    typed = {"oldpassword": "wrong", "password1": "x", "password2": "x"}
    replies = [as_operator.post(address, typed) for _ in range(7)]

    assert "This is not your present password." in replies[0].content.decode()
    assert "Too many wrong tries. Wait 1 minute" in replies[-1].content.decode()
