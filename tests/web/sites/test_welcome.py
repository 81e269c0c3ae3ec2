"""The first day of a site: one next step at a time."""

import pytest
from django.urls import reverse

pytestmark = [pytest.mark.web, pytest.mark.django_db]


@pytest.fixture
def welcome():
    return reverse("sites:welcome")


def test_first_comes_a_machine(as_lead, welcome):
    shown = as_lead.get(welcome).content.decode()

    assert "Nothing is known yet" in shown
    assert reverse("machines:add") in shown


def test_then_its_cylinder(as_lead, machine, welcome):
    shown = as_lead.get(welcome).content.decode()

    assert "Add its cylinder" in shown
    assert reverse("machines:add") not in shown


def test_who_may_only_look_is_not_sent_to_what_is_closed(as_viewer, welcome):
    assert reverse("machines:add") not in as_viewer.get(welcome).content.decode()


def test_a_stranger_sees_the_first_day_of_their_own_site(as_stranger, site, welcome):
    assert "High Saddle" in as_stranger.get(welcome).content.decode()
