"""The calendar: read by a parser that did not write it, at an address that can be revoked."""

import re
from datetime import date, timedelta

import pytest
import vobject
from django.test import Client

from ullage.web.service.models import CalendarAddress
from ullage.web.service.services import address_make, address_revoke
from ullage.web.sites.models import Membership

pytestmark = pytest.mark.web


@pytest.fixture
def secret(site, lead):
    return address_make(site=site, name="Workshop tablet", by=lead)[1]


def read(secret: str):
    """The calendar as another library reads it, by somebody who is not signed in."""
    reply = Client().get(f"/service/calendar/{secret}.ics")
    assert reply.status_code == 200
    return reply, vobject.readOne(reply.content.decode())


def test_another_parser_reads_what_is_due(secret, vaporizer, hose, machine, done, today):
    vaporizer.name = "Iso; the old, heavy one\\with a long name ünd Umlauts"
    vaporizer.save()
    done(vaporizer, "output_test", 300, facts={})
    reply, whole = read(secret)
    found = {one.uid.value: one for one in whole.vevent_list}

    assert reply["Content-Type"] == "text/calendar; charset=utf-8"
    assert set(found) == {
        f"{vaporizer.code}.output_test@ullage.invalid",
        f"{hose.code}.replacement@ullage.invalid",
    }
    test = found[f"{vaporizer.code}.output_test@ullage.invalid"]
    assert test.dtstart.value == today + timedelta(days=65)
    assert test.dtend.value == today + timedelta(days=66)
    assert test.summary.value == f"Output test: {vaporizer.name} (Wren)"
    on = today + timedelta(days=65)
    assert test.description.value.startswith(f"Due on {on.day} {on:%B %Y}.\n")
    assert "Decision support" in test.description.value
    assert test.valarm.trigger.value == timedelta(days=-7)
    late = found[f"{hose.code}.replacement@ullage.invalid"]
    assert late.summary.value.startswith("Overdue. ")
    assert isinstance(late.dtstart.value, date)


def test_it_keeps_to_the_rules_of_rfc_5545(secret, vaporizer, hose, done):
    done(vaporizer, "output_test", 300, facts={})
    reply, whole = read(secret)
    text = reply.content.decode()

    # RFC 5545 3.1: lines end in CRLF and are no longer than 75 octets; 3.6: PRODID and VERSION
    # once; 3.6.1: every entry has UID, DTSTAMP in UTC and DTSTART.
    lines = text.split("\r\n")
    assert lines[-1] == ""
    assert not [one for one in lines if "\n" in one or len(one.encode()) > 75]
    assert text.count("VERSION:2.0\r\n") == 1
    assert len(re.findall(r"^PRODID:", text, re.MULTILINE)) == 1
    assert len(re.findall(r"^DTSTAMP:\d{8}T\d{6}Z\r$", text, re.MULTILINE)) == 2
    for one in whole.vevent_list:
        one.validate(raiseException=True)
    assert whole.validate(raiseException=True)


def test_an_id_stays_when_its_date_moves(secret, vaporizer, done, today):
    done(vaporizer, "output_test", 300, facts={})
    before = read(secret)[1].vevent
    done(vaporizer, "output_test", 0, facts={})
    after = read(secret)[1].vevent

    assert after.uid.value == before.uid.value
    assert after.dtstart.value == before.dtstart.value + timedelta(days=300)


def test_without_anything_due_it_is_still_a_calendar(secret):
    reply, whole = read(secret)

    assert whole.name == "VCALENDAR"
    assert b"BEGIN:VEVENT" not in reply.content


def test_only_a_hash_of_the_secret_is_kept(secret):
    row = CalendarAddress.objects.get()

    assert len(secret) >= 43
    assert secret not in str(CalendarAddress.objects.values().get())
    assert len(row.secret_hash) == 64


def test_a_revoked_address_leads_nowhere_at_once(secret, lead):
    address_revoke(address=CalendarAddress.objects.get(), by=lead)

    assert Client().get(f"/service/calendar/{secret}.ics").status_code == 404


@pytest.mark.parametrize("wrong", ["x", "a" * 43, "..%2F..%2Fetc", "é"])
def test_a_wrong_secret_leads_nowhere(secret, wrong):
    assert Client().get(f"/service/calendar/{wrong}.ics").status_code == 404


def test_it_dies_with_the_membership_of_who_made_it(secret, lead):
    Membership.objects.filter(user=lead).delete()

    assert Client().get(f"/service/calendar/{secret}.ics").status_code == 404


def test_it_dies_when_its_maker_may_no_longer_sign_in(secret, lead):
    lead.is_active = False
    lead.save()

    assert Client().get(f"/service/calendar/{secret}.ics").status_code == 404


def test_it_shows_its_own_site_alone_and_is_not_kept_between(secret, other_part, done):
    done(other_part, "output_test", 300, facts={})
    reply, _ = read(secret)

    assert b"Theirs" not in reply.content
    assert "no-store" in reply["Cache-Control"]
    assert reply["Referrer-Policy"] == "no-referrer"
    assert "sessionid" not in reply.cookies


def test_the_address_is_shown_once(as_lead):
    first = as_lead.post("/service/calendar/", {"name": "Workshop tablet"}).content.decode()
    again = as_lead.get("/service/calendar/").content.decode()

    found = re.search(r"/service/calendar/([\w-]{43})\.ics", first)
    assert found
    assert read(found[1])
    assert found[1] not in again
    assert "Workshop tablet" in again


def test_a_stranger_revokes_nothing(as_stranger, secret):
    address = CalendarAddress.objects.get()

    assert as_stranger.post(f"/service/calendar/{address.code}/revoke/").status_code == 404
    address.refresh_from_db()
    assert address.revoked_at is None


def test_a_calendar_may_ask_for_the_head_alone_and_write_nothing(secret):
    client = Client()

    assert client.head(f"/service/calendar/{secret}.ics").status_code == 200
    assert client.post(f"/service/calendar/{secret}.ics").status_code == 405
