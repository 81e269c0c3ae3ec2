"""The page of everything that has no tab, and the choice of site."""

import pytest
from django.urls import reverse

from ullage.answers import CAUTION_LINE
from ullage.web.sites.models import Membership

pytestmark = pytest.mark.web


@pytest.fixture
def more():
    return reverse("sites:more")


def test_more_names_the_site_the_role_and_the_caution(as_viewer, more):
    page = as_viewer.get(more).content.decode()

    assert "Fennel Lane" in page
    assert "Viewer: may look" in page
    assert CAUTION_LINE in page


def test_who_is_not_signed_in_is_led_to_the_door(client, more):
    response = client.get(more)

    assert response.status_code == 302
    assert response["Location"].startswith(reverse("account_login"))


def test_htmx_loads_the_sign_in_page_whole(client, more):
    response = client.get(more, headers={"HX-Request": "true"})

    assert response["HX-Redirect"].startswith(reverse("account_login"))


def test_who_belongs_to_no_site_finds_nothing(client_of, person, more):
    assert client_of(person("Nora Nowhere")).get(more).status_code == 404


def test_more_is_only_read(as_viewer, more):
    assert as_viewer.post(more).status_code == 405


def test_a_person_of_two_sites_goes_over_to_the_other(as_viewer, viewer, other_site, more):
    Membership.objects.create(user=viewer, site=other_site, role="lead")

    response = as_viewer.post(reverse("sites:choose"), {"site": str(other_site.code)})

    assert response.status_code == 302
    assert "pressure in psi" in as_viewer.get(more).content.decode()


def test_a_site_of_others_cannot_be_chosen(as_viewer, other_site, more):
    as_viewer.post(reverse("sites:choose"), {"site": str(other_site.code)})

    page = as_viewer.get(more).content.decode()
    assert "You do not belong to that site." in page
    assert "High Saddle" not in page
