"""Level bars as SVG text, quick enough for fifty of them on one page."""

from collections.abc import Iterator

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from ullage.web.shared.bars import Level

__all__ = ["level_svg"]


def level_svg(bar: Level) -> SafeString:
    """The bar with kept back, surely there, perhaps there, best value and need."""
    size, hatched = bar.shape, " lvl--est" if bar.is_estimate else ""
    parts = (
        (
            f'<svg class="lvl lvl--{bar.size}{hatched}" height="{size.whole}" role="img"'
            f' aria-label="{escape(bar.label)}">'
        ),
        _rect("back", bar, 'width="100%" rx="3"'),
        *_amounts(bar),
        _rect("frame", bar, 'width="100%" rx="3"'),
        _best(bar),
        _need(bar),
        "</svg>",
        _axis(bar),
    )
    # Words went through escape; all else is numbers and our own marks.
    return mark_safe("".join(parts))  # noqa: S308  # escaped above


def _rect(name: str, bar: Level, more: str) -> str:
    return f'<rect class="lvl__{name}" y="{bar.shape.top}" height="{bar.shape.thick}" {more}/>'


def _amounts(bar: Level) -> Iterator[str]:
    size = bar.shape
    ink = ' fill="url(#hatch-ink)"' if bar.is_estimate else ""
    if bar.sure:
        yield _rect("sure", bar, f'width="{bar.sure}%"{ink}')
    if bar.kept_share:
        yield _rect("kept", bar, f'width="{bar.kept_share}%"{ink}')
        yield (
            f'<svg x="{bar.kept_share}%" overflow="visible">'
            f'<path class="lvl__cut" d="M0 {size.top}v{size.thick}"/></svg>'
        )
    if bar.perhaps:
        fill = ink or ' fill="url(#hatch)"'
        yield _rect("maybe", bar, f'x="{bar.sure}%" width="{bar.perhaps}%"{fill}')


def _best(bar: Level) -> str:
    if bar.at is None:
        return ""
    size = bar.shape
    return (
        f'<svg x="{bar.at}%" overflow="visible"><rect class="lvl__at" x="-1.500"'
        f' y="{size.tick_top}" width="3" height="{size.tick}"/></svg>'
    )


def _need(bar: Level) -> str:
    if bar.flag is None:
        return ""
    size, words = bar.shape, ""
    if bar.need_text:
        words = (
            f'<text class="lvl__cap" x="{bar.flag}%" y="{size.words}"'
            f' text-anchor="{bar.anchor}">{escape(bar.need_text)}</text>'
        )
    return (
        f'<svg x="{bar.flag}%" y="{size.flag}" overflow="visible">'
        f'<path class="lvl__line" d="M0 6v{size.tick}"/>'
        f'<path class="lvl__need" d="M-6.500 0h13L0 8z"/></svg>{words}'
    )


def _axis(bar: Level) -> str:
    if not bar.axis:
        return ""
    spans = "".join(f"<span>{escape(one)}</span>" for one in bar.axis)
    return f'<div class="lvl__axis" aria-hidden="true">{spans}</div>'
