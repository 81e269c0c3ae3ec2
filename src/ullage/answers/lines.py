"""Rows of the reference data as lines of an answer, and bands put together."""

from math import hypot

from ullage.answers.answer import WhereFrom
from ullage.reference import Sourced, Spread

__all__ = ["as_sentence", "band_together", "ends_of", "line_of", "lines_of"]

#: Ends of a 90 % band of a normal distribution, in standard deviations.
_ENDS = 1.645


def as_sentence(text: str) -> str:
    """A text with a capital in front and one full stop behind.

    >>> as_sentence("uptake 3.2"), as_sentence("Seen.")
    ('Uptake 3.2.', 'Seen.')
    """
    bare = text.strip().rstrip(".")
    return f"{bare[:1].upper()}{bare[1:]}."


def line_of(row: Sourced, what: str = "") -> WhereFrom:
    """One value as a line of where-from.

    >>> from ullage.reference import sourced
    >>> line_of(sourced("agents", "isoflurane.boiling_c"), "boiling point").text[:29]
    'Boiling point: PHY-002: boili'
    """
    told = f"{what}: {row.where}" if what else row.where
    return WhereFrom(source=row.source, how_known=row.how_known.value, text=as_sentence(told))


def lines_of(*rows: Sourced) -> tuple[WhereFrom, ...]:
    """Several values as lines, each once."""
    return tuple(dict.fromkeys(line_of(one) for one in rows))


def ends_of(row: Sourced, assumed_share: float | None = None) -> tuple[float, float]:
    """The 90 % ends of a value: a standard deviation is widened, a limit or range is taken whole.

    >>> from ullage.reference import sourced
    >>> [round(one, 1) for one in ends_of(sourced("potency", "sparing.cat.isoflurane.alfentanil"))]
    [-45.9, -24.1]
    """
    band = row.band(assumed_share)
    if row.spread is Spread.SD:
        half = _ENDS * (band.high - band.low) / 2.0
        return row.value - half, row.value + half
    return band.low, band.high


def band_together(value: float, *ratios: tuple[float, float]) -> tuple[float, float]:
    """A band from several independent ones, each given as low and high over its middle.

    >>> [round(one, 3) for one in band_together(1.0, (0.9, 1.1), (0.8, 1.2))]
    [0.776, 1.224]
    """
    down = hypot(*(1.0 - low for low, _ in ratios)) if ratios else 0.0
    up = hypot(*(high - 1.0 for _, high in ratios)) if ratios else 0.0
    return max(0.0, value * (1.0 - down)), value * (1.0 + up)
