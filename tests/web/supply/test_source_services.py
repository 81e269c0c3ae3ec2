"""Sources keep what was changed about them; flows end when another begins."""

from datetime import timedelta

import pytest
from django.utils import timezone

from ullage.core.errors import InvalidQuantity, RuleBroken
from ullage.web.supply.models import FlowRecord, SourceEvent
from ullage.web.supply.selectors import flow_assumed, flow_share, flow_things, sources_of
from ullage.web.supply.services import (
    SourceFacts,
    cylinder_connect,
    cylinder_take_off,
    flow_record,
    flow_start,
    flow_stop,
    source_add,
    source_duty,
    source_edit,
    source_restore,
    source_retire,
)

pytestmark = pytest.mark.web


@pytest.fixture
def manifold(site, lead):
    facts = SourceFacts(name="Manifold", kind="manifold", gas="oxygen", change_over_kpa=1000.0)
    return source_add(site=site, facts=facts, by=lead)


def test_a_name_is_used_once_at_a_site(site, source, lead):
    with pytest.raises(RuleBroken, match="There is a source named wren here"):
        source_add(
            site=site, facts=SourceFacts(name="wren", kind="pipeline", gas="oxygen"), by=lead
        )


def test_a_change_keeps_the_old_value(source, machine, lead):
    facts = SourceFacts(name="Wren", kind="cylinder", gas="oxygen", trapped_ml=12.0)
    source_edit(source=source, facts=facts, machines=[machine], by=lead)

    kept = SourceEvent.objects.get(kind="changed").details
    assert kept["was"] == {"room": "Theatre 1", "trapped_ml": "None"}
    assert kept["now"] == {"room": "None", "trapped_ml": "12.0"}


def test_gas_and_kind_stay_while_a_cylinder_is_on(source, alder, lead):
    with pytest.raises(RuleBroken, match="take them off before its gas or kind"):
        source_edit(
            source=source, facts=SourceFacts(name="Wren", kind="cylinder", gas="air"), by=lead
        )


def test_a_source_with_a_cylinder_on_it_stays_in_the_list(source, alder, operator, lead):
    with pytest.raises(RuleBroken, match="A cylinder is on Wren"):
        source_retire(source=source, by=lead)
    cylinder_take_off(cylinder=alder, by=operator)
    source_retire(source=source, by=lead)

    assert sources_of(source.site) == []
    source_restore(source=source, by=lead)
    assert sources_of(source.site) == [source]


def test_a_flow_ends_where_the_next_begins(source, operator):
    begun = timezone.now() - timedelta(hours=1)
    flow_start(source=source, flow_l_min=1.0, by=operator, at=begun)
    flow_start(source=source, flow_l_min=2.0, by=operator)

    first, second = FlowRecord.objects.order_by("started_at")
    assert first.ended_at == second.started_at
    assert second.ended_at is None


def test_flows_of_several_machines_add_up_and_planned_ones_wait(source):
    now = timezone.now()
    hour = timedelta(hours=1)
    rows = [(1.0, now - hour, None), (0.5, now - hour, now + hour), (9.0, now + hour, None)]
    for flow, begins, ends in rows:
        FlowRecord.objects.create(
            source=source, flow_l_min=flow, started_at=begins, ended_at=ends, why=f"at {flow}"
        )

    found = flow_assumed(source)
    assert (found.flow_l_min, found.is_running) == (1.5, True)
    assert found.words == "at 1.0 and at 0.5"
    assert flow_assumed(source, share=0.2).flow_l_min == pytest.approx(0.3)


def test_a_flow_noted_by_hand_ends_what_was_meant_to_follow_and_deletes_nothing(source, operator):
    later = timezone.now() + timedelta(hours=1)
    planned = FlowRecord.objects.create(source=source, flow_l_min=9.0, started_at=later)
    flow_start(source=source, flow_l_min=2.0, by=operator)

    planned.refresh_from_db()
    assert planned.ended_at == planned.started_at
    assert FlowRecord.objects.count() == 2


