"""People of a site: who may see them, add them, change what they may, let them go."""

import pytest
from django.urls import reverse

from ullage.web.accounts.models import User
from ullage.web.sites.models import Membership, Role

pytestmark = [pytest.mark.web, pytest.mark.django_db]

NEW = {"full_name": "Nia Newcomer", "username": "nia", "initials": "", "role": "operator"}


@pytest.fixture
def people():
    return reverse("accounts:people")


@pytest.fixture
def add():
    return reverse("accounts:person_add")


def person(username: str, name: str = "person") -> str:
    return reverse(f"accounts:{name}", args=[username])


def test_everybody_here_sees_who_works_here(as_viewer, people, operator, stranger):
    shown = as_viewer.get(people).content.decode()

    assert "Otto Reads" in shown
    assert "O.R." in shown
    assert "Bob Stranger" not in shown


def test_a_lead_adds_a_person_who_signs_in_once_with_what_was_handed_out(as_lead, add, client):
    shown = as_lead.post(add, NEW)
    password = shown.context["password"]

    assert password in shown.content.decode()
    assert "no-store" in shown["Cache-Control"]
    assert Membership.objects.get(user__username="nia").role == Role.OPERATOR
    client.post(reverse("account_login"), {"login": "nia", "password": password})
    assert client.get(reverse("sites:more"))["Location"] == reverse("account_change_password")


def test_who_has_an_account_already_keeps_its_password(as_lead, add, stranger, site, people):
    kept = stranger.password

    response = as_lead.post(add, NEW | {"username": "BOB"})

    assert response["Location"] == people
    assert "already" in as_lead.get(people).content.decode()
    assert User.objects.get(username="bob").password == kept
    assert Membership.objects.filter(user=stranger, site=site).exists()


def test_who_is_here_already_is_not_added_twice(as_lead, add, operator):
    response = as_lead.post(add, NEW | {"username": "otto"})

    assert response.status_code == 422
    assert "is at Fennel Lane already" in response.content.decode()


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"username": "nia new"}, "Enter a valid username"),
        ({"full_name": ""}, "This field is required"),
        ({"role": "emperor"}, "emperor is not one of the available choices"),
    ],
)
def test_what_cannot_be_is_refused_and_kept_as_typed(as_lead, add, changes, sentence):
    response = as_lead.post(add, NEW | changes)

    assert response.status_code == 422
    assert sentence in response.content.decode()
    assert not User.objects.filter(username="nia").exists()


@pytest.mark.parametrize("who", ["as_viewer", "as_operator"])
def test_too_small_a_role_is_told_who_may(request, add, who):
    response = request.getfixturevalue(who).get(add)

    assert response.status_code == 403
    assert "A lead or a veterinarian can." in response.content.decode()


def test_a_lead_changes_a_role(as_lead, operator, people):
    response = as_lead.post(person("otto"), {"role": "veterinarian"})

    assert response["Location"] == people
    assert Membership.objects.get(user=operator).role == Role.VETERINARIAN


def test_the_last_who_manages_a_site_cannot_be_made_less(as_lead, lead):
    response = as_lead.post(person("lena"), {"role": "viewer"})

    assert response.status_code == 422
    assert "the last who may manage Fennel Lane" in response.content.decode()
    assert Membership.objects.get(user=lead).role == Role.LEAD


def test_with_two_who_manage_one_may_step_back(as_lead, veterinarian):
    assert as_lead.post(person("lena"), {"role": "viewer"}).status_code == 302


def test_people_of_other_sites_are_not_there(as_lead, stranger):
    assert as_lead.get(person("bob")).status_code == 404
    assert as_lead.post(person("bob", "renew")).status_code == 404
    assert as_lead.post(person("bob", "remove")).status_code == 404


def test_a_new_one_time_password_replaces_a_forgotten_one(as_lead, operator, client):
    shown = as_lead.post(person("otto", "renew"))

    assert not client.login(username="otto", password="a long enough word")
    assert client.login(username="otto", password=shown.context["password"])


def test_a_lead_cannot_take_the_account_of_somebody_from_another_site(as_lead, stranger, site):
    Membership.objects.create(user=stranger, site=site, role="viewer")

    response = as_lead.post(person("bob", "renew"))

    assert response["Location"] == person("bob")
    assert "belongs to another site too" in as_lead.get(person("bob")).content.decode()
    assert User.objects.get(username="bob").check_password("a long enough word")


def test_letting_a_person_go_takes_the_way_in_and_keeps_the_name(as_lead, as_operator, operator):
    as_lead.post(person("otto", "remove"))

    assert as_operator.get(reverse("sites:more")).status_code == 404
    assert User.objects.filter(username="otto").exists()


def test_the_last_who_manages_cannot_be_let_go(as_lead, lead):
    as_lead.post(person("lena", "remove"))

    assert Membership.objects.filter(user=lead).exists()


@pytest.mark.parametrize("name", ["renew", "remove"])
def test_what_changes_people_is_only_posted(as_lead, operator, name):
    assert as_lead.get(person("otto", name)).status_code == 405


def test_a_person_says_how_they_are_called(as_viewer, viewer):
    as_viewer.post(reverse("accounts:me"), {"full_name": "Vera Look", "initials": "V.K."})

    viewer.refresh_from_db()
    assert (viewer.full_name, viewer.initials) == ("Vera Look", "V.K.")


def test_a_name_is_needed(as_viewer):
    response = as_viewer.post(reverse("accounts:me"), {"full_name": ""})

    assert response.status_code == 422
