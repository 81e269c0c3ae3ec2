"""Each address, whatever it is about: who may, by which method, what is refused, what it wears."""

import re
from collections.abc import Iterator
from html import unescape
from uuid import uuid4

import pytest
from django.apps import apps
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver
from django.utils import timezone

from tests.web.addresses.doors import DOORS, OUTSIDE, Door
from tests.web.addresses.records_doors import RECORDS_FILES
from ullage.web.accounts.models import User

pytestmark = pytest.mark.web

OURS = (
    "accounts",
    "audit",
    "sites",
    "machines",
    "supply",
    "days",
    "service",
    "checks",
    "exposure",
    "stock",
    "cases",
    "records",
)
GETS = [one for one in DOORS if one.get is not None]
POSTS = [one for one in DOORS if one.post is not None]
FILES = {
    "cases:head",
    "cases:stream",
    "audit:csv",
    "days:pdf",
    "days:sheet",
    "days:case_sheet",
    "service:machine_pdf",
    "service:file",
    "checks:file",
    "cases:file",
    "stock:order_csv",
    "stock:order_pdf",
    *RECORDS_FILES,
}
PAGES = [one for one in GETS if one.get == 200 and one.name not in FILES]
WITH_CODE = [one for one in DOORS if one.thing]


def named(door: Door) -> str:
    return door.name


def every(doors):
    return pytest.mark.parametrize("door", doors, ids=named)


def rows() -> dict[str, list[tuple[object, ...]]]:
    """Everything that is written down, but for when somebody signed in."""
    found = {}
    for app in OURS:
        for model in apps.get_app_config(app).get_models():
            fields = [one.attname for one in model._meta.fields if one.name != "last_login"]
            found[model._meta.label] = list(model.objects.order_by("pk").values_list(*fields))
    return found


def post(client: Client, url: str, typed) -> object:
    return client.post(url, {"csrfmiddlewaretoken": "a browser sends one", **typed})


def names(patterns, space: str = "") -> Iterator[str]:
    for one in patterns:
        if isinstance(one, URLResolver):
            yield from names(one.url_patterns, f"{one.namespace}:" if one.namespace else space)
        elif isinstance(one, URLPattern):
            yield f"{space}{one.name}"


def test_no_address_is_missing_from_the_list():
    listed = [one.name for one in DOORS]

    assert len(listed) == len(set(listed))
    assert set(listed) | OUTSIDE == set(names(get_resolver().url_patterns))


@every(GETS)
def test_the_smallest_role_that_may_opens_it(door, made, as_role):
    client, _ = as_role[door.what]

    assert client.get(door.url(made)).status_code == door.get


@every(POSTS)
def test_the_smallest_role_that_may_sends_it_and_it_is_written(door, made, as_role):
    client, _ = as_role[door.what]
    before = rows()
    reply = post(client, door.url(made), door.typed(made))

    assert reply.status_code == door.post
    # Some have nothing to undo, or to write, in this world.
    idle = {"sites:choose", "machines:back", "days:restore", "days:end", "supply:change_back"}
    idle |= {"days:copy", "machines:undo", "machines:part_move_back", "machines:part_back"}
    idle |= {"cases:attach"}
    idle |= {"machines:part_undo", "machines:part_restore", "checks:end", "checks:attach"}
    idle |= {"days:take", "stock:keep", "accounts:held", "accounts:factors", "accounts:let_in"}
    assert (rows() != before) is (door.name not in idle)


@every([one for one in DOORS if one.what != "look"])
def test_a_smaller_role_is_told_who_can_and_changes_nothing(door, made, as_role):
    _, client = as_role[door.what]
    before = rows()
    url = door.url(made)
    reply = client.get(url) if door.post is None else post(client, url, door.typed(made))

    assert reply.status_code == 403
    assert "lead or a veterinarian can" in reply.content.decode()
    assert rows() == before


@every([one for one in DOORS if one.what == "manage" and one.get])
def test_a_form_for_a_larger_role_is_not_even_shown(door, made, as_operator):
    assert as_operator.get(door.url(made)).status_code == 403


