"""The queue over HTTP: what is taken, what is kept aside, what waits, and that each is said."""

import json
from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pytest
from django.test import Client
from django.utils import timezone

from tests.web.api.device import Device, worded
from ullage.answers.record.things import entries_now
from ullage.web.accounts.models import Sitting
from ullage.web.cases.models import CaseState, Line, NotTaken, Tablet, Why
from ullage.web.cases.selectors import lines_of
from ullage.web.cases.services import epoch_renew, state_write, tablet_revoke
from ullage.web.sites.models import Membership, Role

pytestmark = [pytest.mark.web, pytest.mark.django_db]


def outcomes(reply) -> list[str]:
    assert reply.status_code == 200, reply.content
    return [one["outcome"] for one in reply.json()["results"]]


def why() -> str:
    return NotTaken.objects.get().why


def test_an_entry_is_taken_once_and_acknowledged_again(device, record):
    word = worded(record.code)
    first, again = device.send(word), device.send(word)

    assert (outcomes(first), outcomes(again)) == (["taken"], ["again"])
    assert first.json()["results"][0]["id"] == json.loads(word)["id"]
    assert first.json()["results"][0]["order"] == again.json()["results"][0]["order"]
    assert first.json()["epoch"] == again.json()["epoch"]
    assert Line.objects.filter(kind="entry").count() == 1


def test_number_and_unit_are_read_from_what_was_typed(device, record):
    device.send(worded(record.code, what="cuff_mean", typed="62 mmHg"))

    found = entries_now(lines_of(record))[0]
    assert (found.typed, found.number, found.unit) == ("62 mmHg", "62", "mm[Hg]")
    assert found.author == "Otto Reads (otto)"


def test_an_odd_value_is_taken_and_asked_about(device, record):
    reply = device.send(worded(record.code, typed="12"))

    assert outcomes(reply) == ["taken"]
    assert reply.json()["results"][0]["asks"].startswith("Is 12 /min what was meant?")


def test_a_correction_may_come_with_the_entry_that_it_corrects(device, record):
    word = worded(record.code, typed="12")
    now = datetime.now(UTC).isoformat()
    said = {
        "format": 1, "line": "amendment", "record": str(record.code), "id": str(uuid4()),
        "of": json.loads(word)["id"], "reason": "digit missing", "typed": "120", "written": now,
    }  # fmt: skip

    assert outcomes(device.send(word, json.dumps(said))) == ["taken", "taken"]
    assert [one.number for one in entries_now(lines_of(record))] == ["120"]


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({"typed": "120 kPa"}, "'kPa' is not one of /min"),
        ({"what": "aura"}, "'aura' is not observed here"),
        ({"what": "temperature_rectal", "typed": "37 cEL/s"}, "'cEL/s' is not one of Cel"),
        ({"typed": "NaN"}, "is no number with a unit"),
        ({"typed": "1e9"}, "is not one of"),
        ({"typed": ""}, "is no number with a unit"),
        ({"typed": "9" * 41}, "is no number with a unit"),
        ({"typed": 120}, "typed of an entry is text"),
        ({"kind": "mood"}, "is no kind of entry"),
        ({"kind": "gas"}, "is no measured gas"),
        ({"format": 2}, "worded in format 1"),
        ({"line": "signature"}, "Only entries and amendments"),
        ({"colour": "red"}, "Missing or unknown in the entry: colour"),
        ({"observed": "yesterday"}, "is no time"),
        ({"observed": "2026-06-08T09:00:00"}, "needs its zone"),
        ({"observed": "0001-01-01T00:00:00+14:00"}, "is no time"),
        ({"observed": "9999-12-31T23:59:59Z"}, "seen after it was received"),
        ({"details": {"dose": 3}}, "hold text by name"),
        ({"offset_s": "soon"}, "offset of a clock"),
        ({"offset_s": "999999999"}, "offset_s is"),
        ({"author_confirmed": "yes"}, "true or false"),
        ({"id": "first"}, "no id of its own"),
        ({"kind": "drug", "what": "ketamine"}, "how much was given"),
        ({"kind": "text", "what": "", "typed": "half a \ud800"}, "half a character"),
        ({"kind": "text", "what": "", "typed": "a" * 17_000}, "longer than 16 kB"),
    ],
)
def test_what_no_entry_can_be_is_kept_with_a_sentence(device, record, said, sentence):
    word = json.dumps({**json.loads(worded(record.code)), **said})
    reply = device.send(word)

    assert outcomes(reply) == ["kept"]
    assert sentence in reply.json()["results"][0]["says"]
    kept = NotTaken.objects.get()
    assert (kept.sent, kept.why) == (word, Why.IMPOSSIBLE)
    assert kept.record == record


