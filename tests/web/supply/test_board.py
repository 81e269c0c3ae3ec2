"""What the board shows of each source, with a constant number of queries."""

from datetime import timedelta

import pytest
from django.utils import timezone

from ullage.answers import Answer, Verdict, WhereFrom
from ullage.web.supply.models import Cylinder, Reading, StoredAnswer
from ullage.web.supply.selectors import board_rows, kept_answers
from ullage.web.supply.services import (
    SourceFacts,
    change_begin,
    cylinder_connect,
    source_add,
    source_retire,
)
from ullage.web.supply.services.stored import Worked, answers_store

pytestmark = pytest.mark.web


def answer(verdict=None):
    return Answer(
        question="What is left?",
        unit="L",
        value=343.0,
        low=313.0,
        high=372.0,
        sentence="About 343 L are left.",
        reasons=("By the gauge.",),
        where_from=(WhereFrom(source="reading", how_known="seen", text="71 bar."),),
        verdict=verdict,
    )


def keep(cylinder, at=None, **kinds):
    payloads = {name: {"answer": one.as_dict()} for name, one in kinds.items()}
    worked = Worked(subject=f"cylinder:{cylinder.pk}", payloads=payloads)
    answers_store(site=cylinder.site, worked=worked, at=at or timezone.now())


def test_a_row_holds_a_source_its_machines_and_its_cylinders(site, source, machine, alder, read):
    reading = read(alder, 71)
    keep(alder, contents=answer(), leak=answer(Verdict.LOOK_AGAIN))

    (row,) = board_rows(site)
    (one,) = row.cylinders
    assert (row.source, row.machines, one.cylinder) == (source, (machine,), alder)
    assert one.reading == reading
    assert one.kept.contents == answer()
    assert row.verdict is Verdict.LOOK_AGAIN


def test_a_source_without_answers_is_not_yet(site, source):
    (row,) = board_rows(site)

    assert (row.verdict, row.worked_out_at, row.is_stale) == (Verdict.NOT_YET, None, False)


def test_an_unfinished_change_is_at_least_look_again(site, source, alder, operator):
    keep(alder, contents=answer(Verdict.FINE))
    assert board_rows(site)[0].verdict is Verdict.FINE

    change_begin(source=source, old=alder, by=operator)
    assert board_rows(site)[0].verdict is Verdict.LOOK_AGAIN


def test_a_question_that_waits_is_at_least_look_again(site, alder, read):
    made = read(alder, 71)
    keep(alder, contents=answer(Verdict.FINE))
    Reading.objects.filter(pk=made.pk).update(asked="Another cylinder?")

    (row,) = board_rows(site)
    assert row.cylinders[0].is_waiting
    assert row.cylinders[0].reading is None
    assert row.verdict is Verdict.LOOK_AGAIN


def test_stop_is_never_hidden_by_anything_else(site, alder, source, operator):
    keep(alder, contents=answer(Verdict.STOP), leak=answer(Verdict.FINE))
    change_begin(source=source, old=alder, by=operator)

    assert board_rows(site)[0].verdict is Verdict.STOP


def test_answers_older_than_the_last_question_say_so(site, alder):
    keep(alder, contents=answer(), at=timezone.now() - timedelta(minutes=5))
    Cylinder.objects.filter(pk=alder.pk).update(asked_at=timezone.now())

    assert board_rows(site)[0].is_stale
    keep(alder, contents=answer(), at=timezone.now() + timedelta(seconds=1))
    assert not board_rows(site)[0].is_stale


def test_work_that_began_earlier_never_replaces_work_that_began_later(alder):
    now = timezone.now()
    keep(alder, contents=answer(Verdict.FINE), at=now)
    keep(alder, contents=answer(Verdict.STOP), at=now - timedelta(seconds=1))

    alder.refresh_from_db()
    assert kept_answers(alder).contents.verdict is Verdict.FINE
    assert StoredAnswer.objects.filter(subject=f"cylinder:{alder.pk}").count() == 1


def test_a_source_taken_out_and_another_site_are_not_on_the_board(
    site, other_site, source, lead, stranger
):
    source_add(
        site=other_site, facts=SourceFacts(name="Far", kind="pipeline", gas="oxygen"), by=stranger
    )
    source_retire(source=source, by=lead)

    assert board_rows(site) == []


@pytest.fixture
def fit_another(site, receive, lead, operator, read):
    """Add one more source with a cylinder on it that was read."""

    def make(number):
        facts = SourceFacts(name=f"Place {number}", kind="cylinder", gas="oxygen")
        place = source_add(site=site, facts=facts, by=lead)
        one = cylinder_connect(cylinder=receive(f"Elm {number}"), source=place, by=operator)
        read(one, 100)
        keep(one, contents=answer())

    return make


def test_the_number_of_queries_does_not_grow(site, fit_another, django_assert_num_queries):
    fit_another(0)
    with django_assert_num_queries(8):
        board_rows(site)
    for number in range(1, 13):
        fit_another(number)
    with django_assert_num_queries(8):
        assert len(board_rows(site)) == 13
