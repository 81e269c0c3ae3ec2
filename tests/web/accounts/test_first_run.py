"""The first run: one account, one site, one code, and then it is gone."""

import pytest
from django.urls import reverse

from ullage.answers import CAUTION_LINE
from ullage.core.errors import RuleBroken
from ullage.web.accounts.models import FirstRunCode, User
from ullage.web.accounts.services import (
    WRONG_TRIES,
    NewPerson,
    first_account_add,
    first_run_check,
    first_run_code_new,
)
from ullage.web.sites.models import Membership, Role, Site

pytestmark = [pytest.mark.web, pytest.mark.django_db]

TYPED = {
    "full_name": "Tara Keld",
    "username": "tara",
    "initials": "",
    "password": "plain gravel lantern",
    "password_again": "plain gravel lantern",
    "name": "Fennel Lane",
    "country": "GB",
    "time_zone": "Europe/London",
    "pressure_unit": "bar",
    "temperature_unit": "°C",
    "gas_colours": "iso32",
    "elevation_m": "200 ft",
}


@pytest.fixture
def page():
    return reverse("accounts:first_run")


@pytest.fixture
def code():
    return first_run_code_new()


@pytest.fixture
def send(client, page):
    def post(**changes):
        return client.post(page, TYPED | changes)

    return post


def test_the_first_account_is_a_lead_at_its_site_and_signed_in(send, code, client):
    response = send(code=code)

    assert response["Location"] == reverse("sites:welcome")
    site = Site.objects.get()
    assert Membership.objects.get(user__username="tara", site=site).role == Role.LEAD
    # 200 ft is 60.96 m by the definition of the foot.
    assert site.elevation_m == pytest.approx(60.96)
    assert "Add the first machine" in client.get(response["Location"]).content.decode()


def test_afterwards_the_page_is_gone(send, code, page, client):
    send(code=code)

    assert client.get(page).status_code == 404
    assert send(code=code, username="second").status_code == 404
    assert User.objects.count() == 1


def test_until_then_every_door_leads_to_it(client, page):
    response = client.get(reverse("account_login"))

    assert response["Location"] == page


def test_the_page_bears_the_caution_and_no_navigation(client, page):
    shown = client.get(page).content.decode()

    assert CAUTION_LINE in shown
    assert 'aria-label="Main"' not in shown


def test_a_code_may_be_typed_small_and_without_its_line(send, code):
    assert send(code=code.lower().replace("-", " ")).status_code == 302


def test_a_wrong_code_keeps_the_form_as_typed_and_is_counted(send, code):
    response = send(code="AAAA-AAAA")

    shown = response.content.decode()
    assert response.status_code == 422
    assert "not the code in the terminal" in shown
    assert "Fennel Lane" in shown
    assert "200 ft" in shown
    assert FirstRunCode.objects.get().wrong_tries == 1
    assert not User.objects.exists()


def test_after_too_many_wrong_codes_the_right_one_is_void_too(code):
    FirstRunCode.objects.update(wrong_tries=WRONG_TRIES)

    with pytest.raises(RuleBroken, match="void after too many wrong tries"):
        first_run_check(code)


def test_without_a_server_that_made_a_code_there_is_none():
    with pytest.raises(RuleBroken, match="Start the site with `ullage serve`"):
        first_run_check("AAAA-AAAA")


def test_a_new_code_makes_the_old_one_void(code):
    first_run_code_new()

    with pytest.raises(RuleBroken, match="not the code"):
        first_run_check(code)


def test_the_code_is_kept_only_as_a_hash(code):
    kept = FirstRunCode.objects.get().code_hash

    assert code not in kept
    assert code.replace("-", "") not in kept


def test_of_two_who_hold_the_code_one_gets_the_account(code):
    taken = first_run_check(code)
    first_account_add(
        code=taken,
        person=NewPerson(username="one", full_name="One", password="plain gravel lantern"),
        site_facts={"name": "Here"},
    )

    with pytest.raises(RuleBroken, match="the first run is over"):
        first_account_add(
            code=taken,
            person=NewPerson(username="two", full_name="Two", password="plain gravel lantern"),
            site_facts={"name": "There"},
        )
    assert list(Site.objects.values_list("name", flat=True)) == ["Here"]


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"password_again": "plain gravel lamp"}, "The two passwords differ."),
        ({"password": "short", "password_again": "short"}, "it needs at least 15"),
        (
            {"password": "password12345678", "password_again": "password12345678"},
            "little more than a name",
        ),
        ({"username": "tara keld"}, "Enter a valid username"),
        ({"elevation_m": "9000"}, "must be between -450 and 5500 m"),
        ({"elevation_m": "60 psi"}, "is not a unit of length"),
        ({"elevation_m": "nan"}, "is not a length"),
        ({"pressure_unit": "torr"}, "torr is not one of the available choices"),
        ({"name": ""}, "This field is required"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(send, code, changes, sentence):
    response = send(code=code, **changes)

    assert response.status_code == 422
    assert sentence in response.content.decode()
    assert not User.objects.exists()


def test_another_method_is_refused(client, page):
    assert client.put(page).status_code == 405


@pytest.mark.parametrize(
    "word", ["tamsin kell 2026", "kell-tamsin-ullage", "Tamsin.Kell.Tamsin", "fennel lane 12345"]
)
def test_a_password_that_is_the_persons_own_name_is_refused(send, code, word):
    response = send(
        code=code, full_name="Tamsin Kell", username="tk", password=word, password_again=word
    )

    assert response.status_code == 422
    assert "little more than a name" in response.content.decode()
    assert not User.objects.exists()
