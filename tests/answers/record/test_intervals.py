"""Intervals of writing down: every rule with its mark, the choice of the site, what is due."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.answers.record.cases import BEGAN
from ullage.answers import Verdict
from ullage.answers.record.intervals import Phase, SiteInterval, interval_rule, next_due
from ullage.core.errors import InvalidQuantity, PlanUnreadable
from ullage.reference import fact

UNDER, BACK = Phase.ANAESTHESIA, Phase.RECOVERY


def views(species, phase, **more):
    return {one.label: one for one in interval_rule(species, phase, **more).views}


def after(minutes):
    return BEGAN + timedelta(minutes=minutes)


@pytest.mark.published("records_standards")
@pytest.mark.parametrize(
    ("species", "phase", "label", "result", "known"),
    [
        # records_standards REC-001, -004, -006, -008, -022, -024, -028, -029, -030
        ("cat", UNDER, "ACVA 1995, at most (clinical guideline)", "10 min", "seen"),
        ("cat", UNDER, "ACVA 2009 (clinical guideline)", "5 to 10 min", "memory"),
        ("dog", UNDER, "AAHA 2020 (clinical guideline)", "5 min", "memory"),
        ("dog", UNDER, "Training text for small-animal teams (practice)", "5 min", "seen"),
        ("pig", UNDER, "Ohio State, non-rodents under USDA (one institution)", "15 min", "seen"),
        (
            "pig",
            UNDER,
            (
                "UW-Madison, non-rodents under USDA (the text read was cut after 'every five')"
                " (one institution)"
            ),
            "5 min",
            "seen",
        ),
        ("mouse", UNDER, "Montana State, rodents (one institution)", "15 min", "seen"),
        ("rat", BACK, "Wayne State, rodents, first recovery (one institution)", "10 min", "seen"),
        (
            "cat",
            BACK,
            "Pittsburgh, after anaesthesia, for example (one institution)",
            "15 min",
            "seen",
        ),
    ],
)
def test_each_rule_stands_with_its_interval_and_how_it_is_known(
    species, phase, label, result, known
):
    one = views(species, phase)[label]

    assert (one.result, one.how_known) == (result, known)


def test_a_rule_from_memory_is_memory_in_its_row_too():
    assert fact("records_standards", "REC-006").how_known.value == "memory"
    assert views("dog", UNDER)["AAHA 2020 (clinical guideline)"].source.endswith("_memory")


@pytest.mark.parametrize(
    ("species", "phase", "absent"),
    [
        ("mouse", UNDER, "AAHA"),
        ("guinea pig", UNDER, "Ohio"),
        ("hamster", UNDER, "Madison"),
        ("cat", UNDER, "Montana"),
        ("cat", BACK, "Wayne"),
        ("cat", BACK, "ACVA"),
        ("chicken", UNDER, "Ohio"),
        ("mouse", UNDER, "groups"),
    ],
)
def test_a_rule_that_does_not_speak_of_this_animal_is_not_shown(species, phase, absent):
    assert not [label for label in views(species, phase) if absent in label]


@pytest.mark.parametrize(
    ("species", "phase", "group", "expected"),
    [
        # records 1.1: 5 min for individual animals, 15 for rodent groups, 10 to 15 in recovery
        ("cat", UNDER, False, 5.0),
        ("mouse", UNDER, False, 5.0),
        ("mouse", UNDER, True, 15.0),
        ("rabbit", UNDER, True, 5.0),
        ("mouse", BACK, True, 10.0),
        ("cat", BACK, False, 10.0),
        ("Cat ", UNDER, False, 5.0),
        ("unicorn", UNDER, False, 5.0),
    ],
)
def test_what_is_proposed_is_marked_as_a_proposal(species, phase, group, expected):
    answer = interval_rule(species, phase, group=group)
    chosen = [one for one in answer.views if one.chosen]

    assert answer.value == expected
    assert [one.source for one in chosen] == ["proposal"]
    assert answer.sources == ("proposal",)


def test_the_choice_of_the_site_counts_and_the_others_stay_beside_it():
    answer = interval_rule("cat", UNDER, choice=SiteInterval(minutes=20.0, why="protocol P-12"))
    first = answer.views[0]

    assert (answer.value, answer.high) == (20.0, 20.0)
    assert (first.label, first.how_known, first.chosen) == (
        "This site: protocol P-12",
        "site",
        True,
    )
    assert sum(one.chosen for one in answer.views) == 1
    assert "A rule beside it asks for 5 min." in answer.cautions
    assert answer.sources == ("site_rule",)


@pytest.mark.parametrize("minutes", [0.0, -5.0, 0.1, 241.0, float("nan"), float("inf")])
def test_no_site_sets_an_interval_that_is_none(minutes):
    with pytest.raises(InvalidQuantity, match="minutes"):
        SiteInterval(minutes=minutes)


def test_a_group_of_others_than_rodents_is_said_to_have_no_rule():
    said = "Records of a group were seen for rodents treated alike, not for others."

    assert said in interval_rule("rabbit", UNDER, group=True).cautions
    assert said not in interval_rule("mouse", UNDER, group=True).cautions


@pytest.mark.parametrize(
    ("minutes", "left", "verdict"),
    [
        (0.0, 5.0, Verdict.FINE),
        (4.0, 1.0, Verdict.FINE),
        (5.0, 0.0, Verdict.FINE),
        (5.1, -0.1, Verdict.LOOK_AGAIN),
        (65.0, -60.0, Verdict.LOOK_AGAIN),
    ],
)
def test_the_next_entry_is_due_an_interval_after_the_last(minutes, left, verdict):
    answer = next_due(interval_rule("cat", UNDER), BEGAN, BEGAN, after(minutes))

    assert answer.value == pytest.approx(left)
    assert answer.verdict is verdict


def test_an_overdue_entry_says_by_how_much_and_invents_nothing():
    answer = next_due(interval_rule("cat", UNDER), BEGAN, after(10), after(75))

    assert answer.sentence == "The next entry is overdue by 1 h 00 min."
    assert "not filled in afterwards" in answer.cautions[0]


def test_before_the_first_entry_the_clock_runs_from_the_beginning():
    answer = next_due(interval_rule("cat", UNDER), BEGAN, None, after(2))

    assert answer.sentence == "No entry yet. The next entry is due in 3 min."


def test_an_entry_of_the_phase_before_does_not_count():
    answer = next_due(interval_rule("cat", BACK), after(60), after(10), after(65))

    assert answer.value == pytest.approx(5.0)


def test_the_rule_that_is_applied_is_shown():
    rule = interval_rule("cat", UNDER, choice=SiteInterval(minutes=3.0))
    answer = next_due(rule, BEGAN, None, BEGAN)

    assert answer.steps[0].note == "This site"
    assert answer.where_from == rule.where_from


def test_a_time_without_a_zone_is_refused():
    rule = interval_rule("cat", UNDER)
    naive = BEGAN.replace(tzinfo=None)
    for times in ((naive, None, BEGAN), (BEGAN, naive, BEGAN), (BEGAN, None, naive)):
        with pytest.raises(PlanUnreadable, match="needs its zone"):
            next_due(rule, *times)


def test_another_answer_is_no_rule():
    rule = interval_rule("cat", UNDER)
    with pytest.raises(PlanUnreadable, match="no number of minutes"):
        next_due(next_due_without_number(rule), BEGAN, None, BEGAN)


def next_due_without_number(rule):
    from dataclasses import replace

    return replace(rule, value=None)


@given(
    st.floats(0.5, 240.0),
    st.datetimes(datetime(2026, 1, 1), datetime(2026, 12, 31)),  # noqa: DTZ001  # the zone follows
    st.integers(0, 86_400),
)
def test_the_zone_does_not_matter(minutes, naive, seconds):
    at = naive.replace(tzinfo=UTC)
    rule = interval_rule("cat", UNDER, choice=SiteInterval(minutes=minutes))
    here = next_due(rule, at, at, at + timedelta(seconds=seconds))

    assert here.value == pytest.approx(minutes - seconds / 60.0)
    assert (here.verdict is Verdict.LOOK_AGAIN) == (here.value < 0.0)
