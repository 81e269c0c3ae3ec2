"""When to order one thing, and how many: the reorder point for the service that a site chose."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from math import ceil, inf

from ullage.answers.answer import Answer, Step, Verdict, View, WhereFrom
from ullage.answers.stock.things import Shelf, UseSeen
from ullage.answers.words import figure, span
from ullage.core.errors import InvalidQuantity, SolveFailed
from ullage.core.stock import (
    LeadTime,
    Use,
    cycle_service_share,
    fill_rate_share,
    order_up_to,
    recorded_use,
    reorder_point,
    used_mean,
    used_more_chance,
    used_sd,
    used_up_after_days,
)
from ullage.reference import sourced

__all__ = ["Reorder", "expected_use", "reorder", "reorder_of"]

#: Half of a 90 % band, and what one delivery in twenty exceeds, in standard deviations.
_ENDS = 1.645
#: Services shown beside the one that the site chose.
_SIDES = (0.90, 0.95, 0.99)
_COUNTED = WhereFrom(
    source="arithmetic",
    how_known="computed",
    text="Smallest number of pieces whose cycle service reaches the share, summed over the rate "
    "and the time of delivery.",
)
_RECORD = WhereFrom(
    source="entered", how_known="seen", text="What was taken from the shelf, as it was written."
)
_PLAN = WhereFrom(source="entered", how_known="site", text="Cases planned for the days ahead.")
_USUAL = WhereFrom(source="entered", how_known="site", text="Use that a person called usual.")
_CHOSEN = WhereFrom(
    source="site_rule", how_known="site", text="Service that the site chose for its shelves."
)
_GOES_ON = "Use goes on as it was in the record; what is known ahead is planned as cases."
_ASKS_SERVICE = (
    "In which share of order cycles shall nobody ask for a piece that is not there, such as 95 %?"
)
_ASKS_DAYS = "How many days does a delivery usually take?"
_ASKS_USE = "How many are used in a usual week?"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reorder:
    """An answer about one shelf with its numbers: the point, and how many to order now."""

    shelf: Shelf
    answer: Answer
    point: int | None = None
    to_order: int = 0
    days: float | None = None
    short_chance: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rate:
    """One way to know the use: its rate, in words, and on whose word."""

    label: str
    use: Use
    where: WhereFrom


def expected_use(seen: UseSeen) -> Use | None:
    """The use that counts: the record, or a plan that asks for more; None where nobody knows.

    >>> expected_use(UseSeen(counts=(2, 1, 3, 2))).per_day > 0.3
    True
    >>> expected_use(UseSeen()) is None
    True
    """
    counts = _counting(tuple(_rates(seen)))
    return counts.use if counts else None


def _rates(seen: UseSeen) -> Iterator[_Rate]:
    if seen.counts:
        weeks = figure(len(seen.counts) * seen.period_days / 7.0)
        use = recorded_use(seen.counts, seen.period_days)
        yield _Rate(label=f"Recorded, {weeks} weeks", use=use, where=_RECORD)
    elif seen.usual_per_week is not None:
        share = sourced("stock", "order.usual_sd_share").value
        use = Use(per_day=seen.usual_per_week / 7.0, rate_sd_share=share)
        yield _Rate(label="Called usual", use=use, where=_USUAL)
    if seen.planned_pieces is not None:
        use = Use(
            per_day=seen.planned_pieces / seen.planned_days, rate_sd_share=seen.planned_sd_share
        )
        label = f"Planned, {figure(seen.planned_days)} days ahead"
        yield _Rate(label=label, use=use, where=_PLAN)


def _counting(rates: tuple[_Rate, ...]) -> _Rate | None:
    """The fastest; what was recorded goes before a plan that asks for no more."""
    return max(rates, key=lambda one: one.use.pieces_per_day, default=None)


def reorder(shelf: Shelf) -> Answer:
    """When one thing must be ordered.

    Parameters
    ----------
    shelf : what is there and on order, its use, its deliveries, the service chosen.

    >>> from ullage.answers.stock.things import Filled
    >>> seen = UseSeen(counts=(2, 1, 3, 2))
    >>> shelf = Shelf(name="Oxygen E", full=2, use=seen, filled=Filled(usual_days=5.0),
    ...               service_share=0.95)
    >>> reorder(shelf).verdict.value
    'Look again'
    """
    return reorder_of(shelf).answer


@lru_cache(maxsize=1024)
def reorder_of(shelf: Shelf) -> Reorder:
    """The same with its numbers, for a list of what to order.

    >>> from ullage.answers.stock.things import Filled
    >>> shelf = Shelf(name="Oxygen E", full=9, use=UseSeen(usual_per_week=2.0),
    ...               filled=Filled(usual_days=5.0), service_share=0.95)
    >>> reorder_of(shelf).point
    4
    """
    try:
        return _worked_out(shelf)
    except (InvalidQuantity, SolveFailed) as refusal:
        asks = f"More is used than a shelf is for: {refusal} Is that so?"
        return Reorder(shelf=shelf, answer=_not_yet(shelf, (), (asks,)))


def _worked_out(shelf: Shelf) -> Reorder:
    rates = tuple(_rates(shelf.use))
    rate = _counting(rates)
    asks = tuple(_asks(shelf, rate))
    if rate is None or asks:
        return Reorder(shelf=shelf, answer=_not_yet(shelf, rates, asks))
    lead = _lead(shelf)
    point = reorder_point(rate.use, lead, shelf.service_share or 0.0)
    found = _Found(shelf=shelf, rate=rate, rates=rates, lead=lead, point=point)
    return Reorder(
        shelf=shelf,
        answer=found.answer(),
        point=point,
        to_order=found.to_order,
        days=found.days(0.5),
        short_chance=found.short,
    )


def _asks(shelf: Shelf, rate: _Rate | None) -> Iterator[str]:
    if rate is None:
        yield _ASKS_USE
    if shelf.filled.usual_days is None:
        yield _ASKS_DAYS
    if shelf.service_share is None:
        yield _ASKS_SERVICE


def _lead(shelf: Shelf) -> LeadTime:
    filled = shelf.filled
    usual = filled.usual_days or 0.0
    longest = usual if filled.longest_days is None else filled.longest_days
    sd_days = min((longest - usual) / _ENDS, usual)
    return LeadTime(days=usual, sd_days=sd_days, review_days=filled.look_days)


def _not_yet(shelf: Shelf, rates: tuple[_Rate, ...], asks: tuple[str, ...]) -> Answer:
    """Without a use, a delivery or a service there is no point; what is known is shown."""
    rate = _counting(rates)
    views: tuple[View, ...] = ()
    if rate is not None and shelf.filled.usual_days is not None:
        views = tuple(_services(rate.use, _lead(shelf), None))
    return Answer(
        question=f"When must {shelf.name} be ordered?",
        unit="d",
        sentence=f"{_there(shelf)} Nobody has said what settles when to order.",
        reasons=("A reorder point rests on a use, a time of delivery and a chosen service.",),
        where_from=(rate.where if rate else _COUNTED, _COUNTED),
        settles=" ".join(asks),
        steps=tuple(_rate_steps(rates, rate)),
        views=views,
        verdict=Verdict.NOT_YET,
    )


def _there(shelf: Shelf) -> str:
    ordered = f", and {shelf.on_order} on order" if shelf.on_order else ""
    return f"There {'is' if shelf.full == 1 else 'are'} {shelf.counted(shelf.full)}{ordered}."


def _rate_steps(rates: tuple[_Rate, ...], chosen: _Rate | None) -> Iterator[Step]:
    for one in rates:
        yield Step(
            what=one.label,
            result=f"{figure(7.0 * one.use.pieces_per_day)} a week",
            note="counts" if one is chosen and len(rates) > 1 else "",
        )


def _services(use: Use, lead: LeadTime, chosen: float | None) -> Iterator[View]:
    """The point for several services, and a rule of two at the service that it gives."""
    for share in sorted({*_SIDES, *((chosen,) if chosen else ())}):
        yield View(
            label=f"{100 * share:g} % of order cycles without anybody in want",
            result=f"order at {reorder_point(use, lead, share)}",
            source="site_rule" if share == chosen else "arithmetic",
            how_known="site" if share == chosen else "computed",
            chosen=share == chosen,
        )
    row = sourced("stock", "order.rule_of_two")
    served = cycle_service_share(use, lead, round(row.value))
    yield View(
        label="A rule of two: order when two full ones are left",
        result=f"serves {_percent(served)}",
        source=row.source,
        how_known=row.how_known.value,
    )


def _percent(share: float) -> str:
    return f"{100 * share:.1f} %" if share < 0.9995 else "nearly all"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Found:
    """A shelf with its reorder point, and what follows from it."""

    shelf: Shelf
    rate: _Rate
    rates: tuple[_Rate, ...]
    lead: LeadTime
    point: int

    @property
    def is_due(self) -> bool:
        """Whether the shelf has come to its point."""
        return self.shelf.position <= self.point

    @property
    def up_to(self) -> int:
        """How many there are to be after an order."""
        service, every = self.shelf.service_share or 0.0, self.shelf.filled.every_days
        return order_up_to(self.rate.use, self.lead, service, every)

    @property
    def to_order(self) -> int:
        """Whole packs that bring the shelf to what it is filled up to; none before it is due."""
        pack = self.shelf.filled.pack
        return pack * ceil((self.up_to - self.shelf.position) / pack) if self.is_due else 0

    @property
    def short(self) -> float:
        """Chance that somebody is in want before an order of today comes."""
        return used_more_chance(self.rate.use, self.lead, self.shelf.position)

    def days(self, chance: float) -> float:
        """[d] until the shelf comes to the point with a chance; infinite where it hardly does."""
        if self.is_due:
            return 0.0
        days = used_up_after_days(self.rate.use, self.shelf.position - self.point, chance)
        # Whole days, the earlier one: nobody orders by the hour.
        return days if days == inf else float(int(days))

    def answer(self) -> Answer:
        """The whole of it in words."""
        days, soon, late = (self.days(one) for one in (0.5, 0.05, 0.95))
        is_known = days != inf
        due = self.is_due
        return Answer(
            question=f"When must {self.shelf.name} be ordered?",
            value=days if is_known else None,
            low=None if due or soon == inf else soon,
            high=None if due or late == inf else late,
            covers="how fast it is used",
            unit="d",
            settles="" if is_known else "Nothing is used; look again when something is.",
            sentence=self._sentence(days, soon, late),
            reasons=tuple(self._reasons()),
            where_from=(self.rate.where, _CHOSEN, _COUNTED),
            steps=tuple(self._steps()),
            views=tuple(_services(self.rate.use, self.lead, self.shelf.service_share)),
            assumptions=(_GOES_ON, *_assumed(self.rate)),
            cautions=("Count the shelf: what is written there is not what stands there.",),
            verdict=Verdict.LOOK_AGAIN if due else Verdict.FINE,
            todo=f"Order {self.shelf.counted(self.to_order)} today." if due else "",
        )

    def _sentence(self, days: float, soon: float, late: float) -> str:
        there = _there(self.shelf)
        if self.is_due:
            return f"{there} An order goes out at {self.point}: order today."
        if days == inf:
            return f"{there} Hardly anything is used; an order goes out at {self.point}."
        when = f"in about {_days_text(days)}"
        today = self.shelf.today
        if today is not None:
            when = f"about {_day_text(today, days)}, at the earliest {_day_text(today, soon)}"
        return f"{there} An order goes out at {self.point}, {when}."

    def _reasons(self) -> Iterator[str]:
        use, lead = self.rate.use, self.lead
        mean, sd = used_mean(use, lead), used_sd(use, lead)
        low, high = max(0.0, mean - _ENDS * sd), mean + _ENDS * sd
        yield (
            f"{figure(7.0 * use.pieces_per_day)} are used a week; until a delivery it is "
            f"{figure(mean)}, mostly {span(low, high, '')}."
        )
        if self.is_due:
            yield f"Ordered today, the chance to run short first is {_percent(self.short)}."

    def _steps(self) -> Iterator[Step]:
        use, lead, point = self.rate.use, self.lead, self.point
        yield from _rate_steps(self.rates, self.rate)
        days = figure(lead.days + lead.review_days)
        late = f"known to {figure(lead.sd_days)} days" if lead.sd_days else ""
        yield Step(what="from a look to the shelf", result=f"{days} days", note=late)
        yield Step(what="reorder point, full ones and on order", result=f"{point}")
        served = cycle_service_share(use, lead, point)
        yield Step(what="cycle service at that point", result=_percent(served))
        if point:
            fewer = cycle_service_share(use, lead, point - 1)
            yield Step(what="cycle service with one fewer", result=_percent(fewer))
        filled = fill_rate_share(use, lead, point, max(1, self.up_to - point))
        yield Step(what="fill rate: asked for and there at once", result=_percent(filled))
        yield Step(what="ordered up to", result=f"{self.up_to}")


def _assumed(rate: _Rate) -> tuple[str, ...]:
    if rate.where is not _USUAL:
        return ()
    row = sourced("stock", "order.usual_sd_share")
    return (f"A use called usual is taken to be known to {figure(100 * row.value)} %.",)


def _days_text(days: float) -> str:
    whole = round(days)
    return "a day" if whole <= 1 else f"{whole} days"


def _day_text(today: date, days: float) -> str:
    """The day that lies so many days ahead, rounded down: the earlier one is the safer one."""
    on = today + timedelta(days=int(min(days, 3650.0)))
    if on == today:
        return "today"
    year = f" {on.year}" if on.year != today.year else ""
    return f"{on:%a} {on.day} {on:%B}{year}"
