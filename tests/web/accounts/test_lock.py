"""The lock at the table: kept by the server, opened in one step, never under another name."""

import re
from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from ullage.web.accounts.models import Sitting, Tries
from ullage.web.accounts.services import pin_set, sitting_lock
from ullage.web.audit.models import AuditLine
from ullage.web.sites.models import Site

pytestmark = [pytest.mark.web, pytest.mark.django_db]

WORD = "a long enough word"
PIN = "730419"
PEOPLE = "/people/"


def sitting() -> Sitting:
    return Sitting.objects.get(user__username="otto", ended_at=None)


def untouched(minutes: float) -> None:
    """Let so many minutes go by."""
    Sitting.objects.update(touched_at=timezone.now() - timedelta(minutes=minutes))


@pytest.fixture
def locked(as_operator):
    as_operator.post(reverse("accounts:lock"))
    return as_operator


def unlock(client, word=WORD, **more):
    return client.post(reverse("accounts:locked"), {"password": word, "next": PEOPLE, **more})


def is_open(client) -> bool:
    return client.get(PEOPLE).status_code == 200


def test_a_touch_on_lock_hides_names_and_history(locked, site):
    reply = locked.get(PEOPLE)
    page = locked.get(reply["Location"]).content.decode()

    assert reply["Location"] == "/locked/?next=%2Fpeople%2F"
    assert not re.search(r"Otto|otto|Fennel Lane|O\.R\.", page)
    assert "Locked" in page
    assert "Decision support for trained people" in page


@pytest.mark.parametrize("path", ["/", "/more/", "/people/me/sign-in/", "/audit/", "/no/such/"])
def test_no_page_behind_the_lock_gives_a_name_away(locked, site, path):
    reply = locked.get(path, follow=True)

    assert not re.search(r"Otto|otto|Fennel Lane", reply.content.decode())


def test_messages_wait_until_the_screen_is_open(as_operator):
    as_operator.post(reverse("accounts:me"), {"full_name": "Otto Anew", "initials": ""})
    as_operator.post(reverse("accounts:lock"))

    assert "Saved." not in as_operator.get("/locked/").content.decode()
    unlock(as_operator)
    assert "Saved." in as_operator.get(reverse("sites:more")).content.decode()


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"HX-Request": "true"}, 423),
        ({"Sec-Fetch-Mode": "cors", "Accept": "*/*"}, 423),
        ({"Accept": "application/json"}, 423),
        ({"Sec-Fetch-Mode": "navigate", "Accept": "text/html"}, 302),
    ],
)
def test_scripts_get_a_status_and_pages_the_lock_page(locked, headers, status):
    reply = locked.get(PEOPLE, headers=headers)

    assert reply.status_code == status
    assert b"Otto" not in reply.content
    if "HX-Request" in headers:
        assert reply["HX-Redirect"].startswith("/locked/")


def test_nothing_is_written_while_it_is_locked(locked, operator):
    locked.post(reverse("accounts:me"), {"full_name": "Somebody Else", "initials": "S.E."})

    operator.refresh_from_db()
    assert operator.full_name == "Otto Reads"


def test_it_locks_after_the_minutes_that_the_site_set(as_operator, site):
    Site.objects.filter(pk=site.pk).update(quick_lock_min=3)
    untouched(2.5)
    assert is_open(as_operator)
    untouched(3.1)
    assert not is_open(as_operator)
    assert AuditLine.objects.filter(kind="lock", said__contains="untouched").exists()


def test_five_minutes_are_usual(as_operator):
    untouched(4.8)
    assert is_open(as_operator)
    untouched(5.1)
    assert not is_open(as_operator)


@pytest.mark.parametrize(
    "headers",
    [{"HX-Request": "true"}, {"Sec-Fetch-Mode": "cors"}, {"Accept": "application/json"}],
)
def test_asking_by_itself_is_no_touch(as_operator, headers):
    untouched(4)
    as_operator.get(PEOPLE, headers=headers)
    untouched_since = timezone.now() - sitting().touched_at

    assert untouched_since > timedelta(minutes=3.9)


