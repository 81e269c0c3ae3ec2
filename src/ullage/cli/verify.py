"""`ullage verify`: an exported record, or the register of a site, checked by itself."""

import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

from ullage.cli.text import caution_lines, file_bytes, file_text, wrapped

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ullage.answers import Answer

__all__ = ["verify"]

_PATH = click.Path(path_type=Path)


@click.command()
@click.argument("file", type=_PATH)
@click.option("--key", "keys", multiple=True, type=_PATH, help="Public key of the site, as PEM.")
@click.option(
    "--record", "records", multiple=True, type=_PATH, help="Each record, beside a register."
)
@click.option("--json", "as_json", is_flag=True, help="Print JSON, for other programs.")
@click.pass_context
def verify(
    ctx: click.Context,
    *,
    file: Path,
    keys: tuple[Path, ...],
    records: tuple[Path, ...],
    as_json: bool,
) -> None:
    """Check an exported record, or the register of a site.

    Finds a changed, missing, added or moved line. Exit status 0 when it
    holds, 1 when it does not, or when a key is named that did not sign it.

    \b
    Example: ullage verify examples/record.json
    Example: ullage verify examples/record.json --key examples/record_key.pem
    Example: ullage verify register.json --record a.json --record b.json
    """
    answer = _verified(file, keys, records)
    if as_json:
        click.echo(json.dumps(answer.as_dict(), ensure_ascii=False, indent=2))
    else:
        for line in (*_lines(answer), *caution_lines()):
            click.echo(line)
    if answer.verdict is not None and answer.verdict.value == "Stop":
        ctx.exit(1)


def _verified(file: Path, keys: tuple[Path, ...], records: tuple[Path, ...]) -> "Answer":
    from ullage.answers.record.verified import is_register, verify_record, verify_register

    data, known = file_bytes(file), [file_text(one) for one in keys]
    if records and not is_register(data):
        raise click.ClickException(
            f"{file} is no register: --record compares records with a register."
        )
    if is_register(data):
        beside = [file_bytes(one) for one in records] if records else None
        return verify_register(data, known, beside)
    return verify_record(data, known)


def _lines(answer: "Answer") -> "Iterator[str]":
    yield from wrapped(f"{answer.verdict}. {answer.sentence}")
    yield from wrapped(answer.todo)
    yield ""
    for step in answer.steps:
        yield from wrapped(f"{step.what}: {step.result}. {step.note}", "  ")
    for line in (*answer.reasons, *answer.cautions):
        yield from wrapped(line)
