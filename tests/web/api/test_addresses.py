"""Each address for programs: who may, what strangers and small roles get, what it wears."""

from uuid import uuid4

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import get_resolver
from django.utils import timezone

from tests.web.api.device import Device, worded
from ullage.web.accounts.models import User
from ullage.web.cases.models import CaseState, Line, NotTaken, Tablet
from ullage.web.cases.services import state_write, tablet_revoke

pytestmark = [pytest.mark.web, pytest.mark.django_db]

READS = {
    "api:epoch": "/api/epoch/",
    "api:records": "/api/records/",
    "api:record": "/api/records/{code}/",
    "api:lines": "/api/records/{code}/lines/",
    "api:now": "/api/records/{code}/now/",
}
WRITES = {
    "api:queue": ("/api/queue/", {"lines": []}),
    "api:ticket": ("/api/ticket/", {}),
    "api:tablet": ("/api/tablet/", {"name": "Table 1", "public_key": {}}),
}
#: Neither holds anything of a site.
OPEN = {"api:openapi-json", "api:api-root"}
ABOUT_ONE = ("api:record", "api:lines", "api:now")

each_read = pytest.mark.parametrize("name", READS)
each_write = pytest.mark.parametrize("name", WRITES)


def read(client: Client, name: str, record):
    return client.get(READS[name].format(code=record.code))


def write(client: Client, name: str):
    where, said = WRITES[name]
    return client.post(where, said, content_type="application/json")


def said(reply) -> str:
    assert reply["Content-Type"].startswith("application/json")
    return reply.json()["says"]


def test_no_address_is_missing_here():
    found = get_resolver().namespace_dict["api"][1]
    assert {f"api:{name}" for name in found.reverse_dict if isinstance(name, str)} == {
        *READS,
        *WRITES,
        *OPEN,
    }


@each_read
def test_whoever_belongs_to_the_site_reads(name, record, as_viewer):
    reply = read(as_viewer, name, record)
    assert reply.status_code == 200
    assert "no-store" in reply["Cache-Control"]
    assert "Cookie" in reply["Vary"]
    assert "default-src 'none'" in reply["Content-Security-Policy"]
    assert reply["X-Content-Type-Options"] == "nosniff"


@each_read
def test_nobody_is_told_to_sign_in(name, record, client):
    reply = read(client, name, record)
    assert (reply.status_code, said(reply)) == (401, "Sign in first.")


@each_write
def test_nobody_writes(name, client):
    reply = write(client, name)
    assert reply.status_code == 401
    assert said(reply).startswith("Sign in")


@pytest.mark.parametrize("name", ABOUT_ONE)
def test_a_stranger_finds_no_record_of_this_site(name, record, as_stranger):
    away = read(as_stranger, name, record)
    none = as_stranger.get(READS[name].format(code=uuid4()))
    assert away.status_code == none.status_code == 404
    assert said(away) == said(none) == "There is nothing here that you may see."


def test_a_stranger_sees_their_own_records_alone(record, as_stranger):
    reply = read(as_stranger, "api:records", record)
    assert reply.json() == {"site": "High Saddle", "records": [], "more": False}


@pytest.mark.parametrize("name", ["api:ticket", "api:tablet"])
def test_a_viewer_gets_neither_ticket_nor_key(name, as_viewer):
    reply = write(as_viewer, name)
    assert reply.status_code == 403
    assert "An operator, a lead or a veterinarian can" in said(reply)
    assert not Tablet.objects.exists()


@each_write
def test_a_session_without_its_token_writes_nothing(name, operator):
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(operator)
    reply = write(strict, name)
    assert reply.status_code == 403
    assert "csrftoken" in said(reply)


@pytest.mark.parametrize("name", [*READS, *WRITES])
def test_a_one_time_password_opens_nothing(name, record, as_operator):
    User.objects.update(one_time_until=timezone.now() + timezone.timedelta(days=1))
    reply = read(as_operator, name, record) if name in READS else write(as_operator, name)
    assert reply.status_code == 401


def test_who_belongs_to_no_site_is_told_so(person, client_of):
    client = client_of(person("Nora Nowhere"))
    assert client.get("/api/records/").status_code == 404
    reply = client.post("/api/queue/", {"lines": []}, content_type="application/json")
    assert (reply.status_code, said(reply)) == (
        403,
        "You belong to no site; ask a lead to add you.",
    )


@pytest.mark.parametrize("name", [*READS, *WRITES])
def test_a_method_that_it_does_not_know_is_refused(name, record, as_lead):
    where = WRITES[name][0] if name in WRITES else READS[name].format(code=record.code)
    other = as_lead.get if name in WRITES else as_lead.post
    assert other(where).status_code == as_lead.delete(where).status_code == 405


def test_the_description_holds_nothing_of_a_site(record, client):
    reply = client.get("/api/openapi.json")
    assert reply.status_code == 200
    assert b"Clover" not in reply.content
    assert b"Fennel" not in reply.content
    codes = {
        code for one in reply.json()["paths"]["/api/queue/"].values() for code in one["responses"]
    }
    assert codes == {"200", "401", "403", "404", "413", "422", "423", "429", "503"}