def test_a_page_says_when_somebody_touched_it_last(as_operator):
    untouched(4)
    as_operator.post(reverse("accounts:touch"), headers={"X-Ullage-Touched": "10"})

    assert timezone.now() - sitting().touched_at < timedelta(seconds=15)
    as_operator.post(reverse("accounts:touch"), headers={"X-Ullage-Touched": "3000"})
    assert timezone.now() - sitting().touched_at < timedelta(seconds=15)


@pytest.mark.parametrize("said", ["-5", "ten", "9" * 40, "1e9", "²"])
def test_a_strange_time_of_touch_counts_as_none(as_operator, said):
    untouched(4)
    reply = as_operator.post(
        reverse("accounts:touch"),
        headers={
            "X-Ullage-Touched": said.encode("latin-1").decode("latin-1"),
            "HX-Request": "true",
        },
    )

    assert reply.status_code == 204
    assert timezone.now() - sitting().touched_at > timedelta(minutes=3.9)


def test_a_touch_does_not_open_a_lock(locked):
    locked.post(reverse("accounts:touch"), headers={"X-Ullage-Touched": "0"})

    assert not is_open(locked)


def test_a_request_that_began_before_the_lock_does_not_undo_it(as_operator):
    """The lock stands in a row of its own; a session that is written late cannot take it back."""
    stale = as_operator.session
    sitting_lock(sitting())
    stale["seen"] = "late"
    stale.save()

    assert not is_open(as_operator)


def test_the_password_opens_in_one_step(locked):
    reply = unlock(locked)

    assert (reply.status_code, reply["Location"]) == (302, PEOPLE)
    assert is_open(locked)
    assert AuditLine.objects.filter(kind="unlock", said="Unlocked by password.").count() == 1


def test_the_session_gets_a_new_key_when_it_opens(locked):
    before = locked.session.session_key
    unlock(locked)

    assert locked.session.session_key != before
    locked.get(PEOPLE)
    assert sitting().session_key == locked.session.session_key


def test_a_pin_opens_on_this_device_and_on_no_other(locked, client_of, operator):
    pin_set(sitting(), PIN)
    elsewhere = client_of(operator)
    elsewhere.post(reverse("accounts:lock"))

    assert "is not your password" in unlock(elsewhere, PIN).content.decode()
    assert unlock(locked, PIN).status_code == 302
    assert is_open(locked)


def test_a_pin_signs_nobody_in(operator, as_operator):
    pin_set(sitting(), PIN)
    door = Client()
    door.post(reverse("account_login"), {"login": "otto", "password": PIN})

    assert "_auth_user_id" not in door.session


def test_five_wrong_pins_and_only_the_password_opens(locked):
    pin_set(sitting(), PIN)
    replies = [unlock(locked, "730410").content.decode() for _ in range(6)]

    assert "This is not the PIN." in replies[0]
    assert "The PIN is gone: type your password." in replies[-1]
    assert unlock(locked, PIN).status_code == 422
    assert unlock(locked).status_code == 302


def test_a_pin_is_gone_after_a_day_and_with_the_session(locked, client_of, operator):
    pin_set(sitting(), PIN)
    Sitting.objects.update(pin_until=timezone.now() - timedelta(seconds=1))
    assert unlock(locked, PIN).status_code == 422

    Sitting.objects.update(pin_until=timezone.now() + timedelta(hours=1))
    unlock(locked)
    locked.post(reverse("account_logout"))
    assert not Sitting.objects.exclude(pin_hash="").exists()


@pytest.mark.parametrize(
    ("pin", "says"),
    [
        ("12345", "Six to twelve digits"),
        ("123456", "are tried first"),
        ("987654", "are tried first"),
        ("111111", "are tried first"),
        ("121212", "are tried first"),
        ("73041a", "Six to twelve digits"),
        ("٧٣٠٤١٩", "Six to twelve digits"),
    ],
)
def test_a_pin_that_anybody_would_try_is_refused(as_operator, pin, says):
    typed = {"pin": pin, "pin_again": pin, "password": WORD}
    reply = as_operator.post(reverse("accounts:pin"), typed)

    assert reply.status_code == 422
    assert says in reply.content.decode()
    assert not sitting().pin_hash


