"""A shelf as it stands: what is there, how fast it is used, how it is filled again."""

from dataclasses import dataclass, field
from datetime import date

from ullage.core.checks import not_negative, positive, within

__all__ = ["Filled", "Shelf", "UseSeen"]


@dataclass(frozen=True, slots=True, kw_only=True)
class UseSeen:
    """What is known of the use of one thing: a record, a plan, and what a person calls usual.

    ``counts`` are whole pieces taken in each past period of ``period_days``, the oldest first, no
    period left out. A plan asks for ``planned_pieces`` in the next ``planned_days``.
    """

    counts: tuple[int, ...] = ()
    period_days: float = 7.0
    planned_pieces: float | None = None
    planned_days: float = 7.0
    planned_sd_share: float = 0.15
    usual_per_week: float | None = None

    def __post_init__(self) -> None:
        positive("period_days", self.period_days)
        positive("planned_days", self.planned_days)
        within("planned_sd_share", self.planned_sd_share, 0.0, 1.0)
        for one in self.counts:
            not_negative("counts", one)
        for name in ("planned_pieces", "usual_per_week"):
            value = getattr(self, name)
            if value is not None:
                within(name, value, 0.0, 5000.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Filled:
    """How a shelf is filled again; None where nobody has said.

    ``usual_days`` from order to shelf, ``longest_days`` what only one delivery in twenty exceeds,
    ``every_days`` how long one order shall last, ``look_days`` between looks at the shelf,
    ``pack`` how many come together.
    """

    usual_days: float | None = None
    longest_days: float | None = None
    every_days: float = 7.0
    look_days: float = 0.0
    pack: int = 1

    def __post_init__(self) -> None:
        for name in ("usual_days", "longest_days"):
            value = getattr(self, name)
            if value is not None:
                within(name, value, 0.0, 365.0)
        if self.longest_days is not None and self.usual_days is not None:
            within("longest_days", self.longest_days, self.usual_days, 365.0)
        within("every_days", self.every_days, 0.0, 365.0)
        within("look_days", self.look_days, 0.0, 365.0)
        within("pack", self.pack, 1, 1000)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """One thing in store: full pieces, pieces on order, its use, its deliveries.

    ``piece`` and ``pieces`` are its words; ``service_share`` is what the site chose, None where
    it has not.
    """

    name: str
    full: int
    on_order: int = 0
    piece: str = "piece"
    pieces: str = ""
    use: UseSeen = field(default_factory=UseSeen)
    filled: Filled = field(default_factory=Filled)
    service_share: float | None = None
    today: date | None = None

    def __post_init__(self) -> None:
        not_negative("full", self.full)
        not_negative("on_order", self.on_order)
        if self.service_share is not None:
            within("service_share", self.service_share, 0.5, 0.999)

    @property
    def position(self) -> int:
        """Full ones and those on order."""
        return self.full + self.on_order

    def counted(self, count: int) -> str:
        """So many of them in words.

        >>> shelf = Shelf(name="Oxygen E", full=2, piece="cylinder")
        >>> shelf.counted(1), shelf.counted(3)
        ('1 cylinder', '3 cylinders')
        """
        return f"{count} {self.piece if count == 1 else self.pieces or f'{self.piece}s'}"
