"""Reorder points against shelves played out event by event, beside a rule of two cylinders.

``python -m benchmarks.stock`` also writes the table of the explanation. Nothing here shares code
with the formulas: draws come one after the other, orders go out and come in, and what happens is
counted.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from heapq import heappop, heappush
from math import log

import numpy as np

from benchmarks.frame import Figure
from ullage.core.stock import LeadTime, Use, cycle_service_share, mean_stock, reorder_point

__all__ = ["Shelf", "figures", "played"]

SERVICE = 0.95
CYCLES = 20_000
SEED = 40_000
LEAD_DAYS = 5.0
#: Cylinders used in one lead time, and the kinds of use and delivery that are played.
DEMANDS = (0.1, 0.2, 0.5, 1.0, 2.0, 3.0, 5.0, 7.0, 10.0)
KINDS = (
    "one by one",
    "late deliveries",
    "in lots",
    "case by case",
)
#: The rule that the forecast is held against: order when two full ones are left.
RULE = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """What happened at one shelf."""

    cycles: int
    cycle_service_share: float
    fill_rate_share: float
    mean_stock: float


@dataclass(slots=True)
class _Dice:
    """Times, sizes and deliveries, drawn in lots from one seed."""

    rng: np.random.Generator
    use: Use
    lead: LeadTime

    def gaps_days(self, count: int) -> Iterator[float]:
        """Days between draws; where draws come in lots, between lots."""
        rate = self.use.per_day / (self._mean_lot() if self.use.dispersion > 1.0 else 1.0)
        return iter((self.rng.exponential(1.0 / rate, count)).tolist())

    def sizes(self, count: int) -> Iterator[float]:
        """Pieces, or parts of one, that each draw takes."""
        use = self.use
        if use.per_draw_sd_share:
            shape = use.per_draw_sd_share**-2.0
            return iter(self.rng.gamma(shape, use.per_draw / shape, count).tolist())
        if use.per_draw:
            return iter([use.per_draw] * count)
        if use.dispersion > 1.0:
            return iter(self.rng.logseries(1.0 - 1.0 / use.dispersion, count).tolist())
        return iter([1.0] * count)

    def lead_days(self, count: int) -> Iterator[float]:
        """Days that deliveries take."""
        if not self.lead.sd_days:
            return iter([self.lead.days] * count)
        shape = (self.lead.days / self.lead.sd_days) ** 2
        return iter(self.rng.gamma(shape, self.lead.days / shape, count).tolist())

    def _mean_lot(self) -> float:
        share = 1.0 - 1.0 / self.use.dispersion
        return -share / ((1.0 - share) * log(1.0 - share))


def played(
    use: Use, lead: LeadTime, point: int, *, order_pieces: int, cycles: int, seed: int
) -> Shelf:
    """Play a shelf: whoever finds none waits; an order goes out as the point is reached.

    An order cycle served everybody when nobody waits at the moment before its delivery.
    """
    dice = _Dice(np.random.default_rng(seed), use, lead)
    leads, coming = dice.lead_days(cycles), list[float]()
    gaps, sizes = iter(list[float]()), iter(list[float]())
    now = held = opened = filled = served = 0.0
    stock, delivered, ordered = point + order_pieces, 0, 0
    while delivered < cycles:
        gap = next(gaps, None)
        if gap is None:
            gaps, sizes = dice.gaps_days(65_536), dice.sizes(65_536)
            gap = next(gaps)
        then = now + gap
        while coming and coming[0] <= then and delivered < cycles:
            at = heappop(coming)
            held += max(stock, 0) * (at - now)
            now = at
            served += stock >= 0
            stock += order_pieces
            delivered += 1
        held += max(stock, 0) * (then - now)
        now = then
        before, opened = int(opened), opened + next(sizes)
        for _ in range(int(opened + 1e-9) - before):
            filled += stock > 0
            stock -= 1
        while stock + order_pieces * (ordered - delivered) <= point and ordered < cycles:
            heappush(coming, now + next(leads))
            ordered += 1
    return Shelf(
        cycles=delivered,
        cycle_service_share=served / delivered,
        fill_rate_share=filled / max(1, int(opened + 1e-9)),
        mean_stock=held / now,
    )


def shelf_of(kind: str, demand: float) -> tuple[Use, LeadTime]:
    """Use and delivery of one kind, with so many cylinders used in a lead time."""
    rate = demand / LEAD_DAYS
    late = LeadTime(days=LEAD_DAYS, sd_days=2.0)
    if kind == "late deliveries":
        return Use(per_day=rate), late
    if kind == "in lots":
        return Use(per_day=rate, dispersion=2.0), late
    if kind == "case by case":
        return Use(per_day=rate / 0.2, per_draw=0.2, per_draw_sd_share=0.6), late
    return Use(per_day=rate), LeadTime(days=LEAD_DAYS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One shelf: what was worked out, what was played at it, one below it, and at the rule."""

    kind: str
    demand: float
    point: int
    worked_share: float
    at_point: Shelf
    below: Shelf | None
    rule_share: float
    at_rule: Shelf
    stock_at_rule_share: float


