"""`ullage chain`: a chain from source to flowmeter, part by part; and the pipeline's failure."""

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from ullage.cli.text import answer_lines, caution_lines, file_text, pairs, wrapped

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ullage.answers import Answer
    from ullage.answers.chain_things import Chain

__all__ = ["chain"]


@click.command()
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option("--part", metavar="NAME", help="One part in full, such as seal or regulator.")
@click.option("--pipeline-failed", is_flag=True, help="What to do when the pipeline fails.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON, for other programs.")
def chain(*, file: Path | None, part: str | None, pipeline_failed: bool, as_json: bool) -> None:
    """Judge the chain in FILE, part by part.

    From the source to the flowmeter: fine, look again or stop, and why.

    \b
    Example: ullage chain examples/chain.toml
    Example: ullage chain examples/chain.toml --part regulator
    Example: ullage chain --pipeline-failed
    """
    if pipeline_failed:
        from ullage.answers.pipeline_failed import pipeline_failed_steps

        _print(_step_lines(pipeline_failed_steps()), pipeline_failed_steps().as_dict(), as_json)
        return
    if file is None:
        raise click.ClickException("Say which file holds the chain, such as examples/chain.toml.")
    from ullage.answers.chain import chain_by_part, chain_verdict
    from ullage.answers.chain_file import chain_from_toml

    found = chain_from_toml(file_text(file))
    parts = chain_by_part(found)
    if part is not None:
        answer = _one(parts, part)
        _print(answer_lines(answer), answer.as_dict(), as_json)
        return
    whole = chain_verdict(found)
    kept = {"chain": whole.as_dict(), "parts": {name: one.as_dict() for name, one in parts.items()}}
    _print(_chain_lines(found, whole, parts), kept, as_json)


def _print(lines: "Iterator[str]", kept: dict[str, Any], as_json: bool) -> None:
    if as_json:
        click.echo(json.dumps(kept, ensure_ascii=False, indent=2))
        return
    for line in (*lines, *caution_lines()):
        click.echo(line)


def _one(parts: "dict[str, Answer]", name: str) -> "Answer":
    if name not in parts:
        raise click.ClickException(f"No part {name!r}; this chain has {', '.join(parts)}.")
    return parts[name]


def _chain_lines(found: "Chain", whole: "Answer", parts: "dict[str, Answer]") -> "Iterator[str]":
    name = f"{found.name}: " if found.name else ""
    yield from wrapped(f"{name}{found.gas} from a {found.source}")
    yield from wrapped(f"{whole.verdict}. {whole.sentence}")
    yield ""
    for (part, one), step in zip(parts.items(), whole.steps, strict=True):
        yield from pairs([(f"{step.what} ({part})", str(one.verdict))])
        yield from wrapped(one.sentence, "    ")
        if one.settles:
            yield from wrapped(one.settles, "    ")
        if one.todo:
            yield from wrapped(f"Do: {one.todo}", "    ")
    yield ""
    yield from wrapped("Why, and where it is from: --part NAME.")


def _step_lines(answer: "Answer") -> "Iterator[str]":
    yield from wrapped(answer.question)
    yield ""
    for number, step in enumerate(answer.steps, start=1):
        yield from wrapped(f"{number}. {step.what}.", "  ")
        if step.note:
            yield from wrapped(f"({step.note})", "     ")
    yield ""
    for line in (*answer.reasons, *(one.text for one in answer.where_from), *answer.cautions):
        yield from wrapped(line)
