"""Settings, Anaesthesia: what a site aims at, its flows, and its own values with their reasons."""

import pytest
from django.urls import reverse

from ullage.web.sites.models import SiteChange

pytestmark = pytest.mark.web

URL = reverse("sites:section", args=["anaesthesia"])
OWN_MAC = {
    "mac_species": "cat",
    "mac_agent": "isoflurane",
    "mac_value": "1.5",
    "mac_reason": "Our own study.",
}


def test_a_site_that_has_set_nothing_is_told_so(as_lead):
    page = as_lead.get(reverse("sites:settings")).content.decode()

    assert "Your site has not set a multiple of MAC; a lead sets it here." in page


def test_the_form_starts_empty(as_lead):
    page = as_lead.get(URL).content.decode()

    assert 'name="target_mac" maxlength="40" autocomplete="off"' in page
    assert 'value="1' not in page


def test_what_is_set_is_kept_with_who_and_before_and_after(as_lead, site, lead):
    as_lead.post(URL, {"target_mac": "1.2", "flow_circle_hold_l_min_kg": "30"})
    as_lead.post(URL, {"target_mac": "1.3", "flow_circle_hold_l_min_kg": "30"})

    site.refresh_from_db()
    assert (site.target_mac, site.flow_circle_hold_l_min_kg) == (1.3, pytest.approx(0.03))
    last = SiteChange.objects.first()
    assert (last.section, last.by, last.before) == ("anaesthesia", lead, {"target_mac": 1.2})
    page = as_lead.get(URL).content.decode()
    assert "Aim at this multiple of MAC: <del>1.20</del> <b>1.30</b>" in page or (
        "Aim at this multiple of MAC: <del>1.2</del> <b>1.3</b>" in page
    )


def test_an_own_value_is_kept_with_its_reason_and_can_be_given_up(as_lead, site):
    as_lead.post(URL, OWN_MAC)
    site.refresh_from_db()

    assert site.mac_overrides == {
        "cat, isoflurane": {"value": pytest.approx(0.015), "reason": "Our own study."}
    }
    words = "cat: MAC of isoflurane 1.5 %. Why: Our own study."
    assert words in as_lead.get(reverse("sites:settings")).content.decode()
    as_lead.post(URL, {"give_up": ["cat, isoflurane"]})
    site.refresh_from_db()
    assert site.mac_overrides == {}
    assert words in as_lead.get(URL).content.decode()


def test_a_value_for_one_kilogram_is_kept_as_it_is_typed(as_lead, site):
    typed = {
        "value_species": "cat",
        "value_name": "tidal_l",
        "value_number": "9",
        "value_reason": "Measured here.",
    }
    as_lead.post(URL, typed)
    site.refresh_from_db()

    assert site.value_overrides["cat, tidal_l"] == {"value": 9.0, "reason": "Measured here."}


@pytest.mark.parametrize("left_out", ["mac_reason", "mac_value", "mac_agent"])
def test_half_a_value_is_refused(as_lead, site, left_out):
    reply = as_lead.post(URL, {**OWN_MAC, left_out: ""})

    site.refresh_from_db()
    assert reply.status_code == 422
    assert "Needed to add a value; its reason is kept with it." in reply.content.decode()
    assert site.mac_overrides == {}


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"target_mac": "12"}, "must be between 0.1 and 3"),
        ({"target_mac": "-1"}, "must be between 0.1 and 3"),
        ({"target_mac": "nan"}, "nan"),
        ({"circle_from_kg": "4 bar"}, "4 bar"),
        ({"value_number": "1e999"}, "Enter a number"),
        (
            {
                "value_species": "cat",
                "value_name": "tidal_l",
                "value_number": "9000",
                "value_reason": "A slip.",
            },
            "9000 mL/kg is more than any animal has",
        ),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(as_lead, typed, sentence):
    reply = as_lead.post(URL, typed)

    assert reply.status_code == 422
    assert sentence in reply.content.decode()


def test_an_operator_may_not_set_it(as_operator):
    assert as_operator.get(URL).status_code == 403
    assert as_operator.post(URL, {"target_mac": "1.2"}).status_code == 403