def rows(cycles: int = CYCLES) -> Iterator[Row]:
    """Every kind at every demand; each shelf has a seed of its own, the same at each point."""
    pairs = [(kind, demand) for kind in KINDS for demand in DEMANDS]
    for number, (kind, demand) in enumerate(pairs):
        use, lead = shelf_of(kind, demand)
        order = max(2, round(3.0 * demand))
        point = reorder_point(use, lead, SERVICE)

        def at(
            points: int,
            use: Use = use,
            lead: LeadTime = lead,
            order: int = order,
            seed: int = SEED + number,
        ) -> Shelf:
            return played(use, lead, points, order_pieces=order, cycles=cycles, seed=seed)

        yield Row(
            kind=kind,
            demand=demand,
            point=point,
            worked_share=cycle_service_share(use, lead, point),
            at_point=at(point),
            below=at(point - 1) if point else None,
            rule_share=cycle_service_share(use, lead, RULE),
            at_rule=at(RULE),
            stock_at_rule_share=mean_stock(use, lead, RULE, order),
        )


def figures() -> Iterable[Figure]:
    """Shelves whose point serves what was asked, and whose next smaller one does not."""
    found = list(rows())
    serving = [one.at_point.cycle_service_share >= SERVICE for one in found]
    missing = [one.below.cycle_service_share < SERVICE for one in found if one.below]
    told = f"{CYCLES} order cycles each, 0.1 to 10 cylinders in a lead time"
    yield Figure(
        name="reorder points that serve at least 95 % of order cycles",
        value=100.0 * float(np.mean(serving)),
        limit=100.0,
        comparison=">=",
        n=len(found) * CYCLES,
        seed=SEED,
        unit="%",
        note=f"{sum(serving)} of {len(serving)} shelves, {told}",
    )
    yield Figure(
        name="next smaller reorder points that miss 95 %",
        value=100.0 * float(np.mean(missing)),
        limit=100.0,
        comparison=">=",
        n=len(missing) * CYCLES,
        seed=SEED,
        unit="%",
        note=f"{sum(missing)} of {len(missing)} shelves",
    )
    off = max(abs(one.at_point.cycle_service_share - one.worked_share) for one in found)
    yield Figure(
        name="service worked out against service played",
        value=100.0 * off,
        limit=0.5,
        comparison="<=",
        n=len(found) * CYCLES,
        seed=SEED,
        unit="points",
        note="largest difference of all shelves",
    )


def table() -> Iterator[str]:
    """The lines of the table in the explanation."""
    yield (
        "| use | used in a lead time | reorder point | worked out | served | one fewer | "
        "in store | rule of two: served | rule of two: in store |"
    )
    yield "| --- | --- | --- | --- | --- | --- | --- | --- | --- |"
    for one in rows():
        below = f"{100 * one.below.cycle_service_share:.1f} %" if one.below else "none"
        cells = (
            one.kind,
            f"{one.demand:g}",
            f"{one.point}",
            f"{100 * one.worked_share:.1f} %",
            f"{100 * one.at_point.cycle_service_share:.1f} %",
            below,
            f"{one.at_point.mean_stock:.1f}",
            f"{100 * one.at_rule.cycle_service_share:.1f} %",
            f"{one.at_rule.mean_stock:.1f}",
        )
        yield f"| {' | '.join(cells)} |"


if __name__ == "__main__":
    print("\n".join(table()))
