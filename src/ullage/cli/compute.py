"""`ullage compute`: list the formulas, show one, run one."""

import json
from collections.abc import Iterable, Iterator
from itertools import groupby
from typing import Any

import click

from ullage.answers import Answer, View
from ullage.answers.formulas import Formula, FormulaParameter, formula, formula_result, formulas
from ullage.cli.text import caution_lines, wrapped
from ullage.reference import HowKnown

__all__ = ["compute"]


@click.command()
@click.argument("name", required=False)
@click.argument("given", nargs=-1, metavar="[PARAMETER=VALUE]...")
@click.option("--json", "as_json", is_flag=True, help="Print JSON, for other programs.")
def compute(*, name: str | None, given: tuple[str, ...], as_json: bool) -> None:
    """List the formulas, show one, or run it.

    A value is written with its unit; a bare number is in the unit of its name.

    \b
    Example: ullage compute
    Example: ullage compute kelvin
    Example: ullage compute kelvin celsius_degrees="70 °F"
    """
    if name is None:
        offered = formulas()
        _print([_as_dict(one) for one in offered] if as_json else _listed(offered), as_json)
        return
    asked = formula(name)
    if given or not asked.parameters:
        answer = formula_result(name, dict(_pair(one) for one in given))
        _print(answer.as_dict() if as_json else _worked_out(answer), as_json)
        return
    _print(_as_dict(asked) if as_json else _shown(asked), as_json)


def _print(what: Any, as_json: bool) -> None:
    if as_json:
        click.echo(json.dumps(what, ensure_ascii=False, indent=2))
        return
    for line in (*what, *caution_lines()):
        click.echo(line)


def _pair(text: str) -> tuple[str, str]:
    name, equals, value = text.partition("=")
    if not equals:
        raise click.ClickException(f'{text!r} is no parameter; write name=value, or name="2 psi".')
    return name.strip(), value


def _as_dict(one: Formula) -> dict[str, Any]:
    return {
        "name": one.name,
        "group": one.group,
        "summary": one.summary,
        "unit": one.unit,
        "returns": one.returns,
        "parameters": [
            {"name": p.name, "unit": p.unit, "meaning": p.meaning}
            | ({"words": list(p.words)} if p.words else {})
            | ({"default": p.default} if p.default else {})
            for p in one.parameters
        ],
        "sources": [{"source": line.key, "what": line.what} for line in one.sources],
        "example": one.example,
    }


def _listed(offered: Iterable[Formula]) -> Iterator[str]:
    for group, members in groupby(offered, key=lambda one: one.group):
        yield group
        for one in members:
            yield f"  {one.name} [{one.unit}]"
            yield from wrapped(one.summary, "      ")
            if one.sources:
                yield from wrapped("from " + ", ".join(line.key for line in one.sources), "      ")
        yield ""
    yield "Show one:  ullage compute NAME"
    yield 'Run one:   ullage compute NAME parameter=value other="2 psi"'


def _shown(one: Formula) -> Iterator[str]:
    yield f"{one.name} [{one.unit}]"
    yield from wrapped(one.summary, "  ")
    if one.returns:
        yield from wrapped(f"Result: {one.returns}", "  ")
    yield ""
    yield "Takes"
    for parameter in one.parameters:
        yield from _taken(parameter)
    yield ""
    yield "Where from"
    for line in one.sources:
        yield from wrapped(f"{line.key}: {line.what}", "  ")
    if not one.sources:
        said = (
            "The answer names its own." if one.answers else "A definition; it rests on no source."
        )
        yield f"  {said}"
    if one.example:
        yield ""
        yield from wrapped(f"Example: {one.example}")


def _taken(one: FormulaParameter) -> Iterator[str]:
    unit = f" [{one.unit}]" if one.unit else ""
    default = f", {one.default} when left out" if one.default else ""
    yield f"  {one.name}{unit}{default}"
    if one.meaning:
        yield from wrapped(one.meaning, "      ")
    if one.words:
        yield from wrapped("One of: " + ", ".join(one.words), "      ")


def _worked_out(answer: Answer) -> Iterator[str]:
    verdict = f"{answer.verdict.value}: " if answer.verdict else ""
    yield from wrapped(f"{verdict}{answer.sentence}")
    yield ""
    if answer.value is not None:
        yield f"  {answer.value:.10g} {answer.unit.removeprefix('1')}".rstrip()
    if answer.low is not None and answer.high is not None:
        yield f"  {answer.low:.10g} to {answer.high:.10g} {answer.unit.removeprefix('1')}".rstrip()
    yield ""
    for step in answer.steps:
        yield from wrapped(f"{step.what} = {step.result}", "  ")
    yield from _lines("Do", [answer.todo] if answer.todo else [])
    yield from _lines("What would settle it", [answer.settles] if answer.settles else [])
    yield from _lines("Side by side", map(_side, answer.views))
    yield from _lines("Assumed", answer.assumptions)
    told = (f"{one.text} ({HowKnown(one.how_known).words})" for one in answer.where_from)
    yield from _lines("Where from", told)
    yield from _lines("Take care", answer.cautions)


def _side(one: View) -> str:
    chosen = ", used here" if one.chosen else ""
    return f"{one.label}: {one.result} ({HowKnown(one.how_known).words}{chosen})"


def _lines(heading: str, lines: Iterable[str]) -> Iterator[str]:
    kept = list(lines)
    if kept:
        yield ""
        yield heading
        for line in kept:
            yield from wrapped(line, "  ")
