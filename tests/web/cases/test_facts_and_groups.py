"""What a record is of is said anew with a reason; files are kept once; animals join a group."""

from hashlib import sha256
from uuid import uuid4

import pytest
from django.utils import timezone

from ullage.answers.record.closing import animals_in
from ullage.answers.record.seen import case_seen
from ullage.answers.record.things import CaseOpened
from ullage.core.errors import RuleBroken, UllageError
from ullage.web.cases.models import CaseState, Record, RecordFile
from ullage.web.cases.selectors import lines_of
from ullage.web.cases.services import Opening, record_open, state_write
from ullage.web.cases.services.begin import AnimalSaid
from ullage.web.cases.services.facts import facts_change, file_keep
from ullage.web.cases.services.group import animal_join
from ullage.web.shared.attachments import Kept

pytestmark = [pytest.mark.web, pytest.mark.django_db]


def told(record, key):
    return [
        one.facts[key]
        for one in lines_of(record)
        if isinstance(one, CaseOpened) and key in one.facts
    ]


def close(record, operator):
    return state_write(record=record, to=CaseState.CLOSED, by=operator)


def test_a_fact_said_anew_leaves_what_stood_before_to_be_read(record, operator):
    facts_change(record=record, facts={"weight": "4.10 kg"}, by=operator, reason="weighed again")

    assert told(record, "weight") == ["4.1 kg", "4.10 kg"]
    assert lines_of(record)[-1].reason == "weighed again"


def test_a_new_name_is_what_the_record_is_found_by(record, operator):
    found = facts_change(
        record=record, facts={"name": "Clover 二", "sex": "male"}, by=operator, reason="mixed up"
    )

    assert (found.name, found.species) == ("Clover 二", "cat")
    assert told(record, "name") == ["Clover", "Clover 二"]


@pytest.mark.parametrize(
    ("facts", "reason", "says"),
    [
        ({}, "as it is", "Nothing is different"),
        ({"sex": "male"}, "", "Say why"),
        ({"sex": "male"}, " \t\n", "Say why"),
    ],
)
def test_without_a_change_or_a_reason_no_line_is_written(record, operator, facts, reason, says):
    before = record.count
    with pytest.raises(RuleBroken, match=says):
        facts_change(record=record, facts=facts, by=operator, reason=reason)

    record.refresh_from_db()
    assert (record.count, record.state) == (before, CaseState.RUNNING)


def test_a_closed_record_reads_amended_from_its_first_change_on(record, operator):
    close(record, operator)
    for sex in ("male", "female"):
        changed = facts_change(record=record, facts={"sex": sex}, by=operator, reason="looked")
        assert changed.state == CaseState.AMENDED
    assert told(record, "state")[-3:] == ["closed", "amended", "amended"]


def kept(content=b"one", name="trace.pdf"):
    return Kept(
        name=name,
        kind="pdf",
        sha256=sha256(content).hexdigest(),
        size_bytes=len(content),
        content=content,
    )


def test_a_file_is_kept_with_an_entry_that_names_its_fingerprint(record, operator):
    row = file_keep(record=record, kept=kept(), by=operator)
    last = lines_of(record)[-1]

    assert (last.what, last.details["sha256"]) == ("file", row.sha256)
    assert bytes(row.content) == b"one"


def test_the_same_file_is_kept_once_under_whatever_name(record, operator):
    first = file_keep(record=record, kept=kept(), by=operator)
    record.refresh_from_db()
    before = record.count

    assert file_keep(record=record, kept=kept(name="again.pdf"), by=operator) == first
    record.refresh_from_db()
    assert (record.count, RecordFile.objects.count()) == (before, 1)


def test_a_closed_record_takes_no_file_and_still_knows_its_own(record, operator):
    first = file_keep(record=record, kept=kept(), by=operator)
    close(record, operator)

    with pytest.raises(RuleBroken, match="is closed; open its recovery again"):
        file_keep(record=record, kept=kept(b"two"), by=operator)
    assert file_keep(record=record, kept=kept(), by=operator) == first


@pytest.fixture
def group(site, machine, operator) -> Record:
    """A cage of two mice."""
    opening = Opening(
        machine=machine, name="Cage 12", species="mouse", is_group=True, facts={"animals": "M1; M2"}
    )
    opened = record_open(site=site, opening=opening, by=operator)
    return state_write(record=opened, to=CaseState.RUNNING, by=operator)


def join(group, operator, name, weight="", code=""):
    return animal_join(
        record=group, animal=AnimalSaid(name=name, weight=weight), at=timezone.now(), by=operator,
        code=code,
    )  # fmt: skip


def test_an_animal_joins_with_a_line_of_its_own_and_its_weight_as_typed(group, operator):
    joined = join(group, operator, " M3 ", "25.0 g")
    lines = lines_of(joined)

    assert animals_in(lines) == ("M1", "M2", "M3")
    assert case_seen(lines, "M3").weight_kg == pytest.approx(0.025)
    assert [one.number for one in case_seen(lines, "M3").of("weight")] == ["25.0"]
    assert case_seen(lines, "M1").of("weight") == ()


def test_the_same_form_sent_twice_adds_one_animal(group, operator):
    code = str(uuid4())
    for _ in range(2):
        joined = join(group, operator, "M3", code=code)

    assert animals_in(lines_of(joined)) == ("M1", "M2", "M3")
    assert sum(getattr(one, "what", "") == "connected" for one in lines_of(joined)) == 1


@pytest.mark.parametrize("name", ["", "  ", "M3; M4", ";"])
def test_an_animal_needs_an_id_that_reads_as_one(group, operator, name):
    with pytest.raises(RuleBroken, match="Give the animal an id, without ';'"):
        join(group, operator, name)


def test_an_id_that_is_there_is_not_given_twice(group, operator):
    with pytest.raises(RuleBroken, match="M2 is in this record already"):
        join(group, operator, " M2")


def test_a_weight_that_cannot_be_read_leaves_nothing_half_joined(group, operator):
    before = group.count
    with pytest.raises(UllageError, match="plump"):
        join(group, operator, "M3", "plump")

    group.refresh_from_db()
    assert group.count == before
    assert animals_in(lines_of(group)) == ("M1", "M2")


def test_nobody_joins_a_case_of_one_or_one_that_is_closed(record, group, operator):
    with pytest.raises(RuleBroken, match="is of one animal; open a record for the other one"):
        join(record, operator, "Vetch")
    close(group, operator)
    with pytest.raises(RuleBroken, match="is closed; no animal joins it any more"):
        join(group, operator, "M3")
