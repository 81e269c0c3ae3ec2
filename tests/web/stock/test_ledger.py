"""The ledger of a shelf against a model of a dozen lines: drawn moves, late lines, all taken back.

The model holds to what people mean: what was counted at a moment stood there at that moment, and
what is written down later for an earlier time was part of what was counted.
"""

import random
from dataclasses import dataclass, field
from datetime import timedelta
from uuid import uuid4

import pytest

from ullage.core.errors import RuleBroken
from ullage.web.stock.models import StockMove, StockOrder
from ullage.web.stock.selectors import item_page
from ullage.web.stock.services import (
    ItemFacts,
    MoveFacts,
    item_add,
    move_add,
    move_take_back,
    order_add,
    order_cancel,
    order_receive,
)

pytestmark = pytest.mark.web

DAY, MINUTE = timedelta(days=1), timedelta(minutes=1)
KINDS = ("received", "used", "returned", "discarded", "counted", "empties")


@dataclass
class Line:
    """One line as a person would write it on paper."""

    kind: str
    count: int
    minute: int
    pk: int
    is_struck: bool = False


@dataclass
class Paper:
    """A shelf kept on paper, in which a struck line counts for nothing."""

    leaves_empties: bool
    lines: list[Line] = field(default_factory=list)

    def standing(self, minute: int) -> tuple[int, int]:
        """Full ones and empties at a minute."""
        full = empty = 0
        for line in sorted(self.lines, key=lambda one: one.minute):
            if line.is_struck or line.minute > minute:
                continue
            if line.kind == "counted":
                full = line.count
            elif line.kind == "received":
                full += line.count
            elif line.kind == "empties":
                empty -= line.count
            else:
                full -= line.count
                empty += line.count if line.kind == "used" and self.leaves_empties else 0
        return full, empty

    def allows(self, kind: str, count: int, minute: int) -> bool:
        """Whether so many are there to be taken."""
        full, empty = self.standing(minute)
        there = {"received": count, "counted": count, "empties": empty}.get(kind, full)
        return count <= there


@pytest.fixture(params=["agent", "absorbent"])
def shelf(request, site, lead):
    """An empty shelf whose used pieces leave an empty one behind, or do not."""
    return item_add(site=site, kind=request.param, facts=ItemFacts(name="Drawn"), by=lead)


def stands(shelf):
    row = item_page(shelf).row
    return row.written, row.empty


def write(paper, shelf, lead, begun, facts):
    """One line in the program and, where it may stand, on paper."""
    kind, count, minute = facts
    move = MoveFacts(kind=kind, count=count, at=begun + minute * MINUTE)
    lines = StockMove.objects.count()
    if paper.allows(*facts):
        made = move_add(item=shelf, facts=move, by=lead)
        paper.lines.append(Line(kind, count, minute, made.pk))
    else:
        with pytest.raises(RuleBroken, match="Count the shelf first, then write this again"):
            move_add(item=shelf, facts=move, by=lead)
        assert StockMove.objects.count() == lines


def strike(paper, dice, lead):
    """One line is taken back, or refused where it was before."""
    line = dice.choice(paper.lines)
    move = StockMove.objects.get(pk=line.pk)
    if line.is_struck:
        with pytest.raises(RuleBroken, match="This line was taken back already"):
            move_take_back(move=move, by=lead)
        return
    counter = move_take_back(move=move, by=lead, why="Drawn.")
    assert (counter.full, counter.empty) == (-move.full, -move.empty)
    line.is_struck = True


@pytest.mark.parametrize("seed", range(8))
def test_a_shelf_holds_what_a_careful_person_would_have_on_paper(shelf, lead, now, seed):
    dice = random.Random(seed)
    begun = now - 90 * DAY
    late = dice.sample(range(100_000), 120)
    paper = Paper(leaves_empties=shelf.kind == "agent")
    for step in range(60):
        if paper.lines and dice.random() < 0.2:
            strike(paper, dice, lead)
        else:
            # One line in three is written down late, for a time before others.
            minute = late[step] if dice.random() < 0.3 else 100_000 + step
            kind, count = dice.choice(KINDS), dice.randrange(1, 9)
            write(paper, shelf, lead, begun, (kind, count, minute))
        full, empty = paper.standing(10**6)
        assert stands(shelf) == (full, max(0, empty))


@pytest.mark.parametrize("seed", range(4))
def test_taking_every_line_back_leaves_nothing_and_keeps_every_line(shelf, lead, now, seed):
    dice = random.Random(seed)
    begun = now - 90 * DAY
    paper = Paper(leaves_empties=shelf.kind == "agent")
    for step in range(25):
        facts = (dice.choice(KINDS), dice.randrange(1, 9), step)
        write(paper, shelf, lead, begun, facts)
    written = len(paper.lines)
    dice.shuffle(paper.lines)
    for line in paper.lines:
        move_take_back(move=StockMove.objects.get(pk=line.pk), by=lead)

    assert stands(shelf) == (0, 0)
    assert StockMove.objects.filter(item=shelf).count() == 2 * written


