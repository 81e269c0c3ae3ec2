"""May a case begin: the machine, the gas, the group, and who answers for going on without."""

import pytest

from ullage.answers import Answer, Verdict
from ullage.answers.record.beginning import Override, group_allowed, may_case_begin, override_lacks

WHO = Override(by="Anneke Vray", reason="It bleeds.")


def said(verdict: Verdict, sentence: str = "Said.") -> Answer:
    return Answer(
        question="?", unit="", sentence=sentence, reasons=(), where_from=(), verdict=verdict
    )


FINE, CARE = said(Verdict.FINE), said(Verdict.LOOK_AGAIN)
OPEN, STOP = said(Verdict.NOT_YET), said(Verdict.STOP)


@pytest.mark.parametrize(
    ("machine", "supply", "verdict"),
    [
        (FINE, [FINE], Verdict.FINE),
        (CARE, [FINE], Verdict.LOOK_AGAIN),
        (FINE, [FINE, CARE], Verdict.LOOK_AGAIN),
        (OPEN, [FINE], Verdict.NOT_YET),
        (FINE, [STOP], Verdict.NOT_YET),
        (FINE, [], Verdict.NOT_YET),
        (None, [FINE], Verdict.NOT_YET),
    ],
)
def test_what_is_missing_keeps_a_case_from_beginning(machine, supply, verdict):
    assert may_case_begin(machine, supply).verdict is verdict


@pytest.mark.parametrize(("machine", "supply"), [(OPEN, [FINE]), (FINE, [STOP]), (None, [])])
def test_who_is_named_with_a_reason_may_begin_without_and_it_is_said(machine, supply):
    answer = may_case_begin(machine, supply, override=WHO)
    assert answer.verdict is Verdict.LOOK_AGAIN
    assert "Anneke Vray answers for it" in answer.sentence
    assert any(one.result in {"Stop", "Not yet"} for one in answer.steps)


@pytest.mark.parametrize(
    "override", [None, Override(), Override(by="A. Vray"), Override(reason="It bleeds.")]
)
def test_half_an_override_is_none(override):
    answer = may_case_begin(OPEN, [FINE], override=override)
    assert answer.verdict is Verdict.NOT_YET
    assert answer.settles == override_lacks(override) != ""


def test_nobody_overrides_a_machine_that_is_out_of_use():
    answer = may_case_begin(STOP, [FINE], is_out=True, override=WHO)
    assert answer.verdict is Verdict.STOP
    assert answer.todo == "Take another machine."


def test_an_override_that_nothing_asks_for_changes_nothing():
    assert may_case_begin(FINE, [FINE], override=WHO) == may_case_begin(FINE, [FINE])


@pytest.mark.published("records_standards")
@pytest.mark.parametrize(
    ("species", "by_site", "may"),
    [
        # REC-025 (UW-Madison), REC-034 (Wayne State): rodents may share, non-rodents have their own
        ("mouse", True, True),
        ("Rat ", True, True),
        ("mouse", False, False),
        ("sheep", True, False),
        ("dog", True, False),
        ("rabbit", True, False),
        ("", True, False),
    ],
)
def test_a_group_is_for_rodents_where_the_site_allows_it(species, by_site, may):
    answer = group_allowed(species, by_site=by_site)
    assert (answer.verdict is Verdict.FINE) is may
    assert {one.how_known for one in answer.where_from} == {"seen"}
