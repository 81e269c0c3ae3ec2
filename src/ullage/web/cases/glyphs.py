"""The glyphs of a chart in one table: change them here, and drawing and legend follow."""

from collections.abc import Mapping
from dataclasses import dataclass

__all__ = ["GLYPHS", "Glyph"]


@dataclass(frozen=True, slots=True)
class Glyph:
    """One glyph: words of the legend, class of the style sheet, strokes around its middle.

    A stroke is where it starts from the middle, and the rest of its path in relative steps.
    ``joined`` names the class of the line between marks in sequence.
    """

    words: str
    look: str
    strokes: tuple[tuple[float, float, str], ...]
    joined: str = ""

    def at(self, x: float, y: float) -> str:
        """The data of a path that draws it with its middle at a point."""
        return "".join(f"M{x + dx:.1f} {y + dy:.1f}{rest}" for dx, dy, rest in self.strokes)


def _disc(radius: float) -> tuple[tuple[float, float, str], ...]:
    half = f"a{radius} {radius} 0 1 0"
    return ((-radius, 0.0, f"{half} {2 * radius} 0{half} {-2 * radius} 0z"),)


GLYPHS: Mapping[str, Glyph] = {
    "systolic": Glyph("upper end of the pair", "ink", ((-4.5, -7.0, "l4.5 7 4.5-7"),)),
    "diastolic": Glyph("lower end of the pair", "ink", ((-4.5, 7.0, "l4.5-7 4.5 7"),)),
    "mean": Glyph("short bar", "ink", ((-4.0, 0.0, "h8"),)),
    "breaths": Glyph("open circle", "ink open", _disc(4.2), "readl dotted"),
    "heart_rate": Glyph("filled dot", "read", _disc(4.6), "readl thin"),
    "span": Glyph("span of the others in a box", "readl", ((0.0, -6.0, "v12"),)),
    "late": Glyph("late entry", "ink mark", ((-4.0, -9.0, "h-3v18h3"), (4.0, -9.0, "h3v18h-3"))),
    "amended": Glyph("amended entry", "ink mark", ((-6.0, 9.5, "h12"), (-6.0, 12.5, "h12"))),
    "above": Glyph("above the scale", "ink", ((-4.0, 4.0, "h8l-4-7z"),)),
    "below": Glyph("below the scale", "ink", ((-4.0, -4.0, "h8l-4 7z"),)),
    "tick": Glyph("a value without room for its number", "readl", ((0.0, -4.0, "v7"),)),
}
