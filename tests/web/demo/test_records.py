"""The records of the practice world: told through the services, whole, in every state."""

from datetime import UTC, datetime
from itertools import pairwise

import pytest
from django.db import transaction
from django.urls import reverse

from ullage.answers.record.exported import export_chain
from ullage.answers.record.things import entries_now
from ullage.answers.record.verified import verify_record
from ullage.web.cases.models import NotTaken, Record
from ullage.web.cases.selectors import chain_of, life_of, lines_of
from ullage.web.demo import build_world, records_of_the_world
from ullage.web.records.models import SignedPaper
from ullage.web.records.selectors import chain_bytes
from ullage.web.shared.signing_key import public_key_pem

pytestmark = [pytest.mark.web, pytest.mark.django_db]

NOW = datetime(2026, 6, 9, 13, 31, tzinfo=UTC)


@pytest.fixture(scope="module")
def told(django_db_setup, django_db_blocker):
    with django_db_blocker.unblock(), transaction.atomic():
        world = build_world(1, NOW)
        records_of_the_world(world)
        yield {one.name.split()[0]: one for one in Record.objects.order_by("pk")}, world
        transaction.set_rollback(True)


def test_there_is_one_in_each_state(told):
    records, _ = told
    found = {name: one.state for name, one in records.items()}
    assert found["Tansy"] == "closed"
    assert found["Bracken"] == "running"
    assert found["Harebell"] == "recovering"
    assert found["Clover"] == "ready"
    assert sum(one.is_group for one in records.values()) >= 1
    assert not NotTaken.objects.exists()


def test_every_chain_holds_from_its_first_line_to_its_last(told):
    for record in told[0].values():
        chain = chain_of(record)
        assert len(chain) == record.count
        found = verify_record(export_chain(chain, str(record.code)))
        assert found.value == record.count, found.sentence


def test_nothing_was_seen_or_received_after_now(told):
    records, world = told
    for name in ("Tansy", "Bracken", "Harebell"):
        times = [one.times for one in lines_of(records[name])]
        assert all(one.observed <= one.received <= world.now for one in times)
        assert [one.received for one in times] == sorted(one.received for one in times)


def test_the_running_case_has_a_late_entry_and_a_corrected_one(told):
    standing = life_of(told[0]["Bracken"]).standing
    assert [one.entry.what for one in standing.entries if one.is_late] == ["procedure began"]
    (amended,) = [one for one in standing.entries if one.is_amended]
    assert (amended.changes[0].was.typed, amended.entry.typed) == ("9", "109")


def test_the_closed_case_is_complete_signed_and_over_its_recovery(told):
    life = life_of(told[0]["Tansy"])
    assert life.complete[0][1].verdict.value == "Fine"
    assert life.may_close().verdict.value == "Fine"
    assert [one.printed_name for one in life.signatures] == ["Milo Ostrander", "Anneke Vray"]


def test_each_paper_that_was_kept_holds_a_signed_head(told):
    papers = SignedPaper.objects.filter(record=told[0]["Tansy"]).order_by("count")
    found = [
        verify_record(chain_bytes(one.record, one.count), [public_key_pem()]) for one in papers
    ]

    assert [one.verdict.value for one in found] == ["Fine", "Fine", "Fine"]


def test_each_animal_of_the_closed_group_came_through_or_died(told):
    record = Record.objects.filter(is_group=True, state="closed").first()
    ends = {one.animal: (one.is_over, one.died) for one in life_of(record).ends}
    assert ends == {"M1": (True, ""), "M2": (True, ""), "M3": (True, "died"), "M4": (True, "")}
    assert all(one.animal for one in entries_now(lines_of(record)) if one.what == "weight")


def test_of_an_animal_that_died_no_recovery_is_asked_on_its_record(told, client):
    record = Record.objects.filter(is_group=True, state="closed").first()
    client.force_login(told[1].people["lead"])
    page = client.get(reverse("records:record", args=[record.code])).content.decode()
    part = page.partition('id="recovery"')[2].partition("</section>")[0]

    assert "M3: died" in part
    assert "No recovery is asked of it." in part
    assert "not recorded" not in part


def test_nothing_is_seen_of_an_animal_after_it_died(told):
    record = Record.objects.filter(is_group=True, state="closed").first()
    mine = [one for one in entries_now(lines_of(record)) if one.animal == "M3"]
    died = next(one for one in mine if one.what == "died").times.observed

    assert {one.what for one in mine if one.times.observed > died} == {"adverse event"}


@pytest.mark.parametrize(("name", "rule_min"), [("Tansy", 5.0), ("Mice", 15.0)])
def test_a_closed_case_was_written_down_as_its_rule_says(told, name, rule_min):
    record = Record.objects.filter(state="closed", name__startswith=name).first()
    seen = [one for one in entries_now(lines_of(record)) if one.animal in {"", "M1"}]
    at = {one.what: one.times.observed for one in reversed(seen)}
    read = sorted(one.times.observed for one in seen if one.what == "respiratory_rate")
    under = [one for one in read if one <= at["anaesthesia ended"]]
    gaps = [late - early for early, late in pairwise([*under, at["anaesthesia ended"]])]

    assert max(gaps).total_seconds() / 60.0 <= rule_min
