"""Recovery, its end, and what comes after: nothing closes in silence, nothing that came is lost."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.utils import timezone

from ullage.answers.record.beginning import Override
from ullage.answers.record.things import EntryText
from ullage.core.errors import RuleBroken
from ullage.web.cases.models import CaseState, Record, SignedHead
from ullage.web.cases.selectors import life_of, lines_of
from ullage.web.cases.services import (
    AnimalSaid,
    Opening,
    StepSaid,
    Worse,
    animal_join,
    case_close,
    case_ready,
    facts_change,
    fate_say,
    gas_off,
    recovery_reopen,
    recovery_start,
    step_say,
)
from ullage.web.cases.services.entries import event, setting, write_seen

pytestmark = [pytest.mark.web, pytest.mark.django_db]

WHO = Override(by="Viktor Rules (viktor)", reason="It goes to the ward awake.")


@pytest.fixture
def recovering(record, operator):
    """The cat of the record, agent off."""
    now = timezone.now()
    seen = [event("anaesthesia began", now - timedelta(minutes=30))]
    seen += [setting("dial", "2 %", now), setting("flow_oxygen", "1 L/min", now)]
    write_seen(record=record, seen=seen, by=operator)
    return recovery_start(record=record, at=now, by=operator, gas_is_off=True)


def meet(record, operator, animal=""):
    for step in life_of(record).steps:
        said = StepSaid(step=step.key, is_met=True, at=timezone.now(), animal=animal)
        step_say(record=record, said=said, by=operator)


def test_the_beginning_of_recovery_writes_what_was_said_and_no_more(recovering):
    life = life_of(recovering)
    assert life.seen.of("dial")[-1].typed == "0 %"
    assert life.seen.of("flow_oxygen")[-1].typed == "0 L/min"
    assert life.seen.of("flow_air") == ()
    assert life.seen.event("anaesthesia ended") is not None


def test_a_case_does_not_close_while_a_step_is_unmet(recovering, operator):
    with pytest.raises(RuleBroken, match=r"^This case is still open: recovery\. Name who"):
        case_close(record=recovering, by=operator)
    meet(recovering, operator)
    closed = case_close(record=recovering, by=operator)
    assert (closed.state, closed.is_closed) == (CaseState.CLOSED, True)
    assert SignedHead.objects.get(record=closed, count=closed.count).sum == closed.head


def test_who_closes_it_with_something_open_stands_in_the_record(recovering, operator):
    closed = case_close(record=recovering, by=operator, override=WHO)
    facts = life_of(closed).facts
    assert facts["closed_override_by"] == "Viktor Rules (viktor)"
    assert facts["closed_with"].startswith("recovery: Recovery is open")


def test_a_step_seen_on_its_chest_writes_that_event_once(recovering, operator):
    for _ in range(2):
        meet(recovering, operator)
    words = [one.what for one in lines_of(recovering) if isinstance(one, EntryText)]
    assert words.count("on its chest") == 1


def test_the_same_button_pressed_twice_writes_one_entry(recovering, operator):
    said = StepSaid(step="person", is_met=True, at=timezone.now(), code=str(uuid4()))
    for _ in range(2):
        step_say(record=recovering, said=said, by=operator)
    assert sum(one.id == said.code for one in lines_of(recovering)) == 1


@pytest.mark.parametrize("word", ["died", "killed"])
def test_a_dead_animal_is_asked_for_no_recovery(recovering, operator, word):
    fate_say(record=recovering, word=word, at=timezone.now(), by=operator)
    assert case_close(record=recovering, by=operator).state == CaseState.CLOSED


def test_an_animal_that_gets_worse_opens_its_recovery_again(recovering, operator):
    meet(recovering, operator)
    closed = case_close(record=recovering, by=operator)
    worse = Worse(reason="It lies flat.", steps={"": ("sternal",)}, at=timezone.now())
    again = recovery_reopen(record=closed, worse=worse, by=operator)
    assert (again.state, again.closed_at) == (CaseState.RECOVERING, None)
    assert "no longer holds" in life_of(again).ends[0].answer.sentence
    with pytest.raises(RuleBroken, match=r"^This case is still open"):
        case_close(record=again, by=operator)


@pytest.mark.parametrize(
    ("worse", "said"),
    [
        (Worse(reason=" ", steps={"": ("warm",)}, at=timezone.now()), r"^Say what was seen\.$"),
        (Worse(reason="Flat.", steps={}, at=timezone.now()), r"^Say which step"),
        (Worse(reason="Flat.", steps={"": ("moon",)}, at=timezone.now()), r"^This is no step"),
    ],
)
def test_a_recovery_is_opened_again_for_a_reason(recovering, operator, worse, said):
    closed = case_close(record=recovering, by=operator, override=WHO)
    with pytest.raises(RuleBroken, match=said):
        recovery_reopen(record=closed, worse=worse, by=operator)
    closed.refresh_from_db()
    assert closed.state == CaseState.CLOSED


def test_a_closed_case_takes_no_step(recovering, operator):
    closed = case_close(record=recovering, by=operator, override=WHO)
    with pytest.raises(RuleBroken, match=r"does not recover now"):
        step_say(
            record=closed, said=StepSaid(step="warm", is_met=True, at=timezone.now()), by=operator
        )
    with pytest.raises(RuleBroken, match=r"is closed\.$"):
        gas_off(record=closed, at=timezone.now(), by=operator)


def test_facts_said_anew_amend_a_closed_record(recovering, operator):
    closed = case_close(record=recovering, by=operator, override=WHO)
    changed = facts_change(
        record=closed, facts={"name": "Clove", "sex": "male"}, by=operator, reason="chip read"
    )
    assert (changed.state, changed.name) == (CaseState.AMENDED, "Clove")
    assert life_of(changed).facts["sex"] == "male"


@pytest.fixture
def group(site, machine, operator) -> Record:
    """Two mice on one bench."""
    site.record_rules = {"groups": True}
    site.save()
    opening = Opening(machine=machine, name="Cage 4", species="mouse", is_group=True)
    animals = [AnimalSaid(name="M1", weight="24.1 g"), AnimalSaid(name="M2")]
    return case_ready(site=site, opening=opening, by=operator, animals=animals)


def test_a_group_has_a_line_for_each_animal(group, operator):
    animal_join(
        record=group, animal=AnimalSaid(name="M3", weight="23 g"), at=timezone.now(), by=operator
    )
    lines = life_of(group).animals
    assert [one.name for one in lines] == ["M1", "M2", "M3"]
    assert [one.weight for one in lines] == ["24.1 g", "", "23 g"]
    assert lines[0].by == "O.R."


@pytest.mark.parametrize(
    ("name", "said"), [("M1", "is in this record already"), ("", "an id"), ("M;4", "an id")]
)
def test_an_animal_joins_under_an_id_of_its_own(group, operator, name, said):
    before = group.count
    with pytest.raises(RuleBroken, match=said):
        animal_join(record=group, animal=AnimalSaid(name=name), at=timezone.now(), by=operator)
    group.refresh_from_db()
    assert group.count == before


@pytest.mark.parametrize("species", ["sheep", "dog", "rabbit"])
def test_other_species_have_a_record_each(site, machine, operator, species):
    site.record_rules = {"groups": True}
    site.save()
    opening = Opening(machine=machine, name="Two", species=species, is_group=True)
    with pytest.raises(RuleBroken, match=rf"^Each {species} has a record of its own"):
        case_ready(site=site, opening=opening, by=operator, animals=[AnimalSaid(name="A")])
    assert not Record.objects.exists()


def test_a_word_on_a_group_names_one_of_its_animals(group, operator):
    record = Record.objects.get(pk=group.pk)
    Record.objects.filter(pk=record.pk).update(state=CaseState.RECOVERING)
    said = StepSaid(step="warm", is_met=True, at=timezone.now(), animal="M9")
    with pytest.raises(RuleBroken, match=r"^Choose an animal of this group: M1, M2\.$"):
        step_say(record=record, said=said, by=operator)
