"""Level bars and spans as numbers in percent, ready for an SVG without a style attribute."""

from dataclasses import dataclass
from math import isfinite

from ullage.answers import Answer

__all__ = ["Level", "Shape", "Span", "level_of"]


@dataclass(frozen=True, slots=True)
class Shape:
    """[px] heights of one size of bar: whole, bar, tick, flag, words."""

    whole: float
    top: float
    thick: float
    tick_top: float
    tick: float
    flag: float = 0.0
    words: float = 0.0

    @property
    def middle(self) -> float:
        """[px] from the top of the bar to its middle."""
        return self.thick / 2

    @property
    def dot(self) -> float:
        """[px] radius of the best value of a span."""
        return self.thick * 0.42


_LEVELS = {
    "row": Shape(26, 9, 12, 4, 22),
    "head": Shape(62, 28, 26, 23, 36, flag=16, words=11),
    "mini": Shape(12, 1.5, 9, 0, 12),
}
_SPANS = {"row": Shape(22, 5, 12, 2, 18), "head": Shape(60, 30, 22, 22, 36, words=12)}


def _share(value: float, full: float) -> float:
    """Percent of the whole, kept inside the frame; nothing where a number makes no sense."""
    if not (isfinite(value) and isfinite(full) and full > 0):
        return 0.0
    return round(min(max(value / full, 0.0), 1.0) * 100.0, 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """An amount left: solid is sure, hatched is perhaps, blank is gone.

    All numbers share one unit; ``label`` says the same in words for who cannot see it.
    """

    full: float
    label: str
    low: float | None = None
    value: float | None = None
    high: float | None = None
    kept: float | None = None
    need: float | None = None
    need_text: str = ""
    is_estimate: bool = False
    size: str = "row"
    axis: tuple[str, ...] = ()

    @property
    def shape(self) -> Shape:
        """The heights of this size."""
        return _LEVELS[self.size]

    @property
    def sure(self) -> float:
        """[%] what is surely there."""
        found = self.low if self.low is not None else self.value
        return _share(found, self.full) if found is not None else 0.0

    @property
    def perhaps(self) -> float:
        """[%] the width of what is perhaps there."""
        found = self.high if self.high is not None else self.value
        return (
            round(max(_share(found, self.full) - self.sure, 0.0), 2) if found is not None else 0.0
        )

    @property
    def at(self) -> float | None:
        """[%] the best value."""
        return None if self.value is None else _share(self.value, self.full)

    @property
    def kept_share(self) -> float:
        """[%] what is kept back, never more than what is there at most."""
        if not self.kept:
            return 0.0
        return min(_share(self.kept, self.full), self.sure + self.perhaps)

    @property
    def flag(self) -> float | None:
        """[%] what is needed."""
        return None if self.need is None else _share(self.need, self.full)

    @property
    def anchor(self) -> str:
        """Where the words of the flag hang, so that they stay inside the bar."""
        at = self.flag or 0.0
        return "start" if at < 20 else "end" if at > 80 else "middle"


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A value in its range that is not an amount of something left, from ``start`` to ``end``."""

    start: float
    end: float
    label: str
    low: float | None = None
    value: float | None = None
    high: float | None = None
    limit: float | None = None
    limit_text: str = ""
    size: str = "row"
    is_second: bool = False

    @property
    def shape(self) -> Shape:
        """The heights of this size."""
        return _SPANS[self.size]

    def _at(self, value: float | None) -> float | None:
        return None if value is None else _share(value - self.start, self.end - self.start)

    @property
    def left(self) -> float:
        """[%] where the range begins."""
        return self._at(self.low) or 0.0

    @property
    def width(self) -> float:
        """[%] how wide the range is."""
        high = self._at(self.high)
        return 0.0 if high is None else round(max(high - self.left, 0.0), 2)

    @property
    def at(self) -> float | None:
        """[%] the best value."""
        return self._at(self.value)

    @property
    def line(self) -> float | None:
        """[%] the limit."""
        return self._at(self.limit)

    @property
    def anchor(self) -> str:
        """Where the words of the limit hang."""
        at = self.line or 0.0
        return "start" if at < 20 else "end" if at > 80 else "middle"


def level_of(answer: Answer, full: float, label: str, **more: object) -> Level:
    """The level bar of an answer about an amount left; numbers in the answer's own unit."""
    return Level(
        full=full,
        label=label,
        low=answer.low,
        value=answer.value,
        high=answer.high,
        **more,  # type: ignore[arg-type]  # the fields of Level, by name
    )
