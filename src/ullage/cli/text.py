"""Answers as lines of text: 80 columns, words before colour, the caution line last."""

from collections.abc import Iterable, Iterator
from pathlib import Path
from textwrap import wrap

import click

from ullage.answers import CAUTION_LINE, Answer, WhereFrom

__all__ = ["WIDTH", "answer_lines", "caution_lines", "file_bytes", "file_text", "pairs", "wrapped"]

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
        yield from wrapped(step.note, "    ")
    if answer.views:
        yield from ("", "Beside it")
        yield from pairs(
            (f"{one.label} ({_known(one.how_known)})", one.result) for one in answer.views
        )
    yield from ("", "Where from")
    for one in answer.where_from:
        yield from wrapped(f"{one.text} ({_said(one)}; {one.source})", "  ")
    yield from _list("Assumed", answer.assumptions)
    yield from _list("Take care", answer.cautions)


def _list(title: str, lines: Iterable[str]) -> Iterator[str]:
    for place, line in enumerate(lines):
        yield from ("", title) if place == 0 else ()
        yield from wrapped(line, "  ")


def _said(one: WhereFrom) -> str:
    instruments = {"reading": "read on an instrument", "entered": "entered"}
    return instruments.get(one.source) or _known(one.how_known)


def _known(how_known: str) -> str:
    from ullage.reference import HowKnown

    return HowKnown(how_known).words


def file_bytes(file: Path) -> bytes:
    """The bytes of a file; one that is not there is refused in one line."""
    try:
        return file.read_bytes()
    except OSError as error:
        said = (error.strerror or "cannot be read").lower()
        raise click.ClickException(f"{file}: {said}. Name a file that is there.") from None


def file_text(file: Path) -> str:
    """What a file holds; one that is not there or is no text is refused in one line."""
    try:
        return file_bytes(file).decode("utf-8").replace("\r\n", "\n")
    except UnicodeDecodeError:
        raise click.ClickException(f"{file}: not text in UTF-8. Save it as UTF-8.") from None


def caution_lines() -> list[str]:
    """The caution line, at the end of every report."""
    return ["", *wrapped(CAUTION_LINE)]