def test_flows_that_lie_ahead_are_followed_and_those_that_never_ran_are_not(source):
    now = timezone.now()
    rows = [
        FlowRecord(flow_l_min=1.0, started_at=now - timedelta(hours=2), ended_at=now),
        FlowRecord(flow_l_min=2.0, started_at=now, ended_at=None),
        FlowRecord(flow_l_min=9.0, started_at=now, ended_at=now),
    ]
    periods = flow_things(rows, now - timedelta(hours=1), now + timedelta(hours=3), share=0.5)

    assert [(one.start_min, one.end_min, one.flow_l_min) for one in periods] == [
        (0.0, 60.0, 0.5),
        (60.0, 240.0, 1.0),
    ]


def test_all_flows_off_needs_a_flow_that_runs(source, operator):
    with pytest.raises(RuleBroken, match="No flow is noted as running from Wren"):
        flow_stop(source=source, by=operator)


@pytest.mark.parametrize("flow", [0.0, -1.0, float("nan")])
def test_a_flow_that_is_no_flow_is_refused(flow, source, operator):
    with pytest.raises(InvalidQuantity, match=r"flow_l_min .* a number above 0"):
        flow_start(source=source, flow_l_min=flow, by=operator)


def test_a_flow_that_ends_before_it_begins_is_refused(source, operator):
    now = timezone.now()
    with pytest.raises(RuleBroken, match="A flow ends after it began"):
        flow_record(source=source, flow_l_min=1, started_at=now, ended_at=now, by=operator)


def test_the_flow_assumed_says_where_it_comes_from(source, machine, operator):
    assert flow_assumed(source).words.startswith("a usual flow, common practice")
    machine.usual_flow_l_min = 1.7
    machine.save()
    usual = flow_assumed(source)
    assert (usual.flow_l_min, usual.is_running) == (1.7, False)
    assert usual.words == "usual on Wren, not running now"

    flow_start(source=source, flow_l_min=2.5, by=operator, why="Clover")
    running = flow_assumed(source)
    assert (running.flow_l_min, running.is_running, running.words) == (2.5, True, "Clover")


def test_in_a_bank_each_cylinder_gives_by_its_size_and_standby_gives_nothing(
    manifold, receive, operator
):
    large, small, other = (
        receive("Oak", water_capacity_l=40.0),
        receive("Ash", water_capacity_l=10.0),
        receive("Elm", water_capacity_l=40.0),
    )
    for one, bank in ((large, "A"), (small, "A"), (other, "B")):
        cylinder_connect(cylinder=one, source=manifold, bank=bank, by=operator)

    assert (flow_share(large), flow_share(small), flow_share(other)) == (0.8, 0.2, 0.0)
    source_duty(source=manifold, bank="B", by=operator)
    other.refresh_from_db()
    assert flow_share(other) == 1.0


def test_a_manifold_wants_to_know_the_bank(manifold, hazel, operator):
    with pytest.raises(RuleBroken, match="Say which bank of Manifold"):
        cylinder_connect(cylinder=hazel, source=manifold, by=operator)
    with pytest.raises(RuleBroken, match="Only a manifold has a bank"):
        source_duty(source=manifold, bank="C", by=operator)


def test_of_a_sequence_only_the_first_gives(site, lead, receive, operator):
    facts = SourceFacts(name="Barn", kind="sequence", gas="oxygen")
    barn = source_add(site=site, facts=facts, by=lead)
    first, second = receive("Oak"), receive("Ash")
    for one in (first, second):
        cylinder_connect(cylinder=one, source=barn, by=operator)

    assert (flow_share(first), flow_share(second)) == (1.0, 0.0)


def test_a_pipeline_takes_no_cylinder_but_a_reserve_stands_behind_it(site, hazel, lead, operator):
    outlet = source_add(
        site=site, facts=SourceFacts(name="Wall", kind="pipeline", gas="oxygen"), by=lead
    )
    with pytest.raises(RuleBroken, match="Wall draws from no cylinder"):
        cylinder_connect(cylinder=hazel, source=outlet, by=operator)
    behind = source_add(
        site=site,
        facts=SourceFacts(name="Reserve", kind="cylinder", gas="oxygen", reserve_of=outlet),
        by=lead,
    )
    cylinder_connect(cylinder=hazel, source=behind, by=operator)

    assert flow_share(hazel) == 0.0
