"""What today's plan asks of a cylinder stands on its page, as it was worked out."""

import pytest
from django.urls import reverse
from django.utils import timezone

from ullage.answers import Answer, Verdict, WhereFrom
from ullage.web.days.selectors import day_subject, today_at
from ullage.web.days.selectors.answers import source_kind
from ullage.web.supply.selectors import by_plan, cylinder_page
from ullage.web.supply.services import Worked, answers_store
from ullage.web.supply.tasks import work_out_cylinder

pytestmark = pytest.mark.web


def answer(value, unit, sentence, verdict=None, todo=""):
    return Answer(
        question="What?",
        unit=unit,
        value=value,
        low=value,
        high=value,
        sentence=sentence,
        reasons=("So.",),
        where_from=(WhereFrom(source="reading", how_known="seen", text="Read."),),
        verdict=verdict,
        todo=todo,
    ).as_dict()


@pytest.fixture
def plan(site, source):
    """Keep answers of today about the source on Wren, or about another one."""

    def keep(verdict=Verdict.LOOK_AGAIN, todo="Fit a full one before Sorrel.", name="Wren"):
        told = {
            "name": name,
            "kind": "cylinder",
            "gas": "oxygen",
            "feeds": [],
            "verdict": verdict.value,
            "change_overs": [],
            "chances": [],
            "reading_times_min": [],
            "needed": answer(450.0, "L", "Today needs about 450 L."),
            "lasts_until": answer(847.0, "min after midnight", "It ends.", verdict, todo),
        }
        subject = day_subject(site, today_at(site))
        kind = source_kind(source.pk if name == "Wren" else source.pk + 1)
        worked = Worked(subject=subject, payloads={kind: told})
        answers_store(site=site, worked=worked, at=timezone.now())

    return keep


def test_the_need_of_today_flags_the_bar_and_the_plan_says_what_to_do(as_viewer, alder, read, plan):
    read(alder, 71)
    work_out_cylinder.call(alder.pk)
    plan()
    text = as_viewer.get(reverse("supply:cylinder", kwargs={"code": alder.code})).content.decode()

    assert "today needs 450 L" in text
    assert "By today’s plan" in text
    assert "14:07" in text


def test_what_the_plan_asks_for_is_the_next_step(alder, read, plan):
    read(alder, 100)
    work_out_cylinder.call(alder.pk)
    plan()

    assert cylinder_page(alder).next_step == "Fit a full one before Sorrel."


def test_stop_comes_before_look_again(alder, read, plan, source):
    read(alder, 5)
    work_out_cylinder.call(alder.pk)
    plan(Verdict.LOOK_AGAIN)
    page = cylinder_page(alder)

    assert page.headline.verdict is Verdict.STOP
    assert page.next_step == page.headline.todo


def test_a_plan_that_is_fine_leaves_the_next_step_alone(alder, read, plan):
    read(alder, 130)
    work_out_cylinder.call(alder.pk)
    plan(Verdict.FINE, todo="")

    assert cylinder_page(alder).next_step == "Read the gauge before the next case"


def test_no_plan_about_its_source_is_no_plan(alder, hazel, plan):
    assert by_plan(alder) is None
    plan(name="Heron")
    assert by_plan(alder) is None
    assert by_plan(hazel) is None
