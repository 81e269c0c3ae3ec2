"""The due list: one query for its dates, the rules of the answers, filters, order, queries."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from ullage.answers.service import TASKS, due_lines
from ullage.web.machines.models import Machine, Part
from ullage.web.machines.services import (
    PartFacts,
    machine_add,
    part_add,
    part_change,
    part_move,
    part_restore,
    part_retire,
)
from ullage.web.service.selectors import (
    DueAsked,
    due_list,
    due_on_machine,
    due_on_part,
    intervals_at,
    remarks_on,
)
from ullage.web.service.selectors.dates import _worked_out, dates_of
from ullage.web.service.selectors.daynumber import DayNumber
from ullage.web.service.selectors.due import done_on, row_of
from ullage.web.service.services import (
    EventSaid,
    event_add,
    event_withdraw,
    interval_set,
    output_test_add,
)

pytestmark = pytest.mark.web


@pytest.mark.parametrize(
    "day", ["0001-01-01", "1970-01-01", "2024-02-29", "2026-06-09", "9999-12-31"]
)
def test_a_day_is_the_number_that_python_gives_it(day, vaporizer):
    Part.objects.update(bought_on=date.fromisoformat(day))
    found = Part.objects.annotate(number=DayNumber("bought_on")).values_list("number", flat=True)

    assert list(found) == [date.fromisoformat(day).toordinal()]


def furnish(site, done, count=4, name="Bird"):
    """Machines with parts of many kinds, bought and tested on many days."""
    for number in range(count):
        machine = Machine.objects.create(site=site, name=f"{name} {number}")
        done(machine, "inspection", 100 * number)
        for kind, facts in (
            ("vaporizer", {"agent": "halothane" if number % 2 else "isoflurane"}),
            ("hose", {"replace_by": f"2026-0{1 + number % 9}-15"}),
            ("hose", {}),
            ("flowmeter", {}),
        ):
            bought = date(2024, 1 + number % 12, 3) if number % 3 else None
            part = Part.objects.create(
                site=site, machine=machine, kind=kind, name=kind, facts=facts, bought_on=bought
            )
            if kind == "vaporizer" and number % 4:
                done(part, "output_test", 90 * number, facts={})
                done(part, "output_test", 90 * number + 400, facts={})
                done(part, "service", 300 * number)


def test_the_query_finds_what_the_rules_find(site, lead, done, today):
    furnish(site, done, 13)
    Part.objects.create(site=site, kind="vaporizer", name="Loose", facts={"agent": "halothane"})
    Part.objects.create(site=site, kind="hose", name="Gone", retired_at=timezone.now())
    interval_set(site=site, thing="flowmeter", task="inspection", days=200, why="Ours.", by=lead)
    parts = list(Part.objects.filter(retired_at=None))
    machines = list(Machine.objects.all())
    done = done_on([one.pk for one in parts], [one.pk for one in machines])
    rows = [row_of(one, done) for one in (*machines, *parts)]
    expected = {
        (one.row.code, one.interval.task, one.due_on)
        for one in due_lines(rows, intervals_at(site), today)
    }

    found = set()
    page = due_list(site, DueAsked(), today)
    for number in range(1, page.pages + 1):
        lines = due_list(site, DueAsked(page=number), today).lines
        found |= {(one.thing.code, one.due.interval.task, one.due.due_on) for one in lines}

    assert found == expected
    assert page.found == len(expected)
    assert sum(page.counts.values()) == len(expected)


def test_overdue_comes_first_then_what_nobody_knows_then_what_is_to_come(site, done, today):
    furnish(site, done, 9)
    lines = due_list(site, DueAsked(), today).lines
    dates = [one.due.due_on or today for one in lines]

    assert dates == sorted(dates)
    assert lines[0].when == "overdue"


@pytest.mark.parametrize("when", ["overdue", "soon", "later", "nothing on record"])
def test_each_filter_shows_as_many_as_it_counts(site, done, today, when):
    furnish(site, done, 9)
    page = due_list(site, DueAsked(when=when), today)

    assert page.found == page.counts[when]
    assert {one.when for one in page.lines} <= {when}


def test_filters_by_thing_task_and_machine(site, done, today, vaporizer):
    furnish(site, done, 3)
    machine = Machine.objects.get(name="Bird 2")
    Part.objects.create(site=site, kind="vaporizer", name="Loose", facts={"agent": "isoflurane"})

    def found(**asked):
        return due_list(site, DueAsked(**asked), today).lines

    assert {one.due.interval.thing for one in found(thing="hose")} == {"hose"}
    assert {one.due.interval.task for one in found(task="cleaning")} == {"cleaning"}
    assert {one.machine for one in found(machine="bird 2")} == {machine}
    assert {one.thing.name for one in found(machine="Store")} == {"Loose"}
    assert found(machine="no such name") == ()


def test_the_order_by_machine_and_by_kind(site, done, today):
    furnish(site, done, 3)
    by_machine = due_list(site, DueAsked(sort="machine"), today).lines
    by_kind = due_list(site, DueAsked(sort="kind"), today).lines

    names = [one.machine.name for one in by_machine]
    assert names == sorted(names)
    kinds = [one.due.interval.thing for one in by_kind]
    assert kinds == sorted(kinds)


@pytest.mark.parametrize("page", [-5, 0, 10**6])
def test_a_page_that_there_is_not_is_the_nearest_one(site, done, today, page):
    furnish(site, done, 3)

    assert due_list(site, DueAsked(page=page), today).page == 1


def test_another_site_is_never_on_the_list(site, other_part, vaporizer, today):
    things = {one.thing for one in due_list(site, DueAsked(), today).lines}

    assert vaporizer in things
    assert other_part not in things


def test_the_page_takes_as_many_queries_for_few_as_for_many(as_operator, site, done, today):
    furnish(site, done, 8)
    as_operator.get("/service/?sort=machine")
    with CaptureQueriesContext(connection) as few:
        as_operator.get("/service/?sort=machine")
    furnish(site, done, 60, "Tree")
    as_operator.get("/service/?sort=machine")
    with CaptureQueriesContext(connection) as many:
        page = as_operator.get("/service/?sort=machine").content.decode()

    assert "Page 1 of" in page
    assert len(many) == len(few)


def test_what_is_overdue_speaks_on_the_readiness_of_its_machine(machine, vaporizer, hose, done):
    done(vaporizer, "output_test", 370, facts={})
    done(machine, "inspection", 800)
    (remark,) = remarks_on([machine], timezone.now())[machine.pk]

    assert remark.verdict == "Look again"
    assert remark.sentence == ("Overdue: inspection, output test of Iso on Wren, and 1 more.")
    assert remark.todo == TASKS["inspection"].todo


def test_nothing_overdue_says_nothing(machine, vaporizer, done):
    done(vaporizer, "output_test", 10, facts={})

    assert remarks_on([machine], timezone.now()) == {}


def test_remarks_on_many_take_as_many_queries_as_on_few(site, done):
    furnish(site, done, 8)
    remarks_on(list(Machine.objects.all()), timezone.now())
    with CaptureQueriesContext(connection) as few:
        remarks_on(list(Machine.objects.all()), timezone.now())
    furnish(site, done, 40, "Tree")
    remarks_on(list(Machine.objects.all()), timezone.now())
    with CaptureQueriesContext(connection) as many:
        found = remarks_on(list(Machine.objects.all()), timezone.now())

    assert len(found) > 20
    assert len(many) == len(few)


def test_a_machine_with_its_parts_earliest_first(machine, vaporizer, hose, done, today):
    done(machine, "inspection", 364)
    lines = due_on_machine(machine, [vaporizer, hose], today)

    assert [one.task for one in lines][:2] == ["Replacement", "Output test"]
    dates = [one.due.due_on or today for one in lines]
    assert dates == sorted(dates)


def test_the_latest_of_two_on_record_counts(vaporizer, machine, done, today):
    done(vaporizer, "output_test", 10, facts={})
    done(vaporizer, "output_test", 400, facts={})
    (line,) = [
        one for one in due_on_machine(machine, [vaporizer], today) if one.task == "Output test"
    ]

    assert line.due.due_on == today + timedelta(days=355)


def test_a_test_that_gave_no_number_leaves_it_due(
    *, vaporizer, machine, lead, readings, said, done, today
):
    done(vaporizer, "output_test", 400, facts={})
    beside = readings(fresh_gas_l_min=40.0, flow_lowest_l_min=0.3, flow_highest_l_min=12.0)
    event, _ = output_test_add(part=vaporizer, said=said("output_test", facts=beside), by=lead)
    (on_page,) = [one for one in due_on_part(vaporizer, today) if one.task == "Output test"]
    (in_list,) = due_list(vaporizer.site, DueAsked(when="overdue"), today).lines

    assert event.answer["value"] is None
    assert on_page.due.due_on == in_list.due.due_on == today - timedelta(days=35)
    assert "Overdue: output test" in remarks_on([machine], timezone.now())[machine.pk][0].sentence


def lines_now(site, today):
    """The dates as a page would show them, and as they are worked out with nothing kept."""
    kept = dates_of(site, intervals_at(site), today).lines
    _worked_out.cache_clear()
    return kept, dates_of(site, intervals_at(site), today).lines


@pytest.mark.parametrize("write", range(9))
def test_what_is_kept_is_never_older_than_what_was_written(
    *, site, vaporizer, hose, lead, done, today, write
):
    event = done(vaporizer, "output_test", 300, facts={})
    tomorrow = PartFacts(name="Iso", facts={"agent": "halothane"}, bought_on=date(2024, 2, 3))
    said = EventSaid(kind="cleaning", done_on=today, done_by="Us")
    before = dates_of(site, intervals_at(site), today).lines
    (
        lambda: event_add(thing=vaporizer, said=said, by=lead),
        lambda: event_withdraw(event=event, by=lead, reason="No."),
        lambda: interval_set(
            site=site, thing="vaporizer", task="output_test", days=9, why="x", by=lead
        ),
        lambda: part_change(part=vaporizer, said=tomorrow, by=lead),
        lambda: part_move(part=hose, to_machine=None, by=lead),
        lambda: part_retire(part=hose, by=lead, why="Torn."),
        lambda: part_restore(part=part_retire(part=hose, by=lead, why="Torn."), by=lead),
        lambda: part_add(site=site, kind="vaporizer", said=tomorrow, by=lead),
        lambda: machine_add(site=site, name="Robin"),
    )[write]()
    kept, fresh = lines_now(site, today)

    assert kept == fresh
    assert write == 0 or kept != before


def test_what_is_kept_belongs_to_one_day(site, vaporizer, done, today):
    done(vaporizer, "output_test", 366, facts={})
    rules = intervals_at(site)

    assert dates_of(site, rules, today).counts["overdue"] == 1
    assert dates_of(site, rules, today - timedelta(days=2)).counts["overdue"] == 0