def test_what_was_counted_holds_whatever_is_written_late_for_before(shelf, lead, now):
    move_add(item=shelf, facts=MoveFacts(kind="received", count=10, at=now - 9 * DAY), by=lead)
    move_add(item=shelf, facts=MoveFacts(kind="counted", count=7, at=now - 2 * DAY), by=lead)
    late = MoveFacts(kind="received", count=4, at=now - 3 * DAY)
    used = MoveFacts(kind="used", count=3, at=now - 3 * DAY)
    move_add(item=shelf, facts=late, by=lead)
    move_add(item=shelf, facts=used, by=lead)

    assert stands(shelf)[0] == 7


def test_a_count_that_was_wrong_is_taken_back_with_all_it_changed(shelf, lead, now):
    move_add(item=shelf, facts=MoveFacts(kind="received", count=10, at=now - 9 * DAY), by=lead)
    count = move_add(item=shelf, facts=MoveFacts(kind="counted", count=1), by=lead)
    assert stands(shelf)[0] == 1
    move_take_back(move=count, by=lead)

    assert stands(shelf)[0] == 10


def test_a_counter_move_is_not_taken_back_itself(shelf, lead):
    move = move_add(item=shelf, facts=MoveFacts(kind="received", count=2), by=lead)
    counter = move_take_back(move=move, by=lead)

    with pytest.raises(RuleBroken, match="takes another one back; write a new line instead"):
        move_take_back(move=counter, by=lead)
    assert stands(shelf) == (0, 0)


def test_the_same_form_sent_twice_is_one_line_even_when_the_shelf_ran_out_between(shelf, lead):
    move_add(item=shelf, facts=MoveFacts(kind="received", count=1), by=lead)
    form = MoveFacts(kind="used", count=1, code=uuid4())
    first = move_add(item=shelf, facts=form, by=lead)

    assert move_add(item=shelf, facts=form, by=lead) == first
    assert stands(shelf)[0] == 0


# --- orders --------------------------------------------------------------------------------------


def on_order(shelf):
    return item_page(shelf).row.reorder.shelf.on_order


class Orders:
    """Orders on paper: what is left of each, what came with which line, and what is there."""

    def __init__(self, shelf, lead, dice):
        self.shelf, self.lead, self.dice = shelf, lead, dice
        self.left, self.came, self.cancelled, self.full = {}, [], set(), 0

    def place(self):
        order = order_add(item=self.shelf, count=self.dice.randrange(1, 9), by=self.lead)
        self.left[order.pk] = order.count

    def receive(self):
        """Something comes, perhaps more than was ordered."""
        waiting = [pk for pk, left in self.left.items() if left > 0]
        if waiting:
            order = StockOrder.objects.get(pk=self.dice.choice(waiting))
            count = self.dice.randrange(1, 6)
            self.came.append(order_receive(order=order, count=count, by=self.lead))
            self.left[order.pk] -= count
            self.full += count

    def take_back(self):
        """A line is taken back; its order waits again."""
        lines = [one for one in self.came if one.stock_order_id not in self.cancelled]
        if lines:
            move = self.dice.choice(lines)
            self.came.remove(move)
            move_take_back(move=move, by=self.lead)
            self.left[move.stock_order_id] += move.full
            self.full -= move.full

    def cancel(self):
        waiting = [pk for pk, left in self.left.items() if left > 0]
        if waiting:
            pk = self.dice.choice(waiting)
            order_cancel(order=StockOrder.objects.get(pk=pk), why="Not made any more.")
            self.cancelled.add(pk)
            self.left[pk] = 0


@pytest.mark.parametrize("seed", range(6))
def test_what_is_on_order_is_what_was_ordered_less_what_came(shelf, lead, seed):
    """Drawn orders that come in parts, or more than was ordered, are taken back or cancelled."""
    dice = random.Random(seed)
    orders = Orders(shelf, lead, dice)
    for _ in range(40):
        dice.choice([orders.place, orders.receive, orders.take_back, orders.cancel])()
        assert on_order(shelf) == sum(max(0, one) for one in orders.left.values())
        assert stands(shelf)[0] == orders.full


def test_an_order_that_came_whole_is_closed_and_opens_again_when_the_line_is_taken_back(
    shelf, lead
):
    order = order_add(item=shelf, count=4, by=lead)
    move = order_receive(order=order, count=4, by=lead)
    with pytest.raises(RuleBroken, match="This order is closed already"):
        order_receive(order=order, count=1, by=lead)
    with pytest.raises(RuleBroken, match="This order is closed already"):
        order_cancel(order=order, why="Too late.")
    move_take_back(move=move, by=lead)

    assert on_order(shelf) == 4
    assert order_receive(order=order, count=3, by=lead).full == 3
    assert on_order(shelf) == 1


def test_a_receipt_sent_twice_came_once(shelf, lead):
    order = order_add(item=shelf, count=6, by=lead)
    code = uuid4()
    first = order_receive(order=order, count=6, by=lead, code=code)

    # The order is closed by then: the same form must not be told that it came too late.
    assert order_receive(order=order, count=6, by=lead, code=code) == first
    assert stands(shelf)[0] == 6


def test_an_order_sent_twice_is_one(shelf, lead):
    code = uuid4()
    first = order_add(item=shelf, count=6, by=lead, code=code)

    assert order_add(item=shelf, count=6, by=lead, code=code) == first
    assert on_order(shelf) == 6
