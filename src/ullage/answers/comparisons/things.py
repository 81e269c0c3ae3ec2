"""One published value beside ours, and the score of all of them."""

from dataclasses import dataclass
from enum import StrEnum

__all__ = ["Compared", "Kind", "Mark", "Score"]


class Mark(StrEnum):
    """Whether a row counts towards the score, and why not."""

    SCORED = "scored"
    FITTED = "fitted"
    ARITHMETIC = "arithmetic"
    NO_GATE = "no gate"


class Kind(StrEnum):
    """What a row measures; each kind has a model error of its own."""

    LEVEL = "level"
    AMOUNT = "amount"
    TIME = "time"


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """A row: what was published, and what the engine gives with three sets of values.

    ``shipped`` is what a user gets, with its band for the mean of a study of that size; ``label``
    is the same engine with the switch of solubility on the labels; ``uptake`` is the reference
    model repeated.
    """

    key: str
    group: str
    subject: str
    setup: str
    quantity: str
    unit: str
    source: str
    how_known: str
    note: str
    published: float
    tolerance: float
    mark: Mark
    kind: Kind
    shipped: float
    low: float
    high: float
    label: float
    uptake: float

    @property
    def inside(self) -> bool:
        """True when ours lies within the tolerance of the row."""
        return self.lies_inside(self.shipped)

    def lies_inside(self, value: float) -> bool:
        """True when a value lies within the tolerance of the row."""
        return abs(value - self.published) <= self.tolerance * (1.0 + 1e-9)

    @property
    def held(self) -> bool:
        """True when the band holds the published value."""
        return self.low <= self.published <= self.high

    @property
    def error_share(self) -> float:
        """[1] ours over the published value, less one."""
        return self.shipped / self.published - 1.0

    @property
    def half_width_share(self) -> float:
        """[1] half of the width of the band, over the value."""
        return 0.5 * (self.high - self.low) / self.shipped


@dataclass(frozen=True, slots=True, kw_only=True)
class Score:
    """What the scored rows come to.

    ``held`` rows have the published value inside their band; the widths are medians of half the
    band over the value; ``even_share`` is half of the one relative band with the same coverage.
    """

    scored: int
    inside: int
    median_error_share: float
    held: int = 0
    level_width_share: float = 0.0
    time_width_share: float = 0.0
    width_share: float = 0.0
    even_share: float = 0.0

    @property
    def held_share(self) -> float:
        """[1] of the scored rows inside their band."""
        return self.held / self.scored
