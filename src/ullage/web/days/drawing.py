"""Lanes and hours as SVG text: numbers in attributes, since style attributes are blocked.

Written as text and not as a template: a board has fifty lanes of some twenty marks each.
"""

from collections.abc import Iterator

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from ullage.web.days.lanes import Band, Block, Clock, Lane

__all__ = ["hours_svg", "lane_svg"]


def lane_svg(lane: Lane) -> SafeString:
    """The day of one machine."""
    parts = (
        f'<svg class="dayl" role="img" aria-label="{escape(lane.words)}">',
        '<rect class="dayl__back" width="100%" height="100%" rx="4"/>',
        *(_line("dayl__h", x) for x in lane.clock.lines),
        *(_block(one) for one in lane.blocks),
        _free() if lane.is_free else "",
        *(_band(lane.band) if lane.band else ()),
        "" if lane.clock.now_x is None else _line("dayl__now", lane.clock.now_x),
        _note(lane) if lane.note else "",
        "</svg>",
    )
    # Every word from people went through escape; the rest is numbers and our own marks.
    return mark_safe("".join(parts))  # noqa: S308  # escaped above


def _line(name: str, x: float, y: tuple[str, str] = ("0", "100%")) -> str:
    return f'<line class="{name}" x1="{x}%" x2="{x}%" y1="{y[0]}" y2="{y[1]}"/>'


def _free() -> str:
    where = 'x="50%" y="50%" text-anchor="middle" dominant-baseline="middle"'
    return f'<text class="dayl__free" {where}>Free today</text>'


def _words(block: Block) -> str:
    name, small = escape(block.name), escape(block.small)
    return f'<text x="7" y="16">{name}</text><text class="blk__s" x="7" y="31">{small}</text>'


def _block(block: Block) -> str:
    """A case; what has run is filled, its words drawn again in the other colour."""
    words = _words(block)
    ran = ""
    if block.look == "run" and block.done_percent:
        ran = (
            f'<svg class="blk__on" width="{block.done_percent}%" height="38">'
            f'<rect class="blk__d" width="100%" height="100%"/>{words}</svg>'
        )
    return (
        f'<svg class="blk blk--{block.look}" x="{block.x}%" y="5" width="{block.width}%"'
        f' height="38"><rect class="blk__b" width="100%" height="100%" rx="4"/>{words}{ran}</svg>'
    )


def _band(band: Band) -> Iterator[str]:
    yield f'<rect class="dayl__chg" x="{band.x}%" y="48" width="{band.width}%" height="26"/>'
    yield _line("dayl__ce", band.x, ("48", "74"))
    yield _line("dayl__ce", band.end, ("48", "74"))
    yield _line("dayl__ca", band.at, ("42", "74"))


def _note(lane: Lane) -> str:
    shift, anchor = ("-6", "end") if lane.note_ends else ("6", "start")
    return (
        f'<text class="dayl__t" x="{lane.note_x}%" dx="{shift}" y="66" text-anchor="{anchor}">'
        f"{escape(lane.note)}</text>"
    )


def hours_svg(clock: Clock) -> SafeString:
    """The hours above the lanes, and now."""
    parts = ['<svg class="hrs" aria-hidden="true">']
    for hour in clock.hours:
        anchor = "start" if hour.x == 0 else "middle"
        odd = ' class="odd"' if hour.is_odd else ""
        parts.append(f'<text x="{hour.x}%" y="14" text-anchor="{anchor}"{odd}>{hour.words}</text>')
    if clock.now_x is not None:
        parts.append(_now(clock.now_x, f"now {clock.now_words}", 72, "hrs__long"))
        parts.append(_now(clock.now_x, clock.now_words, 44, "hrs__short"))
    return mark_safe("".join([*parts, "</svg>"]))  # noqa: S308  # numbers and our own marks


def _now(x: float, words: str, width: int, name: str) -> str:
    return (
        f'<svg x="{x}%" overflow="visible" class="{name}">'
        f'<rect x="{-width // 2}" width="{width}" height="19" rx="3"/>'
        f'<text class="hrs__now" y="14" text-anchor="middle">{words}</text></svg>'
    )