@every(DOORS)
def test_a_stranger_finds_none_of_the_things_of_this_site(door, made, as_stranger):
    url, before = door.url(made), rows()
    if door.thing or door.name in {"accounts:person", "accounts:renew", "accounts:remove"}:
        if door.get is not None:
            assert as_stranger.get(url).status_code == 404
        if door.post is not None:
            assert post(as_stranger, url, door.typed(made)).status_code == 404
        assert rows() == before
    elif door.get == 200 and door.name not in FILES:
        page = as_stranger.get(url).content.decode()
        assert not re.search(r"Fennel Lane|\bWren\b|Alder|Hazel|Clover|Theatre 1", page)


@every(WITH_CODE)
def test_a_code_that_nobody_made_or_of_another_kind_of_thing_leads_nowhere(door, made, as_lead):
    """Knowing one address does not open another."""
    wrong = {
        "machine": made.case,
        "part": made.machine,
        "source": made.on,
        "manifold": made.on,
        "on": made.source,
        "stored": made.source,
        "reading": made.change,
        "change": made.reading,
        "case": made.machine,
        "vaporizer": made.machine,
        "event": made.machine,
        "paper": made.event,
        "address": made.machine,
        "check": made.machine,
        "check_file": made.check,
        "badge": made.machine,
        "shelf": made.move,
        "spare": made.move,
        "move": made.shelf,
        "stock_order": made.shelf,
        "canister": made.note,
        "note": made.canister,
        "area": made.shelf,
        "running": made.machine,
        "ready": made.machine,
        "recovering": made.aside,
        "group": made.machine,
        "closed": made.aside,
        "archive": made.closed,
        "aside": made.closed,
        "record_file": made.closed,
        "tablet": made.machine,
    }
    for code in (uuid4(), wrong[door.thing].code):
        url = door.url(made, code)
        reply = as_lead.get(url) if door.get is not None else post(as_lead, url, door.typed(made))
        assert reply.status_code == 404


@every(DOORS)
def test_a_method_that_it_does_not_know_is_refused_and_changes_nothing(door, made, as_lead):
    url, before = door.url(made), rows()

    assert as_lead.delete(url).status_code == 405
    assert as_lead.put(url).status_code == 405
    if door.get is None:
        assert as_lead.get(url).status_code == 405
    if door.post is None:
        assert as_lead.post(url).status_code == 405
    assert rows() == before


@every([one for one in POSTS if one.bad])
def test_bad_input_gets_a_sentence_keeps_the_form_and_writes_nothing(door, made, as_lead):
    before = rows()
    reply = post(as_lead, door.url(made), door.bad.typed)

    page = unescape(reply.content.decode())
    assert reply.status_code == 422
    assert door.bad.sentence in page
    assert rows() == before
    for name, value in door.bad.typed.items():
        if value.strip() and value not in door.bad.dropped:
            assert value in page, name


@every(DOORS)
def test_who_is_not_signed_in_goes_to_the_door_and_comes_back(door, made, client):
    url, before = door.url(made), rows()
    reply = client.get(url) if door.get is not None else post(client, url, door.typed(made))

    if door.get is None and reply.status_code == 405:
        pytest.fail("a post was refused as a wrong method")
    assert reply.status_code == 302
    assert reply.url.startswith("/accounts/login/?next=/")
    assert rows() == before


@every(PAGES)
def test_htmx_is_sent_to_the_whole_door_and_not_into_a_part(door, made, client):
    reply = client.get(door.url(made), headers={"HX-Request": "true"})

    assert reply["HX-Redirect"].startswith("/accounts/login/?next=")
    assert not reply.content


@every(DOORS)
def test_a_one_time_password_opens_nothing_but_the_page_that_changes_it(door, made, as_lead):
    User.objects.update(one_time_until=timezone.now() + timezone.timedelta(days=1))
    before = rows()
    url = door.url(made)
    reply = as_lead.get(url) if door.get is not None else post(as_lead, url, door.typed(made))

    assert (reply.status_code, reply.url) == (302, "/accounts/password/")
    assert rows() == before


@every(POSTS)
def test_every_form_wants_its_token(door, made, lead):
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(lead)
    before = rows()

    assert strict.post(door.url(made), dict(door.typed(made))).status_code == 403
    assert rows() == before
