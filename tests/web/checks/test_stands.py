"""What checks still stand for: the day, what was changed since, in a constant number of queries."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from ullage.answers import Verdict
from ullage.answers.checks import ChangeKind
from ullage.core.errors import RuleBroken
from ullage.web.checks.models import Check
from ullage.web.checks.selectors import changes_of, standings
from ullage.web.checks.services import change_say, check_begin, check_end
from ullage.web.machines.models import Machine
from ullage.web.machines.selectors import readiness_of
from ullage.web.machines.services import PartFacts, part_add, part_move

pytestmark = pytest.mark.web


@pytest.fixture
def passed(check, fill, leak_limit, operator):
    return check_end(check=fill(check), by=operator)


def ready(machine, hours=0.0):
    now = timezone.now() + timedelta(hours=hours)
    return readiness_of([Machine.objects.get(pk=machine.pk)], now)[machine.pk]


def test_a_check_of_today_makes_a_machine_ready_and_one_of_yesterday_does_not(passed, machine):
    assert ready(machine).verdict == Verdict.FINE

    tomorrow = ready(machine, hours=24)
    assert tomorrow.verdict == Verdict.NOT_YET
    assert "It was made on another day." in tomorrow.sentence


def test_after_a_change_what_rests_on_it_is_due_again(passed, machine, operator):
    change_say(machine=machine, kind=ChangeKind.VAPORIZER, at=timezone.now(), by=operator)

    again = ready(machine, hours=0.01)
    assert again.verdict == Verdict.NOT_YET
    assert "a vaporizer was changed" in again.sentence


def test_a_part_that_moves_is_a_change_on_both_machines(passed, site, machine, lead):
    other = Machine.objects.create(site=site, name="Heron")
    said = PartFacts(name="Hose")
    part = part_add(site=site, kind="hose", said=said, by=lead, machine=machine)
    part_move(part=part, to_machine=other, by=lead)

    found = changes_of([machine, other], timezone.now() - timedelta(minutes=5))
    assert [one.kind for one in found[machine.pk]] == [ChangeKind.HOSE] * 2
    assert [one.kind for one in found[other.pk]] == [ChangeKind.HOSE]


def test_a_change_that_has_not_come_yet_is_refused(machine, operator):
    later = timezone.now() + timedelta(hours=1)
    with pytest.raises(RuleBroken, match="This time has not come yet"):
        change_say(machine=machine, kind=ChangeKind.BAG, at=later, by=operator)


def test_a_check_that_was_given_up_stands_for_nothing(check, machine):
    Check.objects.filter(pk=check.pk).update(ended_at=timezone.now(), given_up="Called away.")

    assert standings([machine], timezone.now()) == {}


def test_as_many_queries_for_one_machine_as_for_ten(passed, site, machine, operator):
    more = [Machine.objects.create(site=site, name=f"Bird {one}") for one in range(9)]
    for one in more:
        check_begin(machine=one, key="start_of_day", by=operator)

    readiness_of([machine], timezone.now())  # the due days of a site are read once and kept
    counts = []
    for asked in ([machine], [machine, *more]):
        with CaptureQueriesContext(connection) as done:
            readiness_of(asked, timezone.now())
        counts.append(len(done))
    assert counts[0] == counts[1] <= 16
