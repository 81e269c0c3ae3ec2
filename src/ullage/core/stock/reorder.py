"""When to order and how much: reorder point, order-up-to, and what a rule serves and holds.

Two shares that sound alike are kept apart. The cycle service is the share of order cycles in
which nobody asks for a piece that is not there. The fill rate is the share of pieces asked for
that are there at once; it is the higher one wherever an order brings several.
"""

from dataclasses import replace

from ullage.core.checks import not_negative, positive, within
from ullage.core.errors import SolveFailed
from ullage.core.stock.use import LeadTime, Use, shelf_mean, used_more_chance

__all__ = [
    "cycle_service_share",
    "fill_rate_share",
    "mean_stock",
    "order_up_to",
    "reorder_point",
]

_MOST_PIECES = 20_000


def cycle_service_share(use: Use, lead: LeadTime, reorder_at: int) -> float:
    """Share of order cycles in which nobody asks for a piece that is not there.

    Parameters
    ----------
    use : what is drawn.
    lead : how long the delivery takes.
    reorder_at : [1] pieces left, and ordered before, at which a new order goes out; 0 or more.

    Returns
    -------
    [1]

    Raises
    ------
    InvalidQuantity : fewer than none.

    Source: arithmetic.

    >>> round(cycle_service_share(use=Use(per_day=0.5), lead=LeadTime(days=2.0), reorder_at=2), 4)
    0.9197
    """
    return 1.0 - used_more_chance(use, lead, reorder_at)


def reorder_point(use: Use, lead: LeadTime, service_share: float) -> int:
    """The fewest pieces, on the shelf and on order, at which an order must go out.

    Parameters
    ----------
    use : what is drawn.
    lead : how long the delivery takes.
    service_share : [1] of order cycles that shall end without anybody in want, 0.5 to 0.9999.

    Returns
    -------
    [1] pieces; one fewer serves less than was asked.

    Raises
    ------
    InvalidQuantity : a service out of range, or more use than a shelf is for.
    SolveFailed : no number of pieces reaches that service.

    Source: arithmetic (smallest count whose cycle service reaches the share).

    >>> reorder_point(use=Use(per_day=0.5), lead=LeadTime(days=2.0), service_share=0.95)
    3
    """
    within("service_share", service_share, 0.5, 0.9999)
    allowed = 1.0 - service_share
    low, high = -1, 1  # low misses, once it is 0 or more; high is not known to serve yet
    while used_more_chance(use, lead, high) > allowed:
        low, high = high, 2 * high
        if high > _MOST_PIECES:
            raise SolveFailed(f"Not even {_MOST_PIECES} pieces serve {service_share:.2%}.")
    while high - low > 1:
        middle = (low + high) // 2
        if used_more_chance(use, lead, middle) > allowed:
            low = middle
        else:
            high = middle
    return high


def order_up_to(use: Use, lead: LeadTime, service_share: float, every_days: float) -> int:
    """Pieces, on the shelf and on order, up to which to order.

    Parameters
    ----------
    use : what is drawn.
    lead : how long the delivery takes.
    service_share : [1] of order cycles that shall end without anybody in want, 0.5 to 0.9999.
    every_days : [d] that one order shall last until the next one, 0 or more.

    Returns
    -------
    [1] pieces; at least one more than the reorder point.

    Raises
    ------
    InvalidQuantity : a value out of range.
    SolveFailed : no number of pieces reaches that service.

    Source: arithmetic (reorder point of the lead time and the time between orders together).

    >>> order_up_to(Use(per_day=0.5), LeadTime(days=2.0), service_share=0.95, every_days=7.0)
    8
    """
    not_negative("every_days", every_days)
    longer = replace(lead, review_days=lead.review_days + every_days)
    lowest = reorder_point(use, lead, service_share) + 1
    return max(lowest, reorder_point(use, longer, service_share))


def fill_rate_share(use: Use, lead: LeadTime, reorder_at: int, order_pieces: int) -> float:
    """Share of pieces asked for that are there at once.

    Parameters
    ----------
    use : what is drawn.
    lead : how long the delivery takes.
    reorder_at : [1] pieces left, and ordered before, at which a new order goes out; 0 or more.
    order_pieces : [1] that an order brings, above 0.

    Returns
    -------
    [1] in the long run, pieces drawn one by one, who waits is served later.

    Raises
    ------
    InvalidQuantity : a value out of range.

    Source: arithmetic (stock and orders are spread evenly over one order above the point).

    >>> round(fill_rate_share(Use(per_day=1), LeadTime(days=1), reorder_at=2, order_pieces=6), 4)
    0.9827
    """
    positive("order_pieces", order_pieces)
    served = _served(use, lead, reorder_at + order_pieces)
    return sum(served[reorder_at:]) / order_pieces


def mean_stock(use: Use, lead: LeadTime, reorder_at: int, order_pieces: int) -> float:
    """Full pieces on the shelf, on average over time.

    Parameters
    ----------
    use : what is drawn.
    lead : how long the delivery takes.
    reorder_at : [1] pieces left, and ordered before, at which a new order goes out; 0 or more.
    order_pieces : [1] that an order brings, above 0.

    Returns
    -------
    [1] pieces.

    Raises
    ------
    InvalidQuantity : a value out of range.

    Source: arithmetic (stock and orders are spread evenly over one order above the point).

    >>> round(mean_stock(Use(per_day=1), LeadTime(days=1), reorder_at=2, order_pieces=6), 2)
    4.5
    """
    positive("order_pieces", order_pieces)
    highest = within("pieces", reorder_at + order_pieces, 1, _MOST_PIECES)
    heights = range(reorder_at + 1, int(highest) + 1)
    return sum(shelf_mean(use, lead, height) for height in heights) / order_pieces


def _served(use: Use, lead: LeadTime, pieces: int) -> list[float]:
    """Chance that no more than 0, 1, 2... pieces are asked for, below a number of pieces."""
    within("pieces", pieces, 1, _MOST_PIECES)
    return [1.0 - used_more_chance(use, lead, one) for one in range(pieces)]
