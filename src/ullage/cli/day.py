"""`ullage day`: all of one day from a TOML file, as a table, as JSON or as a PDF."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from ullage.cli.text import WIDTH, caution_lines, file_text, wrapped

if TYPE_CHECKING:
    from ullage.answers import Answer, DaySupply, SourceOutlook
    from ullage.answers.plan import Case, DayPlan, Phase

__all__ = ["day"]

#: Column widths of the table; the last one takes what is left.
_COLUMNS = (20, 15, 11, 34)


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print JSON, for other programs.")
@click.option("--pdf", type=click.Path(path_type=Path), metavar="OUT", help="Write a PDF too.")
@click.option("--draws", default=4096, show_default=True, help="Days to draw.")
@click.option("--seed", type=int, help="The same seed gives the same answer.")
def day(*, file: Path, as_json: bool, pdf: Path | None, draws: int, seed: int | None) -> None:
    """Work out a day plan: for each source until when it lasts and what to do.

    \b
    Example: ullage day examples/day.toml
    Example: ullage day examples/day.toml --pdf day.pdf
    """
    from ullage.answers import day_supply
    from ullage.answers.dayfile import day_from_toml

    plan = day_from_toml(file_text(file))
    chosen = {} if seed is None else {"seed": seed}
    found = day_supply(plan, draws, **chosen)
    if pdf is not None:
        _write_pdf(pdf, plan, found)
    if as_json:
        told = {"name": plan.name, **found.as_dict()}
        click.echo(json.dumps(told, ensure_ascii=False, indent=2))
        return
    for line in (*_lines(plan, found), *caution_lines()):
        click.echo(line)
    if pdf is not None:
        click.echo(f"Written: {pdf}", err=True)


def _lines(plan: "DayPlan", found: "DaySupply") -> Iterator[str]:
    yield from wrapped(f"{plan.name or 'The day'}: {found.verdict.value}")
    yield ""
    yield _row("Source", "May it begin?", "Left", "Until, by today's plan")
    yield "-" * WIDTH
    for outlook in found.sources:
        yield _row(
            outlook.name,
            outlook.verdict.value,
            outlook.left.number_text if outlook.left else "",
            _until(outlook),
        )
    for answer in found.unfed:
        yield _row("no source", answer.verdict.value if answer.verdict else "", "", "")
    for outlook in found.sources:
        yield from ("", *_told(outlook))
    for answer in found.unfed:
        yield from ("", *wrapped(f"{_verdict(answer)}{answer.sentence} {answer.todo}"))
    yield ""
    shown = plan.place.condition.name
    yield from wrapped(
        f"Litres are free gas at {shown}. {found.draws} days drawn, seed {found.seed}."
        " A range holds 9 of 10 of them."
    )


def _row(*words: str) -> str:
    cells = []
    for width, text in zip(_COLUMNS, words, strict=True):
        shown = text if len(text) < width else f"{text[: width - 2]}…"
        cells.append(f"{shown:<{width}}")
    return "".join(cells).rstrip()


def _until(outlook: "SourceOutlook") -> str:
    answer = outlook.lasts_until
    if answer.value is not None:
        return answer.text
    if answer.low is not None:
        return f"perhaps {answer.range_text.partition(' to ')[0]}"
    if outlook.reserve_of:
        return f"behind {outlook.reserve_of}"
    if not outlook.kind.has_cylinders and outlook.kind.value != "liquid":
        return f"a {outlook.kind}"
    return "weigh it" if outlook.left is None else "lasts today"


def _told(outlook: "SourceOutlook") -> Iterator[str]:
    feeds = f", feeds {', '.join(outlook.feeds)}" if outlook.feeds else ""
    yield from wrapped(f"{outlook.name} ({outlook.gas}{feeds})")
    main = outlook.lasts_until
    yield from wrapped(f"{_verdict(main)}{main.sentence}", "  ")
    if main.todo:
        yield from wrapped(main.todo, "  ")
    yield from _beside(outlook, main)
    if times := _reading_times(outlook):
        yield from wrapped(times, "  ")
    if outlook.chances:
        yield from wrapped(_chances(outlook), "  ")


def _beside(outlook: "SourceOutlook", main: "Answer") -> Iterator[str]:
    """The answers beside the main one; what was said already is not said again."""
    several = (
        *outlook.change_overs,
        outlook.may_begin,
        outlook.needed,
        outlook.next_reading,
        None if outlook.reserve_of else outlook.if_it_fails,
        outlook.by_linear_rule,
    )
    said = {main.todo}
    for answer in several:
        if answer is None or answer.sentence in main.sentence:
            continue
        todo = "" if answer.todo in said else f" {answer.todo}"
        said.add(answer.todo)
        verdict = "" if answer.verdict is main.verdict else _verdict(answer)
        yield from wrapped(f"{verdict}{answer.sentence}{todo}", "  ")


def _chances(outlook: "SourceOutlook") -> str:
    each = ", ".join(f"{one.case} {one.answer.value or 0.0:.0f} %" for one in outlook.chances)
    return f"Chance of reaching what is kept back before the end of: {each}."


def _verdict(answer: "Answer") -> str:
    return f"{answer.verdict.value}. " if answer.verdict else ""


def _reading_times(outlook: "SourceOutlook") -> str:
    from ullage.answers.words import clock_text

    times = ", ".join(clock_text(at) for at in outlook.reading_times_min)
    return f"Read the gauge at {times}." if times else ""


def _printed(outlook: "SourceOutlook") -> list["Answer"]:
    """What a person needs on paper: the rest stays on screen and in JSON."""
    asked = [one.answer for one in outlook.chances if one.answer.todo]
    begin = outlook.may_begin if outlook.may_begin and outlook.may_begin.todo else None
    fails = None if outlook.reserve_of else outlook.if_it_fails
    several = (
        outlook.lasts_until,
        *outlook.change_overs,
        begin,
        outlook.needed,
        outlook.next_reading,
        fails,
        *asked,
    )
    return [one for one in several if one is not None]


def _case_words(case: "Case") -> str:
    weight = case.weight_kg
    shown = "" if not weight else f"{weight:g} kg" if weight >= 1 else f"{1000 * weight:g} g"
    phases = "; ".join(
        f"{phase.name} {phase.minutes:g} min, {_flows(phase)}" for phase in case.phases
    )
    return ", ".join(one for one in (case.species, shown, case.system, phases) if one)


def _flows(phase: "Phase") -> str:
    flows = {
        "oxygen": phase.oxygen_l_min,
        "air": phase.air_l_min,
        "nitrous oxide": phase.nitrous_oxide_l_min,
    }
    return ", ".join(f"{gas} {flow:g} L/min" for gas, flow in flows.items() if flow) or "no flow"


def _write_pdf(out: Path, plan: "DayPlan", found: "DaySupply") -> None:
    from ullage.answers.words import clock_span, clock_text
    from ullage.web.shared.print import render_pdf

    cases = sorted(plan.cases, key=lambda one: one.start_min)
    data = {
        "title": plan.name or "Day plan",
        "site": plan.name,
        "cases": [
            {
                "time": clock_span(clock_text(one.start_min), clock_text(one.end_min)),
                "name": one.name,
                "machine": one.machine,
                "words": _case_words(one),
            }
            for one in cases
        ],
        "sources": [
            {
                "name": one.name,
                "words": f"{one.gas}, feeds {', '.join(one.feeds) or 'nothing'}."
                f" {_reading_times(one)}".strip(),
                "answers": _printed(one),
            }
            for one in found.sources
        ],
        "day": list(found.unfed),
    }
    try:
        out.write_bytes(render_pdf("day", data))
    except OSError as error:
        said = (error.strerror or "cannot be written").lower()
        raise click.ClickException(f"{out}: {said}. Name another file.") from None
