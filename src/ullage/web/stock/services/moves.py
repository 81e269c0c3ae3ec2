"""The ledger: received, used, sent back, thrown away, counted; and each taken back by another."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.stock.models import ItemKind, MoveKind, StockItem, StockMove, StockOrder
from ullage.web.stock.selectors.ledger import standing
from ullage.web.stock.services.log import come

__all__ = ["MoveFacts", "move_add", "move_take_back", "moves_write"]

_MOST = 10_000
#: What leaves something behind that is kept apart until it goes.
_LEAVES_EMPTY = {ItemKind.AGENT, ItemKind.CANISTER, ItemKind.OTHER}


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveFacts:
    """What happened at a shelf: a kind, how many, when; ``code`` was made with the form."""

    kind: str
    count: int
    at: datetime | None = None
    why: str = ""
    stock_order: StockOrder | None = None
    code: UUID | None = None


@transaction.atomic
def move_add(*, item: StockItem, facts: MoveFacts, by: User) -> StockMove:
    """Write one line of the ledger; the same form sent twice writes one.

    Raises
    ------
    RuleBroken : cylinders, which the supply counts; a count that cannot be; more than there is.
    """
    if facts.code is not None:
        before = StockMove.objects.filter(code=facts.code, item=item).first()
        if before is not None:
            return before
    held = StockItem.objects.select_for_update().get(pk=item.pk)
    at = come(facts.at)
    full, empty = _effect(held, facts, at)
    own = {"code": facts.code} if facts.code else {}
    return StockMove.objects.create(
        item=held,
        kind=facts.kind,
        full=full,
        empty=empty,
        counted=facts.count if facts.kind == MoveKind.COUNTED else None,
        at=at,
        why=facts.why.strip(),
        stock_order=facts.stock_order,
        by=by,
        **own,
    )


def _effect(item: StockItem, facts: MoveFacts, at: datetime) -> tuple[int, int]:
    """What a move adds to the full ones and to the empties."""
    _possible(item, facts)
    there, empties = standing([item], at)[item.pk]
    if facts.kind == MoveKind.COUNTED:
        return facts.count - there, 0
    if facts.kind == MoveKind.RECEIVED:
        return facts.count, 0
    if facts.kind == MoveKind.EMPTIES:
        _enough(facts.count, empties, "empty ones are")
        return 0, -facts.count
    _enough(facts.count, there, "are")
    leaves = facts.kind == MoveKind.USED and item.kind in _LEAVES_EMPTY
    return -facts.count, facts.count if leaves else 0


def _possible(item: StockItem, facts: MoveFacts) -> None:
    """Refuse what no shelf of this kind has, and a count that cannot be."""
    if item.kind == ItemKind.CYLINDER:
        raise RuleBroken("Cylinders are counted one by one: receive and change them at Supplies.")
    if facts.kind not in MoveKind.values or facts.kind == MoveKind.TAKEN_BACK:
        raise RuleBroken("Say what happened: received, used, sent back, thrown away or counted.")
    least = 0 if facts.kind == MoveKind.COUNTED else 1
    if not least <= facts.count <= _MOST:
        raise RuleBroken(f"Write a whole number from {least} to {_MOST}.")


def _enough(count: int, there: int, words: str) -> None:
    if count > there:
        raise RuleBroken(
            f"Only {there} {words} written down. Count the shelf first, then write this again."
        )


@transaction.atomic
def move_take_back(*, move: StockMove, by: User, why: str = "") -> StockMove:
    """Take a move back by a counter-move of the same time; the first one stays readable.

    Raises
    ------
    RuleBroken : it was taken back before, or is itself a counter-move.
    """
    held = StockMove.objects.select_for_update().get(pk=move.pk)
    if held.undoes_id is not None or held.kind == MoveKind.TAKEN_BACK:
        raise RuleBroken("This line takes another one back; write a new line instead.")
    if StockMove.objects.filter(undoes=held).exists():
        raise RuleBroken("This line was taken back already.")
    counter = StockMove.objects.create(
        item_id=held.item_id,
        kind=MoveKind.TAKEN_BACK,
        full=-held.full,
        empty=-held.empty,
        at=held.at,
        why=why.strip(),
        stock_order=held.stock_order,
        undoes=held,
        by=by,
    )
    if held.stock_order_id is not None:
        StockOrder.objects.filter(pk=held.stock_order_id).update(closed_at=None)
    return counter


@transaction.atomic
def moves_write(*, moves: Iterable[StockMove]) -> list[StockMove]:
    """Bring in a ledger that was kept elsewhere."""
    made = list(moves)
    now = timezone.now()
    if any(one.at > now for one in made):
        raise RuleBroken("A move lies ahead of now.")
    return StockMove.objects.bulk_create(made, batch_size=500)
