"""A case begins and ends; what was meant to run is written down for the estimator."""

from datetime import timedelta

import pytest
from django.utils import timezone

from ullage.core.errors import RuleBroken
from ullage.web.days.models import CaseState, PlannedCase
from ullage.web.days.selectors import case_events
from ullage.web.days.services import case_begin, case_end
from ullage.web.machines.models import Machine
from ullage.web.machines.services import PartFacts, part_add, state_set
from ullage.web.supply.models import FlowRecord, Source

pytestmark = pytest.mark.web


@pytest.fixture
def began():
    return timezone.now() - timedelta(minutes=50)


def flows(source):
    return [
        ((one.started_at), one.ended_at, one.flow_l_min)
        for one in FlowRecord.objects.filter(source=source).order_by("started_at")
    ]


def test_a_begun_case_writes_its_flows_phase_by_phase(case, source, operator, began):
    case_begin(case=case, by=operator, at=began)

    first, second, third = flows(source)
    assert first == (began, began + timedelta(minutes=20), 1.7)
    assert second == (first[1], began + timedelta(minutes=95), 1.7)
    # The last flow runs until somebody turns it off.
    assert third == (second[1], None, 2.0)
    assert case.state == CaseState.RUNNING


def test_an_ended_case_ends_what_runs_and_takes_back_what_never_ran(case, source, operator, began):
    case_begin(case=case, by=operator, at=began)
    case_end(case=case, by=operator, at=began + timedelta(minutes=40))

    assert [one[1] for one in flows(source)] == [
        began + timedelta(minutes=20),
        began + timedelta(minutes=40),
    ]
    assert [one.kind for one in case_events(case)][:2] == ["ended", "began"]


def test_a_case_that_takes_longer_runs_its_last_flow_to_the_end(case, source, operator):
    began = timezone.now() - timedelta(minutes=130)
    case_begin(case=case, by=operator, at=began)
    case_end(case=case, by=operator, at=began + timedelta(minutes=125))

    assert flows(source)[-1][1] == began + timedelta(minutes=125)


def test_a_driven_ventilator_draws_besides_the_fresh_gas(site, case, source, operator, began):
    Machine.objects.update(ventilator="oxygen", drive_gas_factor=0.4)
    PlannedCase.objects.update(extras={"minute_volume_l_min": 5.0})
    fresh = PlannedCase.objects.select_related("machine", "site").get()
    case_begin(case=fresh, by=operator, at=began)

    # 1.7 L/min fresh gas and 0.4 L for each of 5 L/min of minute volume.
    assert flows(source)[0][2] == pytest.approx(3.7)


def test_a_reserve_and_a_source_of_another_gas_give_nothing(site, case, source, operator, began):
    for name, more in {"Reserve": {"reserve_of": source}, "Air": {"gas": "air"}}.items():
        other = Source.objects.create(site=site, name=name, kind="cylinder", **more)
        other.machines.add(case.machine)
    case_begin(case=case, by=operator, at=began)

    assert set(FlowRecord.objects.values_list("source__name", flat=True)) == {"Wall oxygen"}


def test_two_cases_on_one_source_do_not_cut_each_other_short(
    site, case, source, operator, facts, began
):
    from ullage.web.days.services import case_add

    other = case_add(site=site, facts=facts(name="Sorrel"), by=operator)
    case_begin(case=case, by=operator, at=began)
    case_begin(case=other, by=operator, at=began + timedelta(minutes=5))
    case_end(case=other, by=operator, at=began + timedelta(minutes=15))

    assert FlowRecord.objects.filter(why__startswith="Clover").count() == 3
    assert FlowRecord.objects.filter(why__startswith="Clover", ended_at=None).count() == 1


def test_a_machine_out_of_use_begins_nothing(case, source, operator, began):
    case.machine.state, case.machine.state_reason = "out_of_use", "failed its leak test"

    with pytest.raises(RuleBroken, match="Stop: Wren is out of use: failed its leak test"):
        case_begin(case=case, by=operator, at=began)
    assert not flows(source)


def test_a_machine_whose_relief_valve_is_out_of_use_begins_nothing(case, source, operator, began):
    said = PartFacts(name="Relief valve")
    valve = part_add(
        site=case.site, kind="relief_valve", said=said, by=operator, machine=case.machine
    )
    state_set(thing=valve, to="out_of_use", by=operator, reason="It sticks.")

    with pytest.raises(RuleBroken, match="Relief valve is out of use: It sticks"):
        case_begin(case=case, by=operator, at=began)
    assert not flows(source)


@pytest.mark.parametrize("state", [CaseState.RUNNING, CaseState.DONE, CaseState.CANCELLED])
def test_only_a_planned_case_begins(case, source, operator, began, state):
    PlannedCase.objects.update(state=state)

    with pytest.raises(RuleBroken, match="cannot begin again"):
        case_begin(case=case, by=operator, at=began)
    assert not flows(source)


def test_only_a_running_case_ends(case, operator):
    with pytest.raises(RuleBroken, match="planned; begin it first"):
        case_end(case=case, by=operator)


def test_a_time_that_has_not_come_is_refused(case, operator):
    later = timezone.now() + timedelta(hours=1)

    with pytest.raises(RuleBroken, match="has not come yet"):
        case_begin(case=case, by=operator, at=later)
    with pytest.raises(RuleBroken, match="has not come yet"):
        case_end(case=case, by=operator, at=later)


def test_a_case_does_not_end_before_it_began(case, source, operator, began):
    case_begin(case=case, by=operator, at=began)

    with pytest.raises(RuleBroken, match="ends after it began"):
        case_end(case=case, by=operator, at=began - timedelta(minutes=1))
