"""What is due: the rule engine on one row, on many, and against a slow one written apart."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.answers import Verdict
from ullage.answers.service import (
    MACHINE,
    TASKS,
    DueRow,
    When,
    due_lines,
    due_of,
    intervals_of,
    service_due,
    site_interval,
)
from ullage.core.errors import InvalidQuantity, UnknownReference
from ullage.reference.facts import fact

TODAY = date(2026, 6, 9)
OUTPUT = intervals_of()[0]


def vaporizer(last=None, agent="isoflurane", **known):
    done = {} if last is None else {"output_test": last}
    return DueRow("v", "vaporizer", agent, done=done, **known)


@pytest.mark.published("machine_S139")
def test_an_output_check_370_days_ago_is_overdue_where_it_is_yearly():
    # machine_checks SV04: last output check 370 days ago, yearly: overdue.
    row = fact("machine_checks", "SV04")
    assert row.value == "overdue"
    assert "370 days" in row.condition

    due = due_of(vaporizer(TODAY - timedelta(days=370)), OUTPUT)
    answer = service_due(due, TODAY)

    assert due.when(TODAY) is When.OVERDUE
    assert answer.value == -5
    assert answer.verdict is Verdict.LOOK_AGAIN
    assert answer.todo == TASKS["output_test"].todo


@pytest.mark.parametrize(
    ("ago", "when", "words"),
    [
        (366, When.OVERDUE, "overdue by 1 day"),
        (365, When.SOON, "due today"),
        (364, When.SOON, "due in 1 day, on 10 June 2026"),
        (335, When.SOON, "due in 30 days"),
        (334, When.LATER, "due in 31 days"),
    ],
)
def test_the_last_day_of_an_interval_is_still_in_time(ago, when, words):
    due = due_of(vaporizer(TODAY - timedelta(days=ago)), OUTPUT)

    assert due.when(TODAY) is when
    assert words in service_due(due, TODAY).sentence


def test_what_is_on_no_record_is_asked_for():
    answer = service_due(due_of(vaporizer(), OUTPUT), TODAY)

    assert answer.verdict is Verdict.NOT_YET
    assert answer.value is None
    assert answer.settles


def test_a_new_one_counts_from_the_day_it_was_bought_and_says_so():
    due = due_of(vaporizer(since=TODAY - timedelta(days=100)), OUTPUT)

    assert due.due_on == TODAY + timedelta(days=265)
    assert "bought" in service_due(due, TODAY).assumptions[0]


def test_the_intervals_that_disagree_stand_beside_the_one_that_is_offered():
    answer = service_due(due_of(vaporizer(TODAY), OUTPUT), TODAY)

    assert [view.result for view in answer.views] == ["365 days", "91 days"]
    assert sum(view.chosen for view in answer.views) == 1


def test_only_halothane_vaporizers_are_cleaned_for_its_preservative():
    assert [one.interval.task for one in due_lines([vaporizer()], intervals_of(), TODAY)] == [
        "output_test",
        "service",
    ]
    tasks = {
        one.interval.task
        for one in due_lines([vaporizer(agent="halothane")], intervals_of(), TODAY)
    }
    assert tasks == {"output_test", "service", "cleaning"}


def test_a_hose_is_due_on_the_day_written_on_it():
    hose = DueRow("h", "hose", replace_by=TODAY - timedelta(days=3))
    (due,) = due_lines([hose, DueRow("bare", "hose")], intervals_of(), TODAY)

    assert due.due_on == hose.replace_by
    assert "3 days" in service_due(due, TODAY).sentence
    assert "written" in service_due(due, TODAY).where_from[0].text


def test_a_site_overrules_an_interval_and_answers_for_it():
    own = site_interval("vaporizer", "output_test", 91, "A study found it better.")
    held = intervals_of([own])
    answer = service_due(due_of(vaporizer(TODAY - timedelta(days=92)), own), TODAY)

    assert own in held
    assert OUTPUT not in held
    assert answer.value == -1
    assert answer.where_from[-1].how_known == "site"


def test_a_site_asks_for_what_no_page_asks_for():
    own = site_interval("oxygen_analyser", "inspection", 30, "It drifts.")
    (due,) = due_lines([DueRow("o", "oxygen_analyser")], [own], TODAY)

    assert due.when(TODAY) is When.UNKNOWN


@pytest.mark.parametrize("days", [0, -1, 8000])
def test_an_interval_that_cannot_be_is_refused(days):
    with pytest.raises(InvalidQuantity, match="days"):
        site_interval("vaporizer", "service", days, "why")


def test_a_task_or_thing_that_there_is_not_is_refused():
    with pytest.raises(UnknownReference, match="No task"):
        site_interval("vaporizer", "polishing", 30, "why")
    with pytest.raises(UnknownReference, match="No kind of part"):
        site_interval("teapot", "service", 30, "why")


days = st.none() | st.dates(date(2018, 1, 1), date(2026, 6, 9))
rows = st.builds(
    DueRow,
    code=st.integers(),
    thing=st.sampled_from([MACHINE, "vaporizer", "hose", "flowmeter"]),
    agent=st.sampled_from(["isoflurane", "halothane"]),
    since=days,
    replace_by=days,
    done=st.dictionaries(
        st.sampled_from(sorted(TASKS)), st.dates(date(2018, 1, 1), date(2026, 6, 9)), max_size=3
    ),
)


@given(st.lists(rows, max_size=12))
def test_one_pass_finds_what_a_search_of_every_pair_finds(things):
    found = list(due_lines(things, intervals_of(), TODAY))
    pairs = [due_of(row, interval) for row in things for interval in intervals_of()]
    expected = [one for one in pairs if one is not None]

    assert len(found) == len(expected)
    assert all(one in expected for one in found)
    dates = [one.due_on or TODAY for one in found]
    assert dates == sorted(dates)
    known = [one for one in found if one.due_on is not None and one.last is not None]
    assert all(
        one.due_on - one.last == timedelta(days=one.interval.days)
        for one in known
        if one.interval.days is not None
    )