@pytest.mark.parametrize(
    "word",
    ["", "[", "null", "7", '"a"', "{}", "[" * 9000, '{"a":NaN}', '{"a":1,"a":2}', "\x00\ud800"],
)
def test_what_cannot_be_parsed_is_kept_word_for_word(device, record, word):
    good = worded(record.code)
    reply = device.send(word, good)

    assert outcomes(reply) == ["kept", "taken"]
    kept = NotTaken.objects.get()
    assert kept.sent == word.replace("\x00", "\\u0000").replace("\ud800", "\\ud800")
    assert outcomes(device.send(word)) == ["kept"]
    assert NotTaken.objects.count() == 1


def test_a_case_of_another_site_and_one_that_is_not_there_look_alike(
    device, record, stranger, client_of
):
    Membership.objects.filter(user=stranger).update(role=Role.OPERATOR)
    away = Device(client=client_of(stranger)).ask()
    foreign, none = away.send(worded(record.code)), away.send(worded(uuid4()))

    assert outcomes(foreign) == outcomes(none) == ["kept"]
    assert [one.json()["results"][0]["says"] for one in (foreign, none)] == [
        "Its case is not at this site. The entry is kept; a lead decides."
    ] * 2
    for kept in NotTaken.objects.all():
        assert (kept.site.name, kept.record, kept.why) == ("High Saddle", None, Why.WRONG_CASE)
    assert not Line.objects.filter(kind="entry").exists()


def test_an_entry_of_a_closed_case_waits_for_a_lead(device, record, operator):
    state_write(record=record, to=CaseState.CLOSED, by=operator)

    assert outcomes(device.send(worded(record.code))) == ["kept"]
    assert why() == Why.CLOSED


def test_the_same_id_with_other_content_is_kept_beside(device, record):
    code = str(uuid4())
    words = [worded(record.code, id=code, typed=typed) for typed in ("120", "121")]

    assert outcomes(device.send(*words)) == ["taken", "kept"]
    assert why() == Why.OTHER


def test_what_was_kept_stays_kept_when_the_role_comes_back(device, record, operator):
    word = worded(record.code)
    Membership.objects.filter(user=operator).update(role=Role.VIEWER)
    assert outcomes(device.send(word)) == ["kept"]
    Membership.objects.filter(user=operator).update(role=Role.OPERATOR)

    assert outcomes(device.send(word)) == ["kept"]
    assert why() == Why.ROLE
    assert not Line.objects.filter(kind="entry").exists()


def test_a_later_sign_in_cannot_become_the_author(enrolled, record, lead, client_of):
    word = worded(record.code)
    enrolled.client = client_of(lead)

    assert outcomes(enrolled.send(word)) == ["taken"]
    assert entries_now(lines_of(record))[0].author == "Otto Reads (otto)"


def test_without_signature_nobody_sends_for_another(device, record, lead, client_of):
    device.client = client_of(lead)

    assert outcomes(device.send(worded(record.code))) == ["kept"]
    assert why() == Why.AUTHOR


def test_a_line_without_ticket_is_of_whom_the_page_was_made_for(device, record):
    own = worded(record.code, by="otto")
    other = worded(record.code, by="lena")

    assert outcomes(device.send(own, other, ticket="")) == ["taken", "kept"]
    assert why() == Why.AUTHOR


def test_the_session_may_be_gone_where_the_tablet_signed(alone, record):
    assert outcomes(alone.send(worded(record.code))) == ["taken"]
    row = Line.objects.get(kind="entry")
    assert str(row.tablet.code) == alone.tablet
    assert Tablet.objects.get().seen_at is not None


def test_without_session_and_signature_nothing_is_kept_and_it_is_said(device, record):
    device.client = Client()
    reply = device.send(worded(record.code))

    assert reply.status_code == 401
    assert reply.json()["says"].startswith("Sign in to share these entries")
    assert not NotTaken.objects.exists()


def test_without_session_a_line_with_a_wrong_signature_waits_and_hinders_no_other(alone, record):
    good, forged = worded(record.code), worded(record.code)
    lines = [alone.line(forged, signature=alone.signed(good)), alone.line(good)]

    assert outcomes(alone.post_lines(lines)) == ["waits", "taken"]
    assert not NotTaken.objects.exists()


def test_in_a_session_a_line_with_a_wrong_signature_is_kept(enrolled, record):
    line = enrolled.line(worded(record.code), signature=enrolled.signed("something else"))

    assert outcomes(enrolled.post_lines([line])) == ["kept"]
    assert why() == Why.TABLET


def test_what_a_revoked_tablet_signs_is_kept(alone, record, lead):
    tablet_revoke(tablet=Tablet.objects.get(), reason="Lost on the ward.", by=lead)

    assert outcomes(alone.send(worded(record.code))) == ["kept"]
    assert why() == Why.TABLET


