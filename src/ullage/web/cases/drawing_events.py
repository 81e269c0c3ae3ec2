"""The numbered events of a chart, in lanes above its grid."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ullage.answers.record.charted import CaseChart, ChartEvent
from ullage.web.cases.glyphs import GLYPHS
from ullage.web.cases.marks import HEAD, LANE, LEFT, RIGHT, Grid, path, text

__all__ = ["Placed", "drawn_events", "event_lanes"]

_MOST_LANES = 3
_DISC = 9.0


@dataclass(slots=True)
class Placed:
    """Numbers that share one disc, because they would lie on each other."""

    lane: int
    middle: float
    events: list[ChartEvent]

    @property
    def words(self) -> str:
        """The number, or the first and the last."""
        first, last = self.events[0].number, self.events[-1].number
        return f"{first}" if first == last else f"{first}–{last}"

    @property
    def half_px(self) -> float:
        """Half the width of the disc."""
        return max(_DISC, len(self.words) * 3.6 + 4.0)


def event_lanes(chart: CaseChart) -> tuple[int, list[Placed]]:
    """Events in up to three lanes; one without room shares the disc before it in the last lane."""
    placed: list[Placed] = []
    last: dict[int, Placed] = {}
    for one in chart.events:
        x = LEFT + (RIGHT - LEFT) * ((one.at - chart.first) / (chart.last - chart.first))
        lane = next((number for number in range(_MOST_LANES) if _has_room(last, number, x)), None)
        if lane is None:
            last[_MOST_LANES - 1].events.append(one)
            continue
        last[lane] = Placed(lane, x, [one])
        placed.append(last[lane])
    return max((one.lane + 1 for one in placed), default=0), placed


def _has_room(last: dict[int, Placed], lane: int, x: float) -> bool:
    return lane not in last or x - last[lane].middle > last[lane].half_px + _DISC + 4.0


def drawn_events(grid: Grid, placed: Sequence[Placed]) -> Iterator[str]:
    """A stem to the grid at the real time of each event, and the discs with their numbers."""
    stems: list[str] = []
    discs: list[str] = []
    signs = {"late": "", "amended": ""}
    for one in placed:
        y = HEAD + LANE * one.lane + 4
        stems += [f"M{grid.x(event.at):.1f} {grid.top_px - 4:.1f}v8" for event in one.events]
        stems.append(f"M{one.middle:.1f} {y + _DISC:.1f}V{grid.top_px + 4:.1f}")
        discs.append(_disc(one, y))
        if any(event.standing.is_late for event in one.events):
            signs["late"] += _round(one, y)
        if any(event.standing.is_amended for event in one.events):
            signs["amended"] += GLYPHS["amended"].at(one.middle, y + 1.0)
    yield path("ev", "".join(stems))
    yield from discs
    for key, data in signs.items():
        yield path(GLYPHS[key].look, data)


def _disc(one: Placed, y: float) -> str:
    half = one.half_px
    return (
        f'<rect class="evf" x="{one.middle - half:.1f}" y="{y - _DISC:.1f}" '
        f'width="{2 * half:.1f}" height="{2 * _DISC:.0f}" rx="{_DISC:.0f}"/>'
        + text(one.middle, y + 4.3, one.words, "evt", "middle")
    )


def _round(one: Placed, y: float) -> str:
    """Two brackets round the disc of a late event."""
    left, right = one.middle - one.half_px + 1.0, one.middle + one.half_px - 1.0
    return f"M{left:.1f} {y - 10:.1f}h-4v20h4M{right:.1f} {y - 10:.1f}h4v20h-4"
