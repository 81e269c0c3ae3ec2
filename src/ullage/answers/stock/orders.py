"""What to order today: every shelf that has come to its point, the most pressing first."""

from collections.abc import Iterable
from dataclasses import dataclass

from ullage.answers.answer import Answer, Verdict
from ullage.answers.stock.reorder import Reorder, reorder_of
from ullage.answers.stock.things import Shelf

__all__ = ["OrderLine", "full_one_stands", "what_to_order"]


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderLine:
    """One line of the list: how many of what, and why; none to order where a question is open."""

    shelf: Shelf
    to_order: int
    reason: str
    answer: Answer

    @property
    def is_open(self) -> bool:
        """Whether somebody must answer a question before anything can be said."""
        return self.answer.verdict is Verdict.NOT_YET


def full_one_stands(full: int) -> Verdict:
    """Whether a full cylinder stands in store; whether that is enough is for `what_to_order`.

    >>> full_one_stands(0).value
    'Look again'
    """
    return Verdict.FINE if full else Verdict.LOOK_AGAIN


def what_to_order(shelves: Iterable[Shelf]) -> tuple[OrderLine, ...]:
    """What is to be ordered today, then what cannot be told yet; what is enough is left out.

    >>> from ullage.answers.stock.things import Filled, UseSeen
    >>> seen, filled = UseSeen(usual_per_week=2.0), Filled(usual_days=5.0)
    >>> full, low = (Shelf(name="Oxygen E", full=one, use=seen, filled=filled,
    ...                    service_share=0.95) for one in (20, 1))
    >>> [line.to_order for line in what_to_order([full, low])]
    [7]
    """
    found = [reorder_of(one) for one in shelves]
    due = [one for one in found if one.to_order]
    due.sort(key=lambda one: -(one.short_chance or 0.0))
    still_open = [one for one in found if one.answer.verdict is Verdict.NOT_YET]
    return tuple(_line(one) for one in (*due, *still_open))


def _line(found: Reorder) -> OrderLine:
    reason = found.answer.sentence if found.to_order else found.answer.settles
    return OrderLine(shelf=found.shelf, to_order=found.to_order, reason=reason, answer=found.answer)