def test_a_tablet_of_another_site_reaches_no_case_here(
    alone, record, other_site, person, client_of
):
    both = person("Bea Both", other_site, Role.OPERATOR)
    Membership.objects.create(user=both, site=record.site, role=Role.OPERATOR)
    away = Device(client=client_of(both)).enrol("Saddle 1").ask()
    away.client = Client()

    assert outcomes(away.send(worded(record.code))) == ["kept"]
    kept = NotTaken.objects.get()
    assert (kept.why, kept.site) == (Why.WRONG_CASE, other_site)


@pytest.mark.parametrize("hours", [-2, 14, 24 * 70])
def test_what_was_written_outside_the_ticket_has_no_proved_author(enrolled, record, hours):
    at = (datetime.now(UTC) + timedelta(hours=hours)).isoformat()

    assert outcomes(enrolled.send(worded(record.code, written=at))) == ["kept"]
    assert why() == Why.AUTHOR


def test_a_clock_that_runs_ahead_is_set_right_by_its_offset(enrolled, record):
    ahead = timedelta(days=400)
    at = (datetime.now(UTC) + ahead).isoformat()
    word = worded(record.code, written=at, offset_s=f"{ahead.total_seconds():.3f}")
    enrolled.ahead = ahead
    unmeasured = worded(record.code, written=at)

    assert outcomes(enrolled.send(word, unmeasured)) == ["taken", "taken"]


@pytest.mark.parametrize("ticket", ["x", "a:b:c", "9" * 3000, "\ud800"])
def test_a_ticket_of_nobody_proves_nothing(enrolled, record, ticket):
    line = {**enrolled.line(worded(record.code, by="otto")), "ticket": ticket}
    reply = enrolled.post("queue", json.dumps({"tablet": enrolled.tablet, "lines": [line]}))

    assert outcomes(reply) == ["kept"]
    assert why() == Why.AUTHOR


def test_while_the_pad_was_locked_the_author_is_to_confirm(alone, record):
    assert outcomes(alone.send(worded(record.code, author_confirmed=False))) == ["taken"]
    found = entries_now(lines_of(record))[0]
    assert (found.author, found.author_confirmed) == ("Otto Reads (otto)", False)
    assert outcomes(alone.send(worded(record.code, author_confirmed=False), ticket="")) == ["kept"]


def test_a_session_needs_its_token(enrolled, record, operator):
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(operator)
    enrolled.client = strict
    reply = enrolled.send(worded(record.code))

    assert reply.status_code == 403
    assert "csrftoken" in reply.json()["says"]
    assert not Line.objects.filter(kind="entry").exists()


def test_fifty_entries_go_in_one_request_and_no_more(device, record):
    words = [worded(record.code, typed=str(100 + one)) for one in range(50)]

    assert outcomes(device.send(*words)) == ["taken"] * 50
    orders = [one.order for one in lines_of(record) if getattr(one, "typed", "")]
    assert orders == list(range(3, 53))
    assert device.send(*words, worded(record.code)).status_code == 422


def test_too_large_a_request_is_refused_with_a_sentence(device, record):
    reply = device.send(*[worded(record.code, typed="a" * 80_000) for _ in range(40)])

    assert reply.status_code == 413
    assert reply.json()["says"] == "The request is too large; send fewer entries in one."
    assert not NotTaken.objects.exists()


def test_a_restored_database_has_another_name(device):
    before = device.client.get("/api/epoch/").json()["epoch"]
    assert device.client.get("/api/epoch/").json()["epoch"] == before
    epoch_renew(reason="Restored.")

    assert device.send().json()["epoch"] != before


def test_behind_the_lock_the_signature_of_the_tablet_counts_alone(enrolled, record):
    unsigned = enrolled.line(worded(record.code, by="otto"), signature="")
    lines = [enrolled.line(worded(record.code)), unsigned]
    Sitting.objects.update(locked_at=timezone.now())

    assert outcomes(enrolled.post_lines(lines)) == ["taken", "waits"]
    for where in ("epoch", "records"):
        reply = enrolled.client.get(f"/api/{where}/", headers={"Accept": "application/json"})
        assert (reply.status_code, reply.json()["says"]) == (
            423,
            "The screen is locked. Unlock it first.",
        )


def test_when_the_session_is_over_the_signature_of_the_tablet_counts_alone(enrolled, record):
    Sitting.objects.update(began_at=timezone.now() - timedelta(days=30))

    assert outcomes(enrolled.send(worded(record.code))) == ["taken"]
    assert enrolled.client.get("/api/epoch/").status_code == 401
