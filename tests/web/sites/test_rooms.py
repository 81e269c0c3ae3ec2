"""Rooms: how much air, how often renewed, is there a magnet."""

import pytest
from django.urls import reverse

from ullage.web.sites.models import Room

pytestmark = [pytest.mark.web, pytest.mark.django_db]

TYPED = {"name": "Barn", "volume_m3": "2100 cu ft", "air_changes_per_h": "6", "temperature_k": ""}


@pytest.fixture
def rooms():
    return reverse("sites:rooms")


@pytest.fixture
def add():
    return reverse("sites:room_add")


def test_a_site_without_rooms_says_what_they_are_for(as_lead, rooms):
    shown = as_lead.get(rooms).content.decode()

    assert "No rooms yet" in shown
    assert "what an escaping cylinder would do" in shown


def test_everybody_sees_the_rooms_and_those_who_may_change_them(as_viewer, as_lead, room, rooms):
    link = f'href="{reverse("sites:room", args=[room.pk])}"'

    assert "Theatre 1" in as_viewer.get(rooms).content.decode()
    assert link not in as_viewer.get(rooms).content.decode()
    assert link in as_lead.get(rooms).content.decode()


def test_a_lead_adds_a_room_in_the_units_at_hand(as_lead, site, add, rooms):
    assert as_lead.post(add, TYPED | {"is_magnet": "on"})["Location"] == rooms

    kept = Room.objects.get(site=site)
    # 2100 cu ft is 59.465 m³: a cubic foot is 0.028316846592 m³ by definition.
    assert kept.volume_m3 == pytest.approx(59.4654, abs=1e-3)
    assert kept.is_magnet


def test_a_room_is_changed(as_lead, room):
    as_lead.post(reverse("sites:room", args=[room.pk]), TYPED | {"name": "Theatre 2"})

    room.refresh_from_db()
    assert (room.name, room.air_changes_per_h) == ("Theatre 2", 6.0)


@pytest.mark.parametrize("name", ["Theatre 1", "theatre 1"])
def test_a_name_stands_once_at_a_site(as_lead, room, add, name):
    response = as_lead.post(add, TYPED | {"name": name})

    assert response.status_code == 422
    assert "already; give this one another name." in response.content.decode()


def test_a_room_keeps_its_own_name(as_lead, room):
    response = as_lead.post(reverse("sites:room", args=[room.pk]), TYPED | {"name": "Theatre 1"})

    assert response.status_code == 302


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"name": ""}, "This field is required"),
        ({"volume_m3": "0"}, "must be between 1 and 100000 m³"),
        ({"volume_m3": "60 m2"}, "is not a unit of room volume"),
        ({"air_changes_per_h": "-1"}, "must be between 0 and 100 /h"),
        ({"temperature_k": "300"}, "must be between -20 and 50 °C"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(as_lead, add, changes, sentence):
    response = as_lead.post(add, TYPED | changes)

    assert response.status_code == 422
    assert sentence in response.content.decode()
    assert not Room.objects.exists()


def test_a_room_of_another_site_is_not_there(as_stranger, room):
    address = reverse("sites:room", args=[room.pk])

    assert as_stranger.get(address).status_code == 404
    assert as_stranger.post(address, TYPED).status_code == 404


@pytest.mark.parametrize("who", ["as_viewer", "as_operator"])
def test_too_small_a_role_changes_no_room(request, add, room, who):
    client = request.getfixturevalue(who)

    assert client.get(add).status_code == 403
    assert client.post(reverse("sites:room", args=[room.pk]), TYPED).status_code == 403


def test_the_list_is_only_read(as_lead, rooms):
    assert as_lead.post(rooms).status_code == 405
