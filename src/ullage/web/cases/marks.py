"""What every part of the drawing of a case is made of: where things fall, paths and words."""

from dataclasses import dataclass
from datetime import datetime, tzinfo

from django.utils.html import escape

from ullage.answers.record.printed import local_time

__all__ = ["GRID", "HEAD", "LANE", "LEFT", "RIGHT", "ROW", "SMALL", "WIDE", "Grid", "path", "text"]

#: The drawing [px]: its width, the frame of the grid, heights of grid, row, lane of events, head.
WIDE, LEFT, RIGHT = 770.0, 150.0, 736.0
GRID, ROW, LANE, HEAD = 225.0, 22.0, 21.0, 34.0
#: Width of a letter of small words [px].
SMALL = 6.1


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Where times and values fall; heart rates may have a scale of their own."""

    first: datetime
    last: datetime
    top_px: float
    left_top: float
    right_top: float
    zone: tzinfo

    @property
    def foot_px(self) -> float:
        """The line of zero."""
        return self.top_px + GRID

    @property
    def is_apart(self) -> bool:
        """Whether heart rates stand on a scale at the right."""
        return self.right_top != self.left_top

    def x(self, at: datetime) -> float:
        """[px] of a time."""
        return LEFT + (RIGHT - LEFT) * ((at - self.first) / (self.last - self.first))

    def top(self, key: str) -> float:
        """The end of the scale of a series."""
        return self.right_top if key == "heart_rate" else self.left_top

    def y(self, value: float, key: str) -> float:
        """[px] of a value, at the edge where it lies beyond the scale."""
        return self.foot_px - GRID * min(max(value / self.top(key), 0.0), 1.0)

    def holds(self, value: float, key: str) -> bool:
        """Whether a value lies on its scale."""
        return 0.0 <= value <= self.top(key)

    def clock(self, at: datetime) -> str:
        """A time on the clock of the place."""
        return f"{local_time(at, self.zone):%H:%M}"


def path(look: str, data: str) -> str:
    """A path with its class; nothing where it has no data."""
    return f'<path class="{look}" d="{data}"/>' if data else ""


def text(x: float, y: float, words: str, look: str = "", anchor: str = "") -> str:
    """Words at a place, escaped."""
    more = f' class="{look}"' if look else ""
    more += f' text-anchor="{anchor}"' if anchor else ""
    return f'<text x="{x:.1f}" y="{y:.1f}"{more}>{escape(words)}</text>'
