"""The outlook of a day: the gravest verdict counts, every answer is there by name and in order."""

import json
from itertools import permutations

import pytest

from ullage.answers.answer import Answer, Verdict, WhereFrom
from ullage.answers.outlook import CaseChance, DaySupply, SourceOutlook
from ullage.answers.plan import SourceKind
from ullage.core.gas import Gas

FINE, LOOK, STOP, OPEN = Verdict.FINE, Verdict.LOOK_AGAIN, Verdict.STOP, Verdict.NOT_YET
ONE_EACH = ("lasts", "left", "needed", "left_at_end", "next_reading", "if_it_fails", "may_begin",
            "by_linear_rule")  # fmt: skip


def said(question, verdict=None):
    return Answer(
        question=question,
        unit="L",
        sentence="It is so.",
        reasons=("So.",),
        where_from=(WhereFrom(source="reading", how_known="seen", text="Read."),),
        settles="Ask.",
        verdict=verdict,
    )


def outlook(name="Alder", main=FINE, **answers):
    return SourceOutlook(
        name=name,
        kind=SourceKind.CYLINDER,
        gas=Gas.OXYGEN,
        feeds=("Wren",),
        lasts_until=said("Until?", main),
        **answers,
    )


@pytest.mark.parametrize("order", list(permutations([FINE, LOOK, STOP])))
def test_the_gravest_verdict_counts_in_whatever_order_it_is_said(order):
    main, begin, fails = order
    found = outlook(main=main, may_begin=said("B?", begin), if_it_fails=said("F?", fails))

    assert found.verdict is STOP


@pytest.mark.parametrize(
    ("verdicts", "gravest"),
    [
        ((FINE, None), FINE),
        ((None, None), FINE),
        ((FINE, OPEN), OPEN),
        ((OPEN, LOOK), LOOK),
        ((LOOK, STOP), STOP),
    ],
)
def test_an_answer_without_a_verdict_hides_none(verdicts, gravest):
    main, other = verdicts

    assert outlook(main=main, left=said("L?", other)).verdict is gravest


@pytest.mark.parametrize("name", ONE_EACH)
def test_each_answer_counts_and_is_found_by_its_name(name):
    grave = outlook(**{name: said("Bad?", STOP)})

    assert grave.verdict is STOP
    assert grave.answers[0].question == "Until?"
    assert "Bad?" in [one.question for one in grave.answers]


def test_change_overs_and_chances_count_too():
    change = outlook(change_overs=(said("C1?", FINE), said("C2?", LOOK)))
    chance = outlook(chances=(CaseChance(case="Kit", machine="Wren", answer=said("P?", STOP)),))

    assert (change.verdict, chance.verdict) == (LOOK, STOP)
    assert [one.question for one in change.answers] == ["Until?", "C1?", "C2?"]
    assert [one.question for one in chance.answers] == ["Until?", "P?"]


def test_a_day_is_as_grave_as_its_gravest_source_or_demand_without_one():
    fine, look = outlook("Alder"), outlook("Elm", main=LOOK)

    assert DaySupply(sources=(fine,), draws=16, seed=1).verdict is FINE
    assert DaySupply(sources=(fine, look), draws=16, seed=1).verdict is LOOK
    assert DaySupply(sources=(fine,), unfed=(said("Who?", STOP),), draws=16, seed=1).verdict is STOP
    assert DaySupply(sources=(), draws=16, seed=1).verdict is FINE


def test_a_source_is_found_by_its_name():
    day = DaySupply(sources=(outlook("Alder"), outlook("Elm", main=LOOK)), draws=16, seed=1)

    assert day.source("Elm").lasts_until.verdict is LOOK


def test_a_day_is_stored_with_every_answer_by_name():
    chance = CaseChance(case="Kit", machine="Wren", answer=said("P?", LOOK))
    whole = outlook(
        chances=(chance,),
        change_overs=(said("C?", LOOK),),
        reading_times_min=(630.0, 660.0),
        **{name: said(f"{name}?") for name in ONE_EACH},
    )
    day = DaySupply(sources=(whole,), unfed=(said("Who?", STOP),), draws=16, seed=7)
    kept = json.loads(json.dumps(day.as_dict()))
    one = kept["sources"][0]

    assert (kept["draws"], kept["seed"], kept["verdict"]) == (16, 7, "Stop")
    assert (one["name"], one["kind"], one["gas"], one["feeds"]) == (
        "Alder",
        "cylinder",
        "oxygen",
        ["Wren"],
    )
    assert one["verdict"] == "Look again"
    assert all(one[name]["question"] == f"{name}?" for name in ONE_EACH)
    assert one["reading_times_min"] == [630.0, 660.0]
    assert one["chances"][0]["case"] == "Kit"
    assert Answer.from_dict(one["chances"][0]["answer"]) == chance.answer
    assert kept["unfed"][0]["question"] == "Who?"


def test_what_is_not_answered_is_stored_as_nothing():
    one = DaySupply(sources=(outlook(),), draws=16, seed=1).as_dict()["sources"][0]

    assert all(one[name] is None for name in ONE_EACH)
    assert (one["change_overs"], one["chances"]) == ([], [])
