"""Rows of a day turned into the plan that answers rest on."""

from datetime import timedelta

import pytest
from django.utils import timezone

from ullage.answers import Verdict
from ullage.answers.plan import Drive, SourceKind
from ullage.web.days.models import CaseState, PlannedCase
from ullage.web.days.selectors import day_answers, source_outlook
from ullage.web.days.selectors.plan import day_things
from ullage.web.days.services import case_cancel, day_work
from ullage.web.machines.models import Machine
from ullage.web.supply.models import Cylinder, Reading, Source
from ullage.web.supply.services import Worked, answers_store

from .conftest import answer

pytestmark = pytest.mark.web


@pytest.fixture
def things(site, today):
    return lambda now=None: day_things(site, today, now or timezone.now())


def test_a_case_becomes_its_phases_with_times_after_midnight(things, case):
    found = things().plan.cases[0]

    assert (found.name, found.machine, found.start_min) == ("Clover", "Wren", 630.0)
    assert [(one.name, one.minutes, one.oxygen_l_min) for one in found.phases] == [
        ("Preparation", 20.0, 1.7),
        ("Procedure", 75.0, 1.7),
        ("Waking", 15.0, 2.0),
    ]


def test_flushes_chamber_and_ventilator_come_along(things, case):
    extras = {"flushes": 2, "chamber_l": 8.0, "minute_volume_l_min": 5.0}
    PlannedCase.objects.update(extras=extras)
    found = things().plan.cases[0]

    assert found.flushes == 2
    assert found.chamber.volume_l == 8.0
    assert found.ventilation.minute_volume_l_min == 5.0


def test_a_cancelled_case_asks_for_nothing(things, case, operator):
    case_cancel(case=case, by=operator)

    assert not things().plan.cases


def test_a_case_that_ended_early_counts_as_long_as_it_took(things, case, at):
    PlannedCase.objects.update(state=CaseState.DONE, began_at=at(10, 40), ended_at=at(11, 25))
    found = things().plan.cases[0]

    assert (found.start_min, found.minutes) == (640.0, 45.0)
    assert [one.minutes for one in found.phases] == [20.0, 25.0]


def test_a_case_that_took_longer_counts_its_last_phase_to_the_end(things, case, at):
    PlannedCase.objects.update(state=CaseState.DONE, began_at=at(10, 30), ended_at=at(13, 0))

    assert things().plan.cases[0].phases[-1].minutes == 55.0


def test_a_cylinder_comes_with_its_latest_reading(things, case, reading, at):
    Reading.objects.update(at=at(7, 52))
    found = things().plan.sources[0]

    assert found.kind is SourceKind.CYLINDER
    assert found.feeds == ("Wren",)
    assert found.cylinders[0].reading.gauge_kpa == 7100.0
    assert found.reading_min == 472.0


def test_a_cylinder_nobody_has_read_is_asked_about(things, case, cylinder):
    found = things()

    assert not found.plan.sources
    assert found.unread[0].question == (
        "What does Alder hold? No reading yet: read the gauge of it."
    )


def test_a_source_without_a_cylinder_is_asked_about(things, source):
    assert things().unread[0].question == "Which cylinder is on Wall oxygen?"


def bank(site, source, letter, operator, gauge_kpa):
    for number in (1, 2):
        one = Cylinder.objects.create(
            site=site, source=source, bank=letter, name=f"{letter}{number}",
            water_capacity_l=47.2, state="in_use",
        )  # fmt: skip
        Reading.objects.create(
            cylinder=one, at=timezone.now(), gauge_kpa=gauge_kpa, typed="bar", by=operator
        )


def test_the_bank_on_duty_stands_first(things, site, source, operator):
    Source.objects.update(kind="manifold", duty_bank="B")
    bank(site, source, "A", operator, 13_000.0)
    bank(site, source, "B", operator, 6_000.0)
    found = things().plan.sources[0]

    assert [one.reading.gauge_kpa for one in found.cylinders] == [6_000.0, 13_000.0]
    assert [one.count for one in found.cylinders] == [2, 2]


def test_a_manifold_with_one_bank_is_asked_about(things, site, source, operator):
    Source.objects.update(kind="manifold", duty_bank="A")
    bank(site, source, "A", operator, 13_000.0)

    assert "both banks" in things().unread[0].question


def test_a_reserve_of_a_source_that_is_left_out_is_left_out_too(things, site, cylinder, source):
    Source.objects.create(site=site, name="Behind", kind="pipeline", reserve_of=source)

    assert not things().plan.sources


@pytest.mark.parametrize(("written", "meant"), [("yes", True), ("no", False), ("unknown", None)])
def test_what_nobody_said_of_an_alarm_stays_unknown(things, machine, written, meant):
    Machine.objects.update(oxygen_alarm=written, ventilator="oxygen", drive_gas_factor=0.4)
    found = things().plan.machines[0]

    assert found.oxygen_alarm is meant
    assert (found.ventilator, found.drive_factor) == (Drive.OXYGEN, 0.4)


def test_a_leak_that_readings_show_is_reckoned_with_and_a_possible_one_is_not(
    things, site, cylinder, reading
):
    shown = answer("Does it leak?", "mL/min", 100.0, low=80.0, high=120.0)
    for verdict, leak in ((Verdict.FINE, 0.0), (Verdict.LOOK_AGAIN, 0.1)):
        told = {"answer": {**shown.as_dict(), "verdict": verdict.value}}
        worked = Worked(subject=f"cylinder:{cylinder.pk}", payloads={"leak": told})
        answers_store(site=site, worked=worked, at=timezone.now())

        assert things().plan.sources[0].leak_l_min == pytest.approx(leak)


def test_now_counts_only_on_its_own_day(things, case, at):
    assert things(at(9, 31)).plan.now_min == 571.0
    assert things(at(9, 31) + timedelta(days=1)).plan.now_min is None


def test_a_day_is_worked_out_and_kept_with_its_time(site, today, case, reading):
    day_work(site_pk=site.pk, day=today)
    found = day_answers(site, today)

    assert [one.name for one in found.outlooks] == ["Wall oxygen"]
    assert found.outlooks[0].left.value == pytest.approx(345.0, rel=0.05)
    assert found.worked_out_at is not None
    assert day_answers(site, today, "board").outlooks[0].verdict is found.outlooks[0].verdict


def test_a_plan_that_cannot_be_answered_is_kept_with_its_reason(site, today, case, reading):
    other = Source.objects.create(site=site, name="Floor oxygen", kind="pipeline")
    other.machines.add(case.machine)
    day_work(site_pk=site.pk, day=today)

    assert "both feed oxygen to Wren" in day_answers(site, today).refused


def test_the_chain_of_a_machine_is_kept_with_the_day(site, today, case, reading):
    day_work(site_pk=site.pk, day=today)
    chain = day_answers(site, today).chains[0]

    assert (chain.machine, chain.source) == ("Wren", "Wall oxygen")
    assert chain.verdict is Verdict.NOT_YET
    assert chain.open_count > 3


def test_the_answers_about_one_source_are_kept_apart(site, today, case, reading, source):
    day_work(site_pk=site.pk, day=today)
    found = source_outlook(site, today, source.pk)

    assert found == day_answers(site, today).outlooks[0]
    assert source_outlook(site, today, source.pk + 1) is None
