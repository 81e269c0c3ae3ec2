"""The checks of the practice world: one machine leaks, one passes at the second try, one waits."""

import pytest

from ullage.answers import Verdict
from ullage.web.checks.models import Check, Entry, LimitChoice
from ullage.web.checks.selectors import check_lines, limits_of
from ullage.web.machines.models import Machine, UseState
from ullage.web.machines.selectors import readiness_of

pytestmark = [pytest.mark.web, pytest.mark.django_db]


@pytest.fixture
def last(world, db):
    """The last check of a machine by its name."""

    def found(name: str) -> Check:
        return Check.objects.filter(machine__name=name).select_related("machine").first()

    return found


def line_of(check, key):
    return next(one for one in check_lines(check) if one.step.key == key)


def test_plover_leaks_and_is_out_of_use_with_the_check_behind_it(last):
    check = last("Plover")
    plover = Machine.objects.get(name="Plover")

    assert check.verdict == Verdict.STOP
    assert line_of(check, "leak").answer.text == "450 mL/min (400 to 500 mL/min)"
    assert plover.state == UseState.OUT
    assert plover.state_changes.first().record_code == check.code


def test_heron_passes_on_the_second_try_and_both_stay_readable(last):
    check = last("Heron")
    tries = line_of(check, "leak").entries

    assert [one.verdict for one in tries] == [Verdict.FINE, Verdict.STOP]
    assert check.verdict == Verdict.FINE
    assert Machine.objects.get(name="Heron").state == UseState.IN_USE


def test_the_check_of_dunlin_was_left_half_way_and_lost_nothing(last):
    check = last("Dunlin")

    assert check.ended_at is None
    done = [one.step.key for one in check_lines(check) if one.last is not None]
    assert done == [
        "self_inflating_bag",
        "reserve_cylinder",
        "oxygen_supply",
        "oxygen_failure_alarm",
    ]


def test_a_check_that_was_left_is_said_wherever_the_machine_is_named(last, world):
    dunlin = last("Dunlin").machine
    ready = readiness_of([dunlin], world.now)[dunlin.pk]

    assert ready.verdict == Verdict.NOT_YET
    assert "was begun and is not finished" in ready.sentence
    assert ready.todo == "Finish the check of the start of the day."


def test_siskin_has_no_alarm_and_is_used_with_somebody_who_watches(last, world):
    check = last("Siskin")
    ready = readiness_of([check.machine], world.now)[check.machine.pk]

    assert check.verdict == Verdict.LOOK_AGAIN
    assert "someone who watches the oxygen gauge" in check.result["sentence"]
    assert ready.verdict == Verdict.LOOK_AGAIN


def test_the_site_chose_its_leak_limit_and_both_sites_have_one(world):
    assert LimitChoice.objects.count() == len(world.sites)
    for site in world.sites:
        assert limits_of(site)["leak"].high == pytest.approx(0.3)


def test_no_entry_lies_ahead_of_now_and_each_has_a_hand(world):
    assert not Entry.objects.filter(at__gt=world.now).exists()
    assert set(Entry.objects.values_list("by__initials", flat=True)) == {"M.O."}
    assert Entry.objects.filter(word="no animal").exists()


def test_earlier_checks_fill_the_days_before_today(world):
    days = {one.date() for one in Check.objects.values_list("begun_at", flat=True)}

    assert len(days) == 6
    assert Check.objects.filter(machine__name="Wren").count() == 6
