"""Two people at one thing at once: each write carries its own condition, none undoes another."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from ullage.core.errors import RuleBroken
from ullage.web.sites.models import Membership, Role
from ullage.web.supply.models import Cylinder, CylinderChange, CylinderEvent, Reading, Source
from ullage.web.supply.services import (
    FullOne,
    Seen,
    SourceFacts,
    change_animal,
    change_begin,
    change_check,
    change_close_old,
    change_flows_off,
    change_give_up,
    change_reopen,
    change_seal,
    change_take,
    cylinder_connect,
    cylinder_empty,
    cylinder_quarantine,
    cylinder_return,
    cylinder_take_off,
    flow_start,
    flow_stop,
    reading_amend,
    reading_answer,
    reading_set_aside,
    source_add,
    source_duty,
    source_edit,
    source_retire,
)

pytestmark = pytest.mark.web


def as_seen_by_another(row):
    """The same row as another person loaded it, before what happens next."""
    return type(row).objects.get(pk=row.pk)


@pytest.fixture
def manifold(site, lead):
    facts = SourceFacts(name="Manifold", kind="manifold", gas="oxygen", change_over_kpa=1400.0)
    return source_add(site=site, facts=facts, by=lead)


@pytest.fixture
def change(source, alder, operator):
    return change_begin(source=source, old=alder, by=operator)


@pytest.fixture
def to_the_seal(change, hazel, operator):
    """A change with the old one closed and the full one checked."""
    found = FullOne(
        cylinder=hazel, label_gas="oxygen", label_agrees=True, size_agrees=True, outlet_clean=True
    )
    change_animal(change=change, how="no animal", by=operator)
    change_flows_off(change=change, by=operator)
    change_check(change=change, found=found, by=operator)
    change_close_old(change=change, by=operator)
    return change


def test_who_connects_second_finds_the_cylinder_on_its_source(hazel, source, manifold, operator):
    theirs = as_seen_by_another(hazel)
    cylinder_connect(cylinder=hazel, source=source, by=operator)

    with pytest.raises(RuleBroken, match="is marked 'in use'; this step does not follow"):
        cylinder_connect(cylinder=theirs, source=manifold, bank="A", by=operator)
    hazel.refresh_from_db()
    assert hazel.source == source


def test_two_cylinders_on_one_place_is_one_too_many(hazel, receive, source, operator):
    rowan = receive("Rowan")
    cylinder_connect(cylinder=hazel, source=source, by=operator)

    with pytest.raises(RuleBroken, match="Hazel is on Wren; use Change cylinder"):
        cylinder_connect(cylinder=rowan, source=source, by=operator)
    assert as_seen_by_another(rowan).state == "full"


def test_who_connects_waits_for_who_connects_to_the_same_source(hazel, source, operator):
    """The place is looked at only after the source is held; SQLite holds the whole base."""
    with CaptureQueriesContext(connection) as told:
        cylinder_connect(cylinder=hazel, source=source, by=operator)
    said = [one["sql"] for one in told]
    held = next(number for number, sql in enumerate(said) if '"supply_source"."id" =' in sql)
    looked = next(
        number for number, sql in enumerate(said)
        if '"supply_cylinder"."source_id"' in sql and "SELECT" in sql and "'in_use'" in sql
    )  # fmt: skip

    assert held < looked
    if connection.vendor == "postgresql":
        assert "FOR UPDATE" in said[held]


@pytest.mark.parametrize(
    "second",
    [
        lambda one, by: cylinder_take_off(cylinder=one, by=by),
        lambda one, by: cylinder_take_off(cylinder=one, by=by, is_empty=True),
    ],
)
def test_taken_off_twice_is_taken_off_once(second, alder, operator):
    theirs = as_seen_by_another(alder)
    cylinder_take_off(cylinder=alder, by=operator)

    with pytest.raises(RuleBroken, match="is marked 'part used'"):
        second(theirs, operator)
    assert CylinderEvent.objects.filter(cylinder=alder, kind="taken off").count() == 1
    assert as_seen_by_another(alder).state == "part_used"


def test_one_that_was_set_apart_meanwhile_is_not_put_on(hazel, source, operator):
    theirs = as_seen_by_another(hazel)
    cylinder_quarantine(cylinder=hazel, reason="Its label is torn.", by=operator)

    with pytest.raises(RuleBroken, match="is marked 'set apart: do not use'"):
        cylinder_connect(cylinder=theirs, source=source, by=operator)
    assert as_seen_by_another(hazel).source is None


def test_one_handed_back_meanwhile_is_not_tagged_empty(hazel, operator):
    theirs = as_seen_by_another(hazel)
    cylinder_return(cylinder=hazel, by=operator)

    with pytest.raises(RuleBroken, match="is marked 'returned'"):
        cylinder_empty(cylinder=theirs, by=operator)


def test_two_who_begin_a_change_share_one(source, alder, operator, lead):
    first = change_begin(source=source, old=alder, by=operator)
    second = change_begin(source=as_seen_by_another(source), old=alder, by=lead)

    assert first == second
    assert second.started_by == operator
    assert CylinderChange.objects.count() == 1
    assert CylinderEvent.objects.filter(kind="change begun").count() == 1


def test_each_bank_of_a_manifold_has_a_change_of_its_own(manifold, operator):
    one, two = (change_begin(source=manifold, bank=bank, by=operator) for bank in "AB")

    assert one != two
    assert change_begin(source=manifold, bank="A", by=operator) == one


def test_a_step_sent_by_two_is_done_once_and_the_log_has_one_line(change, operator, lead):
    theirs = as_seen_by_another(change)
    change_animal(change=change, how="self-inflating bag", by=operator)

    with pytest.raises(RuleBroken, match="This step was done a moment ago"):
        change_animal(change=theirs, how="no animal", by=lead)
    line = CylinderEvent.objects.get(kind="step animal")
    assert (line.by, line.details["how"]) == (operator, "self-inflating bag")


def test_a_change_that_another_gave_up_goes_no_further(change, operator, lead):
    theirs = as_seen_by_another(change)
    change_give_up(change=change, reason="The yoke is bent.", by=lead)

    with pytest.raises(RuleBroken, match="done a moment ago"):
        change_animal(change=theirs, how="no animal", by=operator)
    with pytest.raises(RuleBroken, match="has ended already"):
        change_give_up(change=theirs, reason="Another reason.", by=operator)
    assert as_seen_by_another(change).reason == "The yoke is bent."


def test_a_full_one_that_somebody_else_took_leaves_the_old_one_on(
    to_the_seal, alder, hazel, manifold, operator, lead
):
    """The old one comes off only together with the full one going on."""
    cylinder_connect(cylinder=as_seen_by_another(hazel), source=manifold, bank="A", by=lead)

    with pytest.raises(RuleBroken, match="Hazel is marked 'in use'"):
        change_seal(change=to_the_seal, seal="new", by=operator)
    alder.refresh_from_db()
    assert (alder.state, alder.source) == ("in_use", to_the_seal.source)
    assert as_seen_by_another(to_the_seal).step == "seal"
    assert not CylinderEvent.objects.filter(kind="taken off").exists()


def test_the_seal_sent_twice_fits_one_cylinder_once(to_the_seal, hazel, operator, lead):
    theirs = as_seen_by_another(to_the_seal)
    change_seal(change=to_the_seal, seal="new", by=operator)

    with pytest.raises(RuleBroken, match="done a moment ago"):
        change_seal(change=theirs, seal="new", by=lead)
    assert CylinderEvent.objects.filter(cylinder=hazel, kind="connected").count() == 1


def test_an_old_seal_in_a_change_keeps_its_reason_in_the_log(to_the_seal, operator):
    change_seal(change=to_the_seal, seal="old", reason="No new one here.", by=operator)

    line = CylinderEvent.objects.get(kind="step seal")
    assert line.details == {"seal": "old", "reason": "No new one here."}


def test_the_last_step_cannot_be_done_before_its_turn(to_the_seal, operator):
    with pytest.raises(RuleBroken, match="done a moment ago"):
        change_reopen(change=to_the_seal, by=operator)
    assert as_seen_by_another(to_the_seal).finished_at is None


@pytest.fixture
def theirs(receive, other_site, operator):
    """A full one that is entered at another site, where the operator works too."""
    Membership.objects.create(user=operator, site=other_site, role=Role.OPERATOR)
    return receive("Pinyon", site=other_site)


def test_a_full_one_of_another_site_is_found_out_before_the_old_one_is_closed(
    change, theirs, operator
):
    found = FullOne(
        cylinder=theirs, label_gas="oxygen", label_agrees=True, size_agrees=True, outlet_clean=True
    )
    change_animal(change=change, how="no animal", by=operator)
    change_flows_off(change=change, by=operator)

    with pytest.raises(RuleBroken, match="is entered at High Saddle, not at Fennel Lane"):
        change_check(change=change, found=found, by=operator)
    with pytest.raises(RuleBroken, match="take one from here"):
        change_take(change=change, cylinder=theirs, by=operator)
    assert as_seen_by_another(change).new is None


def test_a_scan_of_another_site_says_so_on_the_page(change, theirs, as_operator):
    address = reverse("supply:change_take", kwargs={"code": change.code})
    page = as_operator.post(address, {"cylinder": str(theirs.code)}, follow=True)

    assert "Pinyon is entered at High Saddle" in page.content.decode()


def test_new_facts_of_a_source_leave_the_bank_that_somebody_turned(manifold, lead, operator):
    loaded = as_seen_by_another(manifold)
    source_duty(source=manifold, bank="B", by=operator)
    facts = SourceFacts(name="Manifold", kind="manifold", gas="oxygen", change_over_kpa=1600.0)
    source_edit(source=loaded, facts=facts, by=lead)

    now = as_seen_by_another(manifold)
    assert (now.duty_bank, now.change_over_kpa) == ("B", 1600.0)


def test_new_facts_of_a_source_do_not_bring_back_one_taken_out(manifold, lead):
    loaded = as_seen_by_another(manifold)
    source_retire(source=manifold, by=lead)
    source_edit(
        source=loaded, facts=SourceFacts(name="Other", kind="manifold", gas="oxygen"), by=lead
    )

    assert as_seen_by_another(manifold).retired_at is not None
    with pytest.raises(RuleBroken, match="was taken out of the list before"):
        source_retire(source=loaded, by=lead)


def test_two_flows_noted_at_one_moment_leave_one_that_runs(source, operator, lead):
    now = timezone.now()
    flow_start(source=source, flow_l_min=1.0, by=operator, at=now)
    flow_start(source=source, flow_l_min=2.0, by=lead, at=now)

    running = source.flows.filter(ended_at=None)
    assert [one.flow_l_min for one in running] == [2.0]
    assert source.flows.count() == 2
    flow_stop(source=source, by=operator)
    with pytest.raises(RuleBroken, match="No flow is noted as running from Wren"):
        flow_stop(source=source, by=lead)


def test_two_amendments_of_one_reading_keep_the_first_and_name_it(alder, read, operator, lead):
    first = read(alder, 71.0, hours_ago=1.0)
    loaded = as_seen_by_another(first)
    seen = {bar: Seen(typed=f"{bar} bar", at=first.at, gauge_kpa=bar * 100.0) for bar in (70, 69)}
    reading_amend(reading=first, seen=seen[70], reason="Read again.", by=operator)

    with pytest.raises(RuleBroken, match="amended before; amend the one that stands"):
        reading_amend(reading=loaded, seen=seen[69], reason="Read again.", by=lead)
    with pytest.raises(RuleBroken, match="amended before"):
        reading_set_aside(reading=loaded, reason="Another cylinder.", by=lead)
    assert sorted(Reading.objects.values_list("typed", flat=True)) == ["70 bar", "71 bar"]


def test_a_question_answered_by_two_keeps_the_first_word(alder, read, operator, lead):
    read(alder, 71.0, hours_ago=2.0)
    asked = read(alder, 171.0)
    loaded = as_seen_by_another(asked)
    reading_answer(reading=asked, said="It is what the needle shows", by=operator)

    with pytest.raises(RuleBroken, match="answered before; amend the reading instead"):
        reading_answer(reading=loaded, said="The room is warmer than it was", by=lead)
    assert as_seen_by_another(asked).said == "It is what the needle shows"


def test_one_form_sent_for_two_cylinders_is_kept_for_the_first_alone(alder, hazel, operator):
    from ullage.web.supply.services import reading_save

    seen = Seen(typed="71 bar", at=timezone.now(), gauge_kpa=7100.0)
    reading_save(cylinder=alder, seen=seen, by=operator)

    with pytest.raises(RuleBroken, match="belongs to another page"):
        reading_save(cylinder=hazel, seen=seen, by=operator)
    assert Reading.objects.get().cylinder == alder


def test_a_refusal_in_the_middle_of_several_writes_leaves_none_of_them(
    source, alder, manifold, hazel, operator
):
    """A refusal in the middle of several writes leaves none of them."""
    before = Cylinder.objects.get(pk=alder.pk), Source.objects.count()
    with pytest.raises(RuleBroken, match="Say which bank"):
        cylinder_connect(cylinder=hazel, source=manifold, by=operator)

    assert (Cylinder.objects.get(pk=alder.pk), Source.objects.count()) == before
    assert not CylinderEvent.objects.filter(cylinder=hazel, kind="connected").exists()