def test_a_record_is_read_with_its_facts_and_lines(record, device):
    word = worded(record.code)
    device.send(word)
    whole = read(device.client, "api:record", record).json()
    assert (whole["name"], whole["facts"]["weight"], whole["count"]) == ("Clover", "4.1 kg", 3)
    assert whole["facts"]["state"] == whole["state"] == "running"
    lines = device.client.get(f"/api/records/{record.code}/lines/?after=2").json()
    assert [(one["order"], one["fingerprint"]) for one in lines["lines"]] == [(3, whole["head"])]
    assert '"typed":"120"' in lines["lines"][0]["text"]
    first = device.client.get(f"/api/records/{record.code}/lines/?most=2").json()
    assert ([one["order"] for one in first["lines"]], first["more"]) == ([1, 2], True)


def test_a_running_case_says_what_its_page_says(record, device):
    began = worded(record.code, kind="event", what="anaesthesia began", typed="")
    device.send(began, worded(record.code, typed="96"))
    now = read(device.client, "api:now", record).json()
    assert (now["last"]["heart_rate"]["typed"], now["count"]) == ("96", 4)
    assert now["due"]["sentence"]
    assert now["due"]["where_from"]
    assert "trained people" in now["caution"]


def test_of_a_case_that_is_over_nothing_is_reckoned(record, operator, as_viewer):
    state_write(record=record, to=CaseState.CLOSED, by=operator)
    reply = read(as_viewer, "api:now", record)
    assert (reply.status_code, said(reply)) == (
        422,
        "The case is closed, not running; nothing is reckoned of it now.",
    )


def test_records_are_listed_in_parts(record, site, machine, operator, as_viewer):
    from ullage.web.cases.services import Opening, record_open

    other = Opening(machine=machine, name="Vetch", species="sheep")
    record_open(site=site, opening=other, by=operator)
    parts = [as_viewer.get(f"/api/records/?skip={at}&most=1").json() for at in (0, 1)]
    assert [one["records"][0]["name"] for one in parts] == ["Vetch", "Clover"]
    assert [one["more"] for one in parts] == [True, False]


@pytest.mark.parametrize(
    "asked", ["after=-1", "after=x", "after=99999999999", "most=0", "most=501"]
)
def test_a_number_that_cannot_be_is_refused_with_a_sentence(asked, record, as_viewer):
    reply = as_viewer.get(f"/api/records/{record.code}/lines/?{asked}")
    assert reply.status_code == 422
    assert said(reply).startswith("The request cannot be read.")


def test_a_device_is_enrolled_once_and_named(device, operator):
    code = device.enrol().tablet
    assert device.enrol("Another name").tablet == code
    kept = Tablet.objects.get()
    assert (kept.name, kept.enrolled_by) == ("Table 1", operator)
    assert '"d"' not in kept.public_key


def test_a_device_comes_back_under_its_code_after_a_restore(device):
    code = str(uuid4())
    asked = {"name": "Table 1", "public_key": device.jwk, "tablet": code}
    assert device.post("tablet", asked).json()["tablet"] == code
    other = Device(client=device.client)
    asked = {"name": "Table 2", "public_key": other.jwk, "tablet": code}
    assert device.post("tablet", asked).json()["tablet"] != code


@pytest.mark.parametrize(
    "odd",
    [
        {"kty": "RSA"},
        {"crv": "P-384"},
        {"x": ""},
        {"x": "A" * 43, "y": "A" * 43},
        {"x": 7},
        {"x": None},
        {"d": "secret"},
        {"x": "é" * 43},
    ],
)
def test_what_is_no_public_key_is_refused(device, odd):
    asked = {"name": "Table 1", "public_key": {**device.jwk, **odd}}
    reply = device.post("tablet", asked)
    assert (reply.status_code, said(reply)) == (
        422,
        "This is no public key of a device (EC, P-256, as JWK).",
    )


@pytest.mark.parametrize("name", ["", "   ", "a" * 61, "a\x00b", "a\u202eb"])
def test_a_device_needs_a_name_that_can_be_read(device, name):
    reply = device.post("tablet", {"name": name, "public_key": device.jwk})
    assert (reply.status_code, said(reply)) == (
        422,
        "Give the device a name of 60 letters at most.",
    )


def test_a_revoked_key_gets_no_ticket_and_is_not_enrolled_again(enrolled, lead):
    tablet_revoke(tablet=Tablet.objects.get(), reason="Lost.", by=lead)
    assert enrolled.post("ticket", {"tablet": enrolled.tablet}).status_code == 403
    reply = enrolled.post("tablet", {"name": "Table 1", "public_key": enrolled.jwk})
    assert (reply.status_code, said(reply)) == (
        422,
        "This key was used before. Enrol the device with a new key.",
    )


def test_a_ticket_for_a_device_of_another_site_is_not_given(enrolled, as_stranger):
    enrolled.client = as_stranger
    assert enrolled.post("ticket", {"tablet": enrolled.tablet}).status_code == 404


def test_too_many_requests_are_told_to_wait(as_operator):
    cache.clear()
    replies = [write(as_operator, "api:ticket") for _ in range(61)]
    assert [one.status_code for one in replies] == [200] * 60 + [429]
    assert replies[-1]["Retry-After"]
    assert said(replies[-1]) == "Too many requests; wait a moment and send again."


def test_a_database_that_does_not_answer_is_said_and_nothing_is_half_done(
    device, record, monkeypatch
):
    from django.db import OperationalError

    from ullage.web.cases.services import queue

    def locked(**_):
        raise OperationalError("database is locked")

    monkeypatch.setattr(queue, "lines_take", locked)
    reply = device.send(worded(record.code))
    assert reply.status_code == 503
    assert "nothing was lost here, send it again" in said(reply)
    assert not Line.objects.filter(kind="entry").exists()
    assert not NotTaken.objects.exists()
