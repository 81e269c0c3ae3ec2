"""What a device keeps for later: the service worker, the page without names, the pad alone."""

import json
import re
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.urls import reverse

from ullage.web.cases.models import CaseState
from ullage.web.cases.services import state_write

pytestmark = [pytest.mark.web, pytest.mark.django_db]


def constant(script: str, name: str):
    found = re.search(rf"^const {name} = (.+);$", script, re.MULTILINE)
    return json.loads(found[1])


def test_the_service_worker_serves_everything_and_is_asked_for_anew(client):
    reply = client.get("/sw.js")

    assert reply["Content-Type"].startswith("text/javascript")
    assert reply["Cache-Control"] == "no-cache"
    assert "Set-Cookie" not in reply
    assert "worker-src 'self'" in reply["Content-Security-Policy"]


def test_it_knows_every_script_of_the_pad_and_where_people_leave(client):
    script = client.get("/sw.js").content.decode()
    files = constant(script, "FILES")

    for name in ("pad", "store", "send", "keys", "device", "lock"):
        assert f"/static/cases/{name}.js" in files
    assert "/static/cases/pad.css" in files
    assert "/static/cases/sw.js" not in files
    assert constant(script, "AWAY") == "/away/"
    assert constant(script, "LOGOUT") == reverse("account_logout")
    assert constant(script, "LOCK") == reverse("accounts:lock")
    assert re.fullmatch(r"[0-9a-f]{16}", constant(script, "VERSION"))


def test_it_never_touches_the_queue():
    script = Path(finders.find("cases/sw.js")).read_text(encoding="utf-8")

    assert not re.search(r"['\"]queue['\"]|deleteDatabase|objectStore\(\"(?!facts)", script)


def test_the_page_for_when_nothing_is_kept_names_nobody(as_operator):
    page = as_operator.get("/away/").content.decode()

    assert "Not connected" in page
    assert "Otto" not in page
    assert "ullage-user" not in page
    assert "Fennel Lane" not in page


def test_a_case_that_is_not_closed_may_be_kept(as_operator, record, operator):
    pad, running = (reverse(f"cases:{one}", args=[record.code]) for one in ("pad", "running"))
    assert as_operator.get(pad)["Ullage-Keep"] == "yes"
    assert as_operator.get(running)["Ullage-Keep"] == "yes"

    state_write(record=record, to=CaseState.CLOSED, by=operator)
    assert "Ullage-Keep" not in as_operator.get(pad)
    assert "Ullage-Keep" not in as_operator.get(running)


def test_only_pages_of_cases_may_be_kept(as_operator):
    for path in ("/", "/cases/", "/more/", "/away/"):
        assert "Ullage-Keep" not in as_operator.get(path)


def test_the_pad_alone_shows_neither_names_nor_last_values(as_operator, record, entry):
    from ullage.web.cases.services import lines_take

    lines_take(record=record, sent=[entry("heart_rate", "133")], by=entry().user)
    page = as_operator.get(reverse("cases:pad", args=[record.code])).content.decode()

    assert record.number in page
    assert "Wren" in page
    assert not re.search(r"Clover|Otto|Fennel Lane|133|data-last", page)
    assert "data-pad-only" in page


def test_the_pad_of_a_group_names_the_animal_it_is_for(as_operator, record, operator):
    from ullage.web.cases.services import facts_write

    facts_write(
        record=record,
        facts={"group": "yes", "animals": "Ada; Bea"},
        by=operator,
        reason="Two of them.",
    )
    pad = reverse("cases:pad", args=[record.code])

    assert 'data-animal="Ada"' in as_operator.get(pad).content.decode()
    assert 'data-animal="Bea"' in as_operator.get(pad, {"animal": "Bea"}).content.decode()
    assert 'data-animal="Ada"' in as_operator.get(pad, {"animal": "Cy"}).content.decode()


def test_strangers_and_viewers_have_no_pad(as_stranger, as_viewer, record):
    pad = reverse("cases:pad", args=[record.code])

    assert as_stranger.get(pad).status_code == 404
    assert as_viewer.get(pad).status_code == 403


def test_every_page_says_for_whom_and_when_it_was_made(as_operator, client):
    page = as_operator.get("/").content.decode()

    assert '<meta name="ullage-user" content="otto">' in page
    assert re.search(r'<meta name="ullage-made" content="\d{4}-\d\d-\d\dT[^"]+">', page)
    assert "ullage-user" not in client.get(reverse("account_login")).content.decode()