def test_a_pin_is_set_only_with_the_password(as_operator):
    for word in ("", "not the right word"):
        typed = {"pin": PIN, "pin_again": PIN, "password": word}
        assert as_operator.post(reverse("accounts:pin"), typed).status_code == 422
    assert not sitting().pin_hash
    as_operator.post(reverse("accounts:pin"), {"pin": PIN, "pin_again": PIN, "password": WORD})
    assert sitting().pin_hash
    assert PIN not in sitting().pin_hash


def test_wrong_passwords_at_the_lock_have_to_wait(locked):
    for _ in range(5):
        assert "This is not your password." in unlock(locked, "wrong it is").content.decode()

    assert "Too many wrong tries" in unlock(locked).content.decode()
    Tries.objects.all().delete()
    assert unlock(locked).status_code == 302


def test_somebody_else_signs_in_anew_and_is_never_who_locked_it(locked, lead):
    reply = locked.post(reverse("accounts:other"))
    assert reply["Location"].startswith("/accounts/login/")
    locked.post(reverse("account_login"), {"login": "lena", "password": WORD})

    assert locked.get(PEOPLE).wsgi_request.user == lead
    assert not Sitting.objects.filter(user__username="otto", ended_at=None).exists()


def test_the_password_of_somebody_else_does_not_open_it(locked, lead):
    lead.set_password("another long word")
    lead.save()

    assert unlock(locked, "another long word").status_code == 422
    assert not is_open(locked)


@pytest.mark.parametrize("there", ["https://evil.example/", "//evil.example/", "javascript:x", ""])
def test_opening_leads_nowhere_else(locked, there):
    assert unlock(locked, next=there)["Location"] == "/"


def test_what_was_sent_to_a_locked_screen_is_kept_word_for_word(as_operator, operator):
    untouched(7)
    typed = {"full_name": "Otto Á <b>", "initials": "O.Á."}
    as_operator.post(reverse("accounts:me"), {"csrfmiddlewaretoken": "x", **typed})
    assert not is_open(as_operator)

    reply = unlock(as_operator)
    page = as_operator.get(reply["Location"]).content.decode()
    assert reply["Location"] == reverse("accounts:held")
    assert "Otto Á &lt;b&gt;" in page
    assert f'action="{reverse("accounts:me")}"' in page
    as_operator.post(reverse("accounts:held"))
    assert sitting().held is None


@pytest.mark.parametrize(
    "typed",
    [
        {"password": WORD},
        {"oldpassword": WORD, "password1": "x", "password2": "x"},
        {"pin": PIN, "pin_again": PIN},
        {"full_name": "x" * 200_000},
    ],
)
def test_secrets_and_heaps_are_not_kept(as_operator, typed):
    untouched(7)
    as_operator.post(reverse("accounts:me"), typed)

    held = sitting().held
    assert held is None or not {PIN, WORD} & {value for _, value in held["fields"]}


def test_only_named_addresses_are_reached_while_locked(locked, settings):
    settings.OPEN_WHILE_LOCKED = {*settings.OPEN_WHILE_LOCKED, "accounts:touch"}

    reply = locked.post(reverse("accounts:touch"))
    assert reply.status_code == 204
    assert reply.wsgi_request.is_locked
    assert locked.get(PEOPLE).status_code == 302


def test_the_lock_page_of_an_open_screen_leads_on(as_operator):
    assert as_operator.get("/locked/?next=/people/")["Location"] == PEOPLE
    assert Client().get("/locked/")["Location"].startswith("/accounts/login/")
    assert Client().post(reverse("accounts:lock"))["Location"].startswith("/accounts/login/")


def test_the_lock_wants_its_token(operator):
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(operator)
    sitting_lock(Sitting.objects.get(user=operator))

    for name in ("accounts:lock", "accounts:locked", "accounts:other"):
        assert strict.post(reverse(name), {"password": WORD}).status_code == 403
    assert not is_open(strict)


@pytest.mark.parametrize(
    ("there", "is_offered"),
    [
        ("/cases/00000000-0000-4000-8000-000000000001/pad/", True),
        ("/people/", False),
        ("/no/such/page/", False),
        ("/cases/not-a-code/pad/", False),
    ],
)
def test_the_lock_page_offers_the_pad_of_the_case_that_was_open(locked, there, is_offered):
    page = locked.get(reverse("accounts:locked"), {"next": there}).content.decode()

    assert ("Only write an entry" in page) is is_offered
