"""Cases are added, changed, moved, copied, cancelled; nothing that was entered is lost."""

from datetime import date, timedelta

import pytest

from ullage.core.errors import RuleBroken
from ullage.web.days.models import CaseEvent, CaseState, PlannedCase
from ullage.web.days.selectors import bounds_of, case_events, cases_of, day_of, days_around
from ullage.web.days.services import (
    case_add,
    case_cancel,
    case_change,
    case_copy,
    case_move,
    case_restore,
    day_copy,
)
from ullage.web.machines.models import Machine

pytestmark = pytest.mark.web


def kinds(case):
    return [one.kind for one in case_events(case)]


def test_a_case_stands_in_the_plan_of_its_day(case, site, today):
    assert list(cases_of(site, today)) == [case]
    assert case.minutes == 110.0
    assert kinds(case) == ["added"]


def test_a_question_and_its_answer_are_kept(site, operator, facts):
    case = case_add(
        site=site, facts=facts(asked="Is 340 kg right?", said="Yes, keep it"), by=operator
    )

    assert (case.asked, case.said) == ("Is 340 kg right?", "Yes, keep it")
    assert case_events(case)[0].details["said"] == "Yes, keep it"


def test_a_case_on_another_sites_machine_is_refused(site, other_site, operator, facts):
    theirs = Machine.objects.create(site=other_site, name="Dipper")

    with pytest.raises(RuleBroken, match="Dipper is no machine of Fennel Lane"):
        case_add(site=site, facts=facts(machine=theirs), by=operator)


@pytest.mark.parametrize("phases", [[], [{"name": "Procedure", "minutes": 0.0}]])
def test_a_case_without_minutes_is_refused(site, operator, facts, phases):
    with pytest.raises(RuleBroken, match="how many minutes Clover takes"):
        case_add(site=site, facts=facts(phases=phases), by=operator)


def test_a_change_keeps_the_values_before_it(case, operator, facts):
    case_change(case=case, facts=facts(weight_kg=3.6, name="Clover"), by=operator)

    case.refresh_from_db()
    assert case.weight_kg == 3.6
    assert case_events(case)[0].details["was"] == {"weight_kg": 3.4}


def test_a_change_of_nothing_writes_nothing(case, operator, facts):
    case_change(case=case, facts=facts(), by=operator)

    assert kinds(case) == ["added"]


@pytest.mark.parametrize("state", [CaseState.DONE, CaseState.CANCELLED])
def test_a_case_that_is_over_takes_no_change_and_says_what_to_do(case, operator, facts, state):
    PlannedCase.objects.update(state=state)

    with pytest.raises(RuleBroken, match="copy it to plan another one"):
        case_change(case=case, facts=facts(weight_kg=3.6), by=operator)
    case.refresh_from_db()
    assert case.weight_kg == 3.4


def test_a_moved_case_keeps_its_time_of_day(case, operator, site, today):
    case_move(case=case, to=today + timedelta(days=1), by=operator)

    assert not cases_of(site, today)
    moved = cases_of(site, today + timedelta(days=1)).get()
    assert moved.starts_at - bounds_of(site, today + timedelta(days=1)).start == timedelta(
        hours=10, minutes=30
    )


def test_a_case_keeps_its_time_of_day_through_a_change_of_clocks(site, operator, facts):
    # Clocks in London go forward on 29 March 2026.
    saturday = bounds_of(site, date(2026, 3, 28)).start + timedelta(hours=9)
    case = case_add(site=site, facts=facts(starts_at=saturday), by=operator)
    case_move(case=case, to=date(2026, 3, 29), by=operator)

    assert case.starts_at - saturday == timedelta(hours=23)
    assert day_of(site, case.starts_at) == date(2026, 3, 29)


def test_a_running_case_is_not_moved(case, operator, today):
    PlannedCase.objects.update(state=CaseState.RUNNING)
    case.refresh_from_db()

    with pytest.raises(RuleBroken, match="Clover is running; copy it instead"):
        case_move(case=case, to=today + timedelta(days=1), by=operator)


def test_a_case_that_began_meanwhile_is_not_moved(case, operator, today):
    PlannedCase.objects.update(state=CaseState.RUNNING)

    with pytest.raises(RuleBroken, match="has begun meanwhile"):
        case_move(case=case, to=today + timedelta(days=1), by=operator)


def test_a_cancelled_case_stays_and_can_be_taken_back(case, operator, site, today):
    case_cancel(case=case, by=operator, reason="not fasted")
    assert cases_of(site, today).get().state == CaseState.CANCELLED

    case_restore(case=case, by=operator)
    assert cases_of(site, today).get().state == CaseState.PLANNED
    assert kinds(case) == ["taken back", "cancelled", "added"]
    assert case_events(case)[1].details == {"reason": "not fasted"}


def test_taking_back_what_was_not_cancelled_changes_nothing(case, operator):
    case_restore(case=case, by=operator)

    assert kinds(case) == ["added"]


def test_a_case_that_runs_is_not_cancelled(case, operator):
    PlannedCase.objects.update(state=CaseState.RUNNING)

    with pytest.raises(RuleBroken, match="running and cannot be cancelled"):
        case_cancel(case=case, by=operator)


def test_a_copy_leaves_the_weight_to_be_taken_anew(case, operator, today):
    made = case_copy(case=case, to=today + timedelta(days=7), by=operator)

    assert made.weight_kg is None
    assert (made.name, made.phases, made.machine) == (case.name, case.phases, case.machine)
    assert made.state == CaseState.PLANNED


def test_a_day_is_copied_without_its_cancelled_cases(site, case, operator, facts, at, today):
    other = case_add(site=site, facts=facts(name="Sorrel", starts_at=at(13, 30)), by=operator)
    case_cancel(case=other, by=operator)
    made = day_copy(site=site, source=today, to=today + timedelta(days=1), by=operator)

    assert [one.name for one in made] == ["Clover"]


def test_a_day_is_not_copied_into_itself(site, operator, today):
    with pytest.raises(RuleBroken, match="Choose another day"):
        day_copy(site=site, source=today, to=today, by=operator)


def test_days_near_by_are_counted_without_the_cancelled(site, case, operator, facts, today):
    case_cancel(case=case_add(site=site, facts=facts(name="Sorrel"), by=operator), by=operator)

    assert days_around(site, today) == {today: 1}


def test_a_case_of_another_site_is_of_another_day_plan(other_site, case, today):
    assert not cases_of(other_site, today)


def test_the_answers_of_both_days_are_asked_for_when_a_case_moves(
    case, operator, today, django_capture_on_commit_callbacks
):
    with django_capture_on_commit_callbacks() as asked:
        case_move(case=case, to=today + timedelta(days=1), by=operator)

    assert len(asked) == 2
    assert CaseEvent.objects.filter(kind="moved").count() == 1
