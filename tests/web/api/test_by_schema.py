"""Every address for programs tried by its own description, and the queue with words made at random.

Never a fault of ours, always a sentence, nothing written by halves.
"""

import json
from collections.abc import Iterator

import pytest
import schemathesis
from django.core.cache import cache
from django.core.signals import request_finished, request_started
from django.core.wsgi import get_wsgi_application
from django.db import close_old_connections
from django.test import Client
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from tests.counts import counted
from tests.web.api.device import Device, worded
from ullage.answers.record.chained import START, link
from ullage.web.accounts.models import User
from ullage.web.cases.models import Line, NotTaken
from ullage.web.cases.selectors import CaseState, chain_of
from ullage.web.cases.services import Opening, record_open, state_write
from ullage.web.machines.models import Machine
from ullage.web.sites.models import Membership, Role, Site

pytestmark = [pytest.mark.web, pytest.mark.soak]

CHECKS = (
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_schema_conformance,
)
MANY = settings(
    max_examples=counted(300),
    deadline=None,
    suppress_health_check=list(HealthCheck),
)
schema = schemathesis.openapi.from_wsgi("/api/openapi.json", get_wsgi_application())


@pytest.fixture
def cookies(db) -> dict[str, str]:
    """An operator of one site with one running case."""
    cache.clear()
    site = Site.objects.create(name="Fennel Lane", elevation_m=60.0)
    machine = Machine.objects.create(site=site, name="Wren", system="T-piece")
    user = User.objects.create_user(username="otto", full_name="Otto Reads")
    Membership.objects.create(user=user, site=site, role=Role.OPERATOR)
    opening = Opening(machine=machine, name="Clover", species="cat")
    record = record_open(site=site, opening=opening, by=user)
    state_write(record=record, to=CaseState.RUNNING, by=user)
    client = Client()
    client.force_login(user)
    client.get("/api/epoch/")
    return {"sessionid": client.cookies["sessionid"].value, "csrftoken": "a" * 32}


@pytest.fixture
def connection_kept(cookies) -> Iterator[None]:
    """A request through the door of a server closes connections; that of a test is kept.

    The client of Django connects the signal again after each of its requests.
    """
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)
    yield
    for signal in (request_started, request_finished):
        signal.connect(close_old_connections)


@schema.parametrize()
@MANY
def test_no_request_is_a_fault_of_ours(case, cookies, connection_kept):
    cache.clear()
    case.cookies = dict(cookies)
    case.headers = {**(case.headers or {}), "X-CSRFToken": cookies["csrftoken"]}
    reply = case.call()
    case.validate_response(reply, checks=CHECKS)
    if reply.status_code >= 400 and reply.status_code != 405:
        assert reply.json()["says"].strip()


TEXT = st.text(max_size=30)
LEAVES = st.none() | st.booleans() | st.integers() | st.floats() | TEXT
JSON = st.recursive(
    LEAVES, lambda inner: st.lists(inner) | st.dictionaries(TEXT, inner), max_leaves=6
)
UNITS = st.sampled_from(
    ["", "/min", "mmHg", "MMHG", "kPa", "KPA", "mg/ML", "°F", "%", "Cel", "mBAR"]
)
NUMBERS = st.one_of(
    st.integers(-(10**45), 10**45).map(str),
    st.floats().map(str),
    st.sampled_from(["", "-0", "NaN", "Infinity", "1e400", "0x1F", "1,5", "1.234,5", "٣", "½"]),
)
NAMES = st.sampled_from(
    [
        "heart_rate",
        "temperature",
        "cuff_mean",
        "isoflurane_end_tidal",
        "jaw",
        "HEART_RATE",
        "",
        "ketamine",
    ]
)
KINDS = st.sampled_from(["vital", "setting", "gas", "drug", "event", "depth", "text", "VITAL", ""])
TIMES = st.one_of(
    st.datetimes().map(lambda at: at.isoformat() + "Z"),
    st.sampled_from(["", "now", "2026-11-25T20:00:00", "+275760-09-13T00:00:00.000Z"]),
)
PARTS = st.fixed_dictionaries(
    {},
    optional={
        "line": st.sampled_from(["entry", "amendment", "case", ""]),
        "kind": KINDS,
        "what": NAMES | TEXT,
        "typed": st.builds("{}{}".format, NUMBERS, UNITS) | TEXT | JSON,
        "observed": TIMES | JSON,
        "written": TIMES | JSON,
        "details": st.dictionaries(TEXT, TEXT, max_size=3) | JSON,
        "id": st.uuids().map(str) | TEXT,
        "record": st.uuids().map(str) | TEXT,
        "offset_s": NUMBERS | JSON,
        "author_confirmed": JSON,
        "of": st.uuids().map(str),
        "reason": TEXT,
        "by": TEXT,
        "animal": TEXT,
        "order": st.integers(),
    },
)


@pytest.mark.django_db
@MANY
@given(changed=st.lists(PARTS, min_size=1, max_size=5), raw=st.lists(TEXT | JSON.map(json.dumps)))
def test_each_word_is_taken_whole_or_kept_whole(record, device, changed, raw):
    cache.clear()
    words = [json.dumps({**json.loads(worded(record.code)), **one}) for one in changed] + raw
    good = worded(record.code)
    before = Line.objects.count(), NotTaken.objects.count()
    reply = device.send(*words[:40], good)

    assert reply.status_code == 200
    results = reply.json()["results"]
    outcomes = [one["outcome"] for one in results]
    assert outcomes[-1] == "taken"
    assert all(one["says"] for one in results if one["outcome"] == "kept")
    assert Line.objects.count() - before[0] == outcomes.count("taken")
    kept = {word for word, outcome in zip(words, outcomes, strict=False) if outcome == "kept"}
    assert 0 <= NotTaken.objects.count() - before[1] <= len(kept)
    sums = START
    for one in chain_of(record):
        sums = link(sums, one.text)
    record.refresh_from_db()
    assert sums == record.head


@pytest.mark.django_db
@MANY
@given(body=st.binary(max_size=200) | JSON.map(json.dumps).map(str.encode))
def test_a_body_of_any_kind_gets_a_sentence(record, body):
    cache.clear()
    device = Device(client=Client())
    reply = device.client.post("/api/queue/", body, content_type="application/json")

    assert reply.status_code in {401, 422}
    assert reply.json()["says"].strip()
