"""What a shelf holds by its ledger: the last count, and what happened after it.

What was counted at a moment stood there at that moment. A line that is written down late, for a
time before the count, was part of what was counted, and moves nothing.
"""

from collections.abc import Iterable
from datetime import datetime

from django.db.models import F, OuterRef, Q, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from ullage.web.stock.models import MoveKind, StockItem, StockMove

__all__ = ["counts_of", "standing"]


def counts_of(
    items: Iterable[StockItem], at: datetime | None = None
) -> dict[int, tuple[datetime, int]]:
    """By thing, when it was last counted and how many there were; counts taken back are none."""
    rows = _counts(at).filter(item__in=list(items)).order_by("at", "pk")
    found = rows.values_list("item_id", "at", "counted")
    return {item: (when, counted or 0) for item, when, counted in found}


def standing(items: Iterable[StockItem], at: datetime | None = None) -> dict[int, tuple[int, int]]:
    """By thing, full ones and empties, at a moment or by all that is written; three queries."""
    rows = list(items)
    counts = counts_of(rows, at)
    moves = StockMove.objects.filter(item__in=rows)
    if at is not None:
        moves = moves.filter(at__lte=at)
    empty = dict(_sums(moves, "empty"))
    full = dict(_sums(_since_count(moves, at), "full"))
    return {
        one.pk: (counts.get(one.pk, (None, 0))[1] + full.get(one.pk, 0), empty.get(one.pk, 0))
        for one in rows
    }


def _counts(at: datetime | None) -> QuerySet[StockMove]:
    rows = StockMove.objects.filter(kind=MoveKind.COUNTED, undone_by=None)
    return rows if at is None else rows.filter(at__lte=at)


def _since_count(moves: QuerySet[StockMove], at: datetime | None) -> QuerySet[StockMove]:
    """Lines after the last count; a counter-move stands where the line that it takes back does."""
    last = _counts(at).filter(item=OuterRef("item")).order_by("-at", "-pk")
    dated = moves.annotate(
        count_at=Subquery(last.values("at")[:1]),
        count_pk=Subquery(last.values("pk")[:1]),
        place=Coalesce(F("undoes_id"), F("pk")),
    )
    later = Q(count_at=None) | Q(at__gt=F("count_at"))
    later |= Q(at=F("count_at"), place__gt=F("count_pk"))
    no_counts = ~Q(kind=MoveKind.COUNTED) & ~Q(undoes__kind=MoveKind.COUNTED, undoes__isnull=False)
    return dated.filter(later).filter(no_counts)


def _sums(moves: QuerySet[StockMove], name: str) -> list[tuple[int, int]]:
    rows = moves.order_by().values("item").annotate(whole=Sum(name))
    return [(row["item"], row["whole"] or 0) for row in rows]
