"""The lines of a record as the record's own kinds of line, and as links of its chain."""

from ullage.answers.record.chained import Chained
from ullage.answers.record.things import AnyLine, CaseOpened
from ullage.answers.record.written import line_of_text
from ullage.web.accounts.selectors import User
from ullage.web.cases.models import Record

__all__ = ["author_text", "chain_of", "facts_of", "lines_of"]


def author_text(user: User) -> str:
    """How a line names its author: the name in print and the name of the account.

    The second tells two people of one name apart for as long as the record is kept.
    """
    return f"{user.full_name or user.username} ({user.username})"


def chain_of(record: Record, after: int = 0, most: int | None = None) -> tuple[Chained, ...]:
    """The links of a record in their order, from the one after a count on, so many at most."""
    rows = (
        record.lines.filter(order__gt=after).order_by("order").values_list("order", "text", "sum")
    )
    return tuple(Chained(order=order, text=text, sum=found) for order, text, found in rows[:most])


def facts_of(record: Record) -> dict[str, str]:
    """What a record is of: each fact as it was said last."""
    facts: dict[str, str] = {}
    rows = record.lines.filter(kind="case").order_by("order").values_list("text", flat=True)
    for text in rows:
        line = line_of_text(text)
        facts |= line.facts if isinstance(line, CaseOpened) else {}
    return facts


def lines_of(record: Record, after: int = 0) -> tuple[AnyLine, ...]:
    """The lines of a record in their order, from the one after a count on."""
    rows = record.lines.filter(order__gt=after).order_by("order").values_list("text", flat=True)
    return tuple(line_of_text(text) for text in rows)
