"""What stands around every page: policy, skip link, caution, navigation, errors."""

import re

import pytest
from django.test import Client, RequestFactory
from django.urls import reverse
from django.views.defaults import server_error

from ullage.answers import CAUTION_LINE
from ullage.web.shared.context import places

pytestmark = [pytest.mark.web, pytest.mark.django_db]


@pytest.fixture
def page(as_lead):
    return as_lead.get(reverse("sites:settings"))


def test_the_policy_allows_nothing_inline_and_nobody_else(page):
    policy = page["Content-Security-Policy"]

    assert "default-src 'none'" in policy
    assert "script-src 'self'" in policy
    assert "style-src 'self'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "unsafe" not in policy
    assert page["X-Frame-Options"] == "DENY"
    assert page["X-Content-Type-Options"] == "nosniff"


def test_a_page_holds_no_style_and_no_script_of_its_own(page):
    shown = page.content.decode()

    assert not re.search(r"<[^>]+\sstyle=", shown)
    assert not re.search(r"<[^>]+\son\w+=", shown)
    assert not re.search(r"<script(?![^>]*\bsrc=)", shown)
    assert not re.search(r'(?:src|href)="(?:https?:)?//', shown)


def test_the_skip_link_comes_first_and_leads_to_the_content(page):
    shown = page.content.decode()

    assert re.search(r"<a [^>]*>", shown[shown.index("<body") :])[0] == (
        '<a class="skip" href="#main">'
    )
    assert '<main id="main"' in shown


def test_caution_and_site_stand_at_the_foot(page):
    foot = page.content.decode().split("<footer")[1]

    assert CAUTION_LINE in foot
    assert "Fennel Lane · gas colours: ISO 32 · pressure in bar" in foot


def test_the_page_that_is_open_is_marked_once_in_each_navigation(page):
    shown = page.content.decode()

    assert shown.count('aria-current="page">Settings') == 1


def test_the_navigation_names_only_pages_that_exist():
    found = places((("Settings", "settings", "sites:settings"), ("Nothing", "x", "no:page")), "/")

    assert [one.label for one in found] == ["Settings"]


@pytest.mark.parametrize(
    ("path", "here"), [("/", "Front"), ("/settings/place/", "Settings"), ("/else/", None)]
)
def test_a_page_below_an_entry_marks_that_entry(path, here):
    entries = (("Front", "x", "days:today"), ("Settings", "x", "sites:settings"))
    marked = [one.label for one in places(entries, path) if one.is_here]

    assert marked == ([here] if here else [])


def test_a_page_that_is_not_there_keeps_the_way_round(as_lead):
    response = as_lead.get("/no/such/page/")
    shown = response.content.decode()

    assert response.status_code == 404
    assert "There is nothing here" in shown
    assert CAUTION_LINE in shown
    assert "Settings" in shown


def test_a_stranger_to_the_door_sees_no_way_round(client):
    shown = client.get("/no/such/page/").content.decode()

    assert "There is nothing here" in shown
    assert 'aria-label="Main"' not in shown


def test_what_breaks_on_our_side_says_that_nothing_saved_is_lost():
    response = server_error(RequestFactory().get("/"))
    shown = response.content.decode()

    assert response.status_code == 500
    assert "Nothing you saved before is lost." in shown
    assert CAUTION_LINE in shown


def test_a_form_without_its_token_says_what_to_do(lead):
    client = Client(enforce_csrf_checks=True)
    client.force_login(lead)

    response = client.post(reverse("sites:choose"), {"site": "x"})

    assert response.status_code == 403
    assert "This form was too old to send" in response.content.decode()


def test_a_name_that_the_site_does_not_answer_to(client):
    assert client.get("/", headers={"host": "elsewhere.example"}).status_code == 400


def test_each_request_starts_without_the_clock_of_another_site(as_lead, site, client):
    from django.utils import timezone

    site.time_zone = "Asia/Tokyo"
    site.save()
    as_lead.get(reverse("sites:more"))

    assert timezone.get_current_timezone_name() == "UTC"
