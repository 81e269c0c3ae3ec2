"""`ullage record`: an exported record handed out as a table, a bundle, a section or a drug log."""

import json
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from ullage.cli.text import caution_lines, file_bytes, file_text, pairs, wrapped

if TYPE_CHECKING:
    from datetime import tzinfo

    from ullage.answers.record.exported import ChainFile
    from ullage.answers.record.things import AnyLine

__all__ = ["record"]

_PATH = click.Path(path_type=Path)


#: Form -> what its option says.
_FORMS = {
    "csv": "Every entry as a row of a tidy table.",
    "parquet": "The same table as Parquet.",
    "fhir": "One record as a FHIR R5 bundle.",
    "methods": "A methods section and its table.",
    "animals": "A row for each animal of a study.",
    "drugs": "Uses of drugs, for the site's own log.",
}


def _form_options(command: Callable[..., None]) -> Callable[..., None]:
    """An option for each form; all are kept, so that two at once can be refused."""
    for form, says in reversed(_FORMS.items()):
        option = click.option(f"--{form}", "ways", flag_value=form, multiple=True, help=says)
        command = option(command)
    return command


@click.command()
@click.argument("files", metavar="FILE...", nargs=-1, required=True, type=_PATH)
@_form_options
@click.option("--out", type=_PATH, help="File to write; never one that is there already.")
@click.option("--key", "keys", multiple=True, type=_PATH, help="Public key of the site, as PEM.")
@click.option("--zone", default="UTC", show_default=True, help="Time zone of --drugs, --methods.")
@click.option(
    "--drug", "drugs", multiple=True, metavar="NAME", help="Only this drug; again for more."
)
@click.pass_context
def record(
    ctx: click.Context, /, *, files: tuple[Path, ...], ways: tuple[str, ...], **more: Any
) -> None:
    """Hand out exported records in another form.

    The chain is verified first. When it does not hold, that is said on
    standard error, what can be read is handed out, and the exit status is 1.

    \b
    Example: ullage record examples/record.json --methods
    Example: ullage record examples/record.json --drugs --zone Europe/Paris
    Example: ullage record a.json b.json --csv --out study.csv
    """
    if len(ways) != 1:
        raise click.ClickException(
            f"Say in which one form: {', '.join(f'--{form}' for form in _FORMS)}."
        )
    (way,) = ways
    if more["drugs"] and way != "drugs":
        raise click.ClickException("--drug chooses lines of --drugs; leave it out, or add --drugs.")
    held = [_held(one, more["keys"]) for one in files]
    files_held = [file if holds else None for file, _, holds in held]
    _WAYS[way]([lines for _, lines, _ in held], files_held, more)
    if not all(holds for _, _, holds in held):
        ctx.exit(1)


def _held(path: Path, keys: Sequence[Path]) -> "tuple[ChainFile, tuple[AnyLine, ...], bool]":
    """A file, its lines, and whether its chain holds; what does not is told on standard error."""
    from ullage.answers.record.exported import read_export
    from ullage.answers.record.verified import verify_record
    from ullage.answers.record.written import line_of_text
    from ullage.core.errors import PlanUnreadable

    data = file_bytes(path)
    try:
        file = read_export(data)
    except PlanUnreadable as why:
        raise click.ClickException(f"{path}: {why} It is no exported record.") from None
    if file.kind != "record":
        raise click.ClickException(
            f"{path} holds a register; name the exported records. See: ullage verify --help"
        )
    answer = verify_record(data, [file_text(one) for one in keys])
    holds = str(answer.verdict) != "Stop"
    if not holds:
        _warn(f"{path}: {answer.sentence} {answer.todo}")
        _warn("What follows is what the file says now, not what was written.")
    try:
        return file, tuple(line_of_text(text) for text in file.texts), holds
    except PlanUnreadable as why:
        raise click.ClickException(f"{path}: a line of it cannot be read. {why}") from None


def _warn(text: str) -> None:
    for line in wrapped(text):
        click.echo(line, err=True)


# --- where it goes ---------------------------------------------------------------------------


def _give(text: str, out: Path | None) -> None:
    """Text into a file, its line ends as they are, or onto the screen."""
    if out is None:
        click.echo(text, nl=not text.endswith("\n"))
    else:
        _keep(text.encode("utf-8"), out)


def _keep(data: bytes, out: Path) -> None:
    try:
        with out.open("xb") as file:
            file.write(data)
    except FileExistsError:
        raise click.ClickException(f"{out} is there already. Name a new file.") from None
    except OSError as error:
        said = (error.strerror or "cannot be written").lower()
        raise click.ClickException(f"{out}: {said}. Name a place that can be written.") from None
    click.echo(f"Wrote {out}.", err=True)


def _described(records: Any, out: Path) -> None:
    """What the columns mean, in a file beside the table."""
    from ullage.answers.record.tidy import tidy_description

    text = json.dumps(tidy_description(records), ensure_ascii=False, indent=2)
    _keep(f"{text}\n".encode(), out.with_name(f"{out.name}.columns.json"))


