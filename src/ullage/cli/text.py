"""Answers as lines of text: 80 columns, words before colour, the caution line last."""

from collections.abc import Iterable, Iterator
from textwrap import wrap

from ullage.answers import CAUTION_LINE, Answer

__all__ = ["WIDTH", "answer_lines", "caution_lines", "pairs", "wrapped"]

WIDTH = 80


def wrapped(text: str, indent: str = "") -> list[str]:
    """Lines of text no wider than the screen; later lines stand under the first."""
    return wrap(
        text,
        WIDTH,
        initial_indent=indent,
        subsequent_indent=indent,
        break_on_hyphens=False,
    )


def pairs(rows: Iterable[tuple[str, str]], indent: str = "  ") -> Iterator[str]:
    """Words on the left, what came out on the right; long words run over several lines."""
    for left, right in rows:
        room = WIDTH - len(indent) - len(right) - 2
        lines = wrap(left, max(room, 30), break_on_hyphens=False) or [""]
        yield f"{indent}{lines[0]:<{room}}  {right}".rstrip()
        for line in lines[1:]:
            yield f"{indent}{line}"


def answer_lines(answer: Answer) -> Iterator[str]:
    """One answer in full: verdict, number, range, then why."""
    verdict = f"{answer.verdict.value}. " if answer.verdict else ""
    yield from wrapped(f"{verdict}{answer.sentence}")
    if answer.todo:
        yield from wrapped(answer.todo)
    yield ""
    yield from _number(answer)
    yield from _why(answer)


def _number(answer: Answer) -> Iterator[str]:
    if answer.value is not None:
        plain = f"{answer.value:.0f} min, about " if answer.unit == "min" else ""
        yield f"  {plain}{answer.number_text}"
    if answer.low is not None and answer.high is not None:
        plain = f"{answer.low:.0f} to {answer.high:.0f} min, " if answer.unit == "min" else ""
        yield f"  likely {plain}{answer.range_text}"
        yield from wrapped(f"({answer.covers})", "  ")
    if answer.settles:
        yield from wrapped(answer.settles, "  ")


def _why(answer: Answer) -> Iterator[str]:
    if answer.steps:
        yield from ("", "Why")
        for step in answer.steps:
            yield from pairs([(step.what, step.result)])
            if step.note:
                yield from wrapped(step.note, "    ")
    if answer.views:
        yield from ("", "Beside it")
        yield from pairs(
            (f"{view.label} ({_known(view.how_known)})", view.result) for view in answer.views
        )
    yield ""
    yield "Where from"
    for one in answer.where_from:
        said = "read on an instrument" if one.source == "reading" else _known(one.how_known)
        said = "entered" if one.source == "entered" else said
        yield from wrapped(f"{one.text} ({said}; {one.source})", "  ")
    for title, lines in (("Assumed", answer.assumptions), ("Take care", answer.cautions)):
        if lines:
            yield from ("", title)
            for line in lines:
                yield from wrapped(line, "  ")


def _known(how_known: str) -> str:
    from ullage.reference import HowKnown

    return HowKnown(how_known).words


def caution_lines() -> list[str]:
    """The caution line, at the end of every report."""
    return ["", *wrapped(CAUTION_LINE)]
