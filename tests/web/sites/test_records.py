"""What a site sets for its records: kept with its reason, shown beside every published rule."""

import pytest
from django.urls import reverse

from ullage.answers.record.intervals import Phase
from ullage.answers.record.site_rules import rules_read
from ullage.web.sites.models import SiteChange

pytestmark = [pytest.mark.web, pytest.mark.django_db]

URL = reverse("sites:section", args=["records"])
BASE = {"reason": "Meeting of January."}


def save(client, **typed):
    return client.post(URL, {**BASE, **typed})


def test_an_interval_is_kept_with_its_reason_and_counts(as_lead, site):
    typed = {"interval_species": "sheep", "interval_phase": "recovery"}
    reply = save(as_lead, **typed, interval_minutes="5", interval_why="until it stands")
    assert reply.status_code == 302
    site.refresh_from_db()
    rules = rules_read(site.record_rules)
    assert rules.interval("sheep", Phase.RECOVERY).minutes == 5.0
    assert rules.interval("cat", Phase.RECOVERY) is None
    change = SiteChange.objects.get()
    assert (change.section, change.reason) == ("records", "Meeting of January.")
    shown = as_lead.get(URL + "?species=sheep").content.decode()
    assert "“Meeting of January.”" in shown
    assert "This site: until it stands" in shown
    assert "UW-Madison" in shown


def test_half_a_rule_is_none(as_lead, site):
    reply = save(as_lead, interval_species="sheep", interval_minutes="5")
    assert reply.status_code == 422
    assert "Needed to set this rule" in reply.content.decode()
    site.refresh_from_db()
    assert site.record_rules == {}


def test_a_change_without_a_reason_is_refused(as_lead, site):
    reply = as_lead.post(URL, {"groups": "on"})
    assert reply.status_code == 422
    assert "Say why; the reason is kept" in reply.content.decode()


def test_the_recovery_of_a_species_is_the_sites_own(as_lead, site):
    reply = save(
        as_lead,
        recovery_species="sheep",
        recovery_without=["walks"],
        recovery_own="It stands by itself.\nIt chews the cud.",
        recovery_temperature_k="38",
        recovery_why="rule 9",
    )
    assert reply.status_code == 302, reply.content.decode()
    site.refresh_from_db()
    keys = [one.key for one in rules_read(site.record_rules).steps("sheep")]
    assert "walks" not in keys
    assert keys[-3:] == ["temperature", "own_1", "own_2"]
    assert "walks" in [one.key for one in rules_read(site.record_rules).steps("goat")]


def test_a_rule_is_given_up_again(as_lead, site):
    typed = {"protocol_number": "S-14", "protocol_minutes": "5", "protocol_why": "item 7"}
    assert save(as_lead, **typed).status_code == 302
    site.refresh_from_db()
    assert rules_read(site.record_rules).interval("pig", Phase.ANAESTHESIA, "S-14").minutes == 5.0
    assert save(as_lead, give_up=["protocols|S-14"]).status_code == 302
    site.refresh_from_db()
    assert rules_read(site.record_rules).protocols == {}


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"late_after_min": "-3"}, "must be between 1 and 240"),
        ({"late_after_min": "nan"}, "late_after_min"),
        ({"own_years": "0"}, "own_years"),
        ({"own_years": "1e9"}, "own_years"),
        ({"keeping": ["moon"]}, "keeping"),
        ({"recovery_temperature_k": "4000"}, "must be between 20 and 45"),
    ],
)
def test_what_cannot_be_is_said_and_nothing_is_kept(as_lead, site, typed, said):
    reply = save(as_lead, **typed)
    assert reply.status_code == 422
    assert said in reply.content.decode()
    site.refresh_from_db()
    assert site.record_rules == {}


def test_an_operator_sees_the_rules_and_does_not_change_them(as_operator):
    assert as_operator.get(URL).status_code == 403
    assert "Records" in as_operator.get(reverse("sites:settings")).content.decode()