# --- in which form ---------------------------------------------------------------------------


def _csv(records: Any, files: Any, more: dict[str, Any]) -> None:
    from ullage.answers.record.tidy import tidy_csv

    _give(tidy_csv(records), more["out"])
    if more["out"] is not None:
        _described(records, more["out"])


def _parquet(records: Any, files: Any, more: dict[str, Any]) -> None:
    from ullage.answers.record.parquet import tidy_parquet

    if more["out"] is None:
        raise click.ClickException("Parquet is no text: say where to write it, --out FILE.")
    _keep(tidy_parquet(records), more["out"])


def _fhir(records: Any, files: Any, more: dict[str, Any]) -> None:
    from ullage.answers.record.fhir.bundle import fhir_bundle, fhir_text
    from ullage.answers.record.fhir.checks import fhir_faults
    from ullage.answers.record.fhir.parts import ExportFacts

    if len(records) != 1:
        raise click.ClickException("A bundle is of one record: name one file with --fhir.")
    (file,) = files
    facts = ExportFacts()
    if file is not None:
        facts = ExportFacts(head=file.stated, head_signatures=file.signatures)
    bundle = fhir_bundle(records[0], facts)
    for fault in fhir_faults(bundle):
        _warn(f"Look again: {fault}")
    _give(f"{fhir_text(bundle)}\n", more["out"])


def _methods(records: Any, files: Any, more: dict[str, Any]) -> None:
    from ullage.answers.record.animal_table import cases_of
    from ullage.answers.record.methods import methods_text

    zone = _zone(more["zone"])
    found = methods_text([case for lines in records for case in cases_of(lines, zone)])
    lines = [*wrapped(found.paragraph), "", "By item of ARRIVE 2.0"]
    for row in found.rows:
        lines += _row(f"{row.item:<4} {row.what}", row.says)
    lines += ["", *(line for one in found.notes for line in wrapped(one)), "", "Where from"]
    lines += [line for one in found.where_from for line in wrapped(one.text, "  ")]
    _give("\n".join([*lines, *caution_lines(), ""]), more["out"])


def _row(left: str, right: str) -> Iterator[str]:
    """Two cells on one line where they fit, else the second one below."""
    if len(left) + len(right) < _ROOM:
        yield from pairs([(left, right)])
    else:
        yield f"  {left}"
        yield from wrapped(right, "       ")


#: Left and right together, for both to stand on one line.
_ROOM = 74


def _animals(records: Any, files: Any, more: dict[str, Any]) -> None:
    from ullage.answers.record.animal_table import animals_csv

    _give(animals_csv(records), more["out"])


def _drugs(records: Any, files: Any, more: dict[str, Any]) -> None:
    from ullage.answers.record.drug_lines import drug_lines_csv

    zone, out = _zone(more["zone"]), more["out"]
    if out is not None and out.suffix.lower() == ".csv":
        _give(drug_lines_csv(records, zone=zone, drugs=more["drugs"]), out)
        return
    _give("\n".join([*_drug_text(records, zone, more["drugs"]), *caution_lines(), ""]), out)


def _zone(name: str) -> "tzinfo":
    from zoneinfo import ZoneInfo

    try:
        return ZoneInfo(name)
    except (OSError, ValueError, KeyError):
        said = f"{name!r} is no time zone; write it like Europe/Paris."
    raise click.ClickException(said)


def _drug_text(records: Any, zone: "tzinfo", drugs: Sequence[str]) -> Iterator[str]:
    from ullage.answers.record.drug_lines import DRUG_LOG_CAUTIONS, drug_lines

    yield "Uses of drugs, for the site's own log"
    for line in (one for lines in records for one in drug_lines(lines, zone=zone, drugs=drugs)):
        yield from ("", f"{line.at}  {line.drug}")
        for name, title in _SHOWN.items():
            yield from _row(title, getattr(line, name))
        yield from wrapped(line.remarks, "  ")
        for step in line.given.steps:
            yield from wrapped(f"{step.what}: {step.result}. {step.note}", "    ")
    yield ""
    for caution in DRUG_LOG_CAUTIONS:
        yield from wrapped(caution)


#: Part of a line -> its title on paper.
_SHOWN = {
    "amount": "Amount given",
    "volume": "Volume given",
    "dose": "Dose",
    "wasted": "Wasted",
    "concentration": "Concentration",
    "bottle": "Bottle",
    "lot": "Lot",
    "expiry": "Expiry",
    "route": "Route",
    "species": "Species",
    "animals": "Number of animals",
    "animal": "Animal",
    "protocol": "Protocol",
    "name": "Name",
    "initials": "Initials",
    "record": "Record",
}

_WAYS: dict[str, Callable[[Any, Any, dict[str, Any]], None]] = {
    "csv": _csv,
    "parquet": _parquet,
    "fhir": _fhir,
    "methods": _methods,
    "animals": _animals,
    "drugs": _drugs,
}
