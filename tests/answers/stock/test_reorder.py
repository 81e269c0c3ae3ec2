"""When to order, how many, and what an open question does to both."""

from datetime import date
from math import ceil

import pytest
from scipy import stats

from ullage.answers.answer import Verdict
from ullage.answers.stock import (
    Filled,
    Shelf,
    UseSeen,
    expected_use,
    reorder,
    reorder_of,
    what_to_order,
)
from ullage.core.errors import InvalidQuantity

RECORD = UseSeen(counts=(2, 1, 3, 2, 2, 1, 2, 3, 1, 2, 2, 1))
WEEKLY = Filled(usual_days=5.0, every_days=7.0)


def shelf(full=9, **changes):
    known = {"use": RECORD, "filled": WEEKLY, "service_share": 0.95}
    return Shelf(name="Oxygen E", full=full, piece="cylinder", **{**known, **changes})


def test_the_point_is_the_quantile_of_what_the_record_foretells():
    # 22 in 84 days, one added: a gamma of 23 pieces; counted over five days that is a
    # negative binomial count of shape 23 and chance 84 / 89.
    known = int(stats.nbinom.ppf(0.95, 23, 84.0 / 89.0))

    assert reorder_of(shelf()).point == known


def test_above_the_point_it_is_fine_and_says_the_day():
    answer = reorder(shelf(full=9, today=date(2026, 11, 25)))

    assert answer.verdict is Verdict.FINE
    assert answer.low < answer.value < answer.high
    assert "An order goes out at 4, about " in answer.sentence
    assert "December" in answer.sentence


def test_at_the_point_it_is_ordered_today():
    found = reorder_of(shelf(full=2, on_order=2))

    assert found.answer.verdict is Verdict.LOOK_AGAIN
    assert (found.answer.value, found.answer.range_text) == (0.0, "")
    assert found.answer.todo == f"Order {found.to_order} cylinders today."
    assert found.to_order >= 1


def test_what_is_on_order_counts():
    assert reorder_of(shelf(full=1, on_order=8)).to_order == 0
    assert reorder_of(shelf(full=1)).to_order > reorder_of(shelf(full=1, on_order=2)).to_order > 0


def test_whole_packs_are_ordered():
    alone = reorder_of(shelf(full=1)).to_order
    packs = reorder_of(shelf(full=1, filled=Filled(usual_days=5.0, pack=4))).to_order

    assert packs == 4 * ceil(alone / 4)


def test_a_delivery_that_may_be_late_asks_for_more():
    late = Filled(usual_days=5.0, longest_days=12.0)

    assert reorder_of(shelf(filled=late)).point > reorder_of(shelf()).point


def test_a_shelf_that_is_looked_at_once_a_week_asks_for_more():
    seldom = Filled(usual_days=5.0, look_days=7.0)

    assert reorder_of(shelf(filled=seldom)).point > reorder_of(shelf()).point


def test_a_plan_that_asks_for_more_than_the_record_counts():
    busy = UseSeen(counts=RECORD.counts, planned_pieces=9.0, planned_days=7.0)
    quiet = UseSeen(counts=RECORD.counts, planned_pieces=0.5, planned_days=7.0)

    assert expected_use(busy).per_day == pytest.approx(9.0 / 7.0)
    assert expected_use(quiet) == expected_use(RECORD)
    notes = [step.note for step in reorder(shelf(use=busy)).steps[:2]]
    assert notes == ["", "counts"]


def test_without_a_record_a_usual_use_stands_in_and_says_so():
    answer = reorder(shelf(use=UseSeen(usual_per_week=2.0)))

    assert any("known to 50 %" in line for line in answer.assumptions)
    assert any("called usual" in line.text for line in answer.where_from)


def test_a_record_goes_before_what_a_person_calls_usual():
    both = UseSeen(counts=RECORD.counts, usual_per_week=20.0)

    assert expected_use(both) == expected_use(RECORD)


@pytest.mark.parametrize(
    ("changes", "asks"),
    [
        ({"use": UseSeen()}, "usual week"),
        ({"filled": Filled()}, "a delivery usually take"),
        ({"service_share": None}, "such as 95 %"),
    ],
)
def test_what_nobody_has_said_is_asked_and_no_point_is_given(changes, asks):
    found = reorder_of(shelf(**changes))

    assert found.answer.verdict is Verdict.NOT_YET
    assert asks in found.answer.settles
    assert (found.point, found.to_order, found.answer.value) == (None, 0, None)


def test_without_a_chosen_service_each_one_is_shown_with_its_point_and_none_is_chosen():
    views = reorder(shelf(service_share=None)).views

    assert [view.label.split(" ")[0] for view in views[:3]] == ["90", "95", "99"]
    assert not any(view.chosen for view in views)
    assert "serves" in views[-1].result


def test_the_rule_of_two_stands_beside_the_point_at_its_own_service():
    view = reorder(shelf()).views[-1]
    served = stats.nbinom.cdf(2, 23, 84.0 / 89.0)

    assert view.result == f"serves {100 * served:.1f} %"


def test_the_two_shares_of_service_are_named_apart():
    steps = {step.what: step.result for step in reorder(shelf()).steps}

    assert "cycle service at that point" in steps
    assert "fill rate: asked for and there at once" in steps


def test_one_fewer_serves_less_than_was_chosen():
    steps = {step.what: step.result for step in reorder(shelf()).steps}

    assert float(steps["cycle service with one fewer"].removesuffix(" %")) < 95.0
    assert float(steps["cycle service at that point"].removesuffix(" %")) >= 95.0


def test_where_nothing_is_used_there_is_no_day_and_no_order():
    answer = reorder(shelf(use=UseSeen(usual_per_week=0.0)))

    assert (answer.value, answer.verdict) == (None, Verdict.FINE)
    assert "Hardly anything is used" in answer.sentence


@pytest.mark.parametrize("use", [UseSeen(counts=(9000, 9000)), UseSeen(usual_per_week=5000.0)])
def test_more_than_a_shelf_is_for_gets_a_question_and_no_number(use):
    found = reorder_of(shelf(use=use, filled=Filled(usual_days=365.0)))

    assert found.answer.verdict is Verdict.NOT_YET
    assert "More is used than a shelf is for" in found.answer.settles
    assert found.to_order == 0


def test_the_list_holds_what_is_due_by_need_then_what_is_open():
    shelves = [
        shelf(full=20),
        shelf(full=3, service_share=None),
        shelf(full=3),
        shelf(full=0),
    ]
    lines = what_to_order(shelves)

    assert [line.shelf.full for line in lines] == [0, 3, 3]
    assert [line.is_open for line in lines] == [False, False, True]
    assert lines[0].to_order > lines[1].to_order > lines[2].to_order == 0
    assert "such as 95 %" in lines[2].reason


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (lambda: shelf(full=-1), "full is -1"),
        (lambda: shelf(service_share=1.0), "service_share is 1"),
        (lambda: Filled(usual_days=9.0, longest_days=3.0), "longest_days is 3"),
        (lambda: Filled(usual_days=float("nan")), "usual_days is nan"),
        (lambda: Filled(pack=0), "pack is 0"),
        (lambda: UseSeen(counts=(1, -2)), "counts is -2"),
        (lambda: UseSeen(usual_per_week=-1.0), "usual_per_week is -1"),
    ],
)
def test_what_cannot_be_is_refused(wrong, words):
    with pytest.raises(InvalidQuantity, match=words):
        wrong()
