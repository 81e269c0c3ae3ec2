"""`ullage case`: one planned case from a TOML file, as text or as JSON."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from ullage.cli.text import WIDTH, caution_lines, pairs, wrapped

if TYPE_CHECKING:
    from ullage.answers import Answer, CasePlan

__all__ = ["case"]

#: Answers that are told as a sentence each, in the order of the work.
_TOLD = (
    "system",
    "mac",
    "dial",
    "reach",
    "lose",
    "regain",
    "inspired_oxygen",
    "nitrous_level",
    "second_gas",
    "diffusion",
    "bag",
    "dead_space",
    "ventilator",
    "follows",
    "chamber",
    "chamber_holds",
    "carbon_dioxide",
)

#: Answers whose ends are two limits, said in their sentence, and no range of a forecast.
_LIMITS = frozenset({"bag", "dead_space", "system"})
_USED = ("oxygen", "nitrous_oxide", "agent", "absorbent", "absorbent_lasts")
_NAMES = {
    "oxygen": "Oxygen",
    "nitrous_oxide": "Nitrous oxide",
    "agent": "Liquid agent",
    "absorbent": "Absorbent used up",
    "absorbent_lasts": "Absorbent lasts",
}


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print JSON, for other programs.")
@click.option("--draws", default=200, show_default=True, help="Animals to draw.")
@click.option("--seed", type=int, help="The same seed gives the same answer.")
def case(*, file: Path, as_json: bool, draws: int, seed: int | None) -> None:
    """Plan one case: system, flow, dial, levels, waking, and what is unsafe.

    \b
    Example: ullage case examples/case_cat.toml
    Example: ullage case examples/case_pig.toml --json
    """
    from ullage.answers import case_plan
    from ullage.answers.casefile import case_from_toml

    given = case_from_toml(_text(file))
    chosen = {} if seed is None else {"seed": seed}
    plan = case_plan(given, draws, **chosen)
    if as_json:
        click.echo(json.dumps(plan.as_dict(), ensure_ascii=False, indent=2))
        return
    for line in (*_lines(plan), *caution_lines()):
        click.echo(line)


def _text(file: Path) -> str:
    try:
        return file.read_text(encoding="utf-8")
    except OSError as error:
        said = (error.strerror or "cannot be read").lower()
        raise click.ClickException(f"{file}: {said}. Name a file that is there.") from None
    except UnicodeDecodeError:
        raise click.ClickException(f"{file}: not text in UTF-8. Save it as UTF-8.") from None


def _lines(plan: "CasePlan") -> Iterator[str]:
    from ullage.answers.weights import weight_text

    one = plan.case
    weight = weight_text(one.weight_kg) if one.weight_kg else ""
    system = f", {one.system}" if one.system else ""
    yield from wrapped(f"{one.name}: {plan.verdict.value}")
    yield from wrapped(f"{one.species}, {weight}{system}, {plan.given.agent}")
    yield from _unsafe(plan)
    yield ""
    for name in _TOLD:
        if name in plan.answers:
            yield from _told(plan.answers[name], limits=name in _LIMITS)
    yield from _flows(plan)
    yield from _dials(plan)
    yield from _levels(plan)
    yield from _changes(plan)
    yield from ("", "What it takes", "-" * WIDTH)
    yield from pairs(
        (_NAMES[name], plan.answers[name].text) for name in _USED if name in plan.answers
    )
    yield from _take_care(plan)
    yield from _where(plan)
    yield ""
    yield from wrapped(
        f"Flows are litres of free gas at 70 °F and 1 atm. {plan.draws} animals drawn, seed "
        f"{plan.seed}. A range holds 9 of 10 of them."
    )


def _unsafe(plan: "CasePlan") -> Iterator[str]:
    """Stops and cautions first: what to do stands beside each."""
    if plan.cares:
        yield from ("", "Before you begin", "-" * WIDTH)
    for one in plan.cares:
        yield from wrapped(f"{one.verdict.value}. {one.sentence} {one.todo}", "  ")


def _told(answer: "Answer", *, limits: bool) -> Iterator[str]:
    band = f" Likely {answer.range_text}." if answer.low != answer.high and not limits else ""
    todo = f" {answer.todo}" if answer.todo else ""
    asked = f" {answer.settles}" if answer.settles else ""
    yield from wrapped(f"{answer.sentence}{band}{asked}{todo}")


def _flows(plan: "CasePlan") -> Iterator[str]:
    yield from ("", "Fresh gas flow, and what the rules say", "-" * WIDTH)
    for answer in plan.flows:
        yield from wrapped(f"{answer.question[:-1]}: {answer.text}")
        yield from pairs(
            ((_mark(one.label, chosen=one.chosen), one.result) for one in answer.views), "    "
        )


def _mark(label: str, *, chosen: bool) -> str:
    return f"{label} (chosen)" if chosen else label


def _dials(plan: "CasePlan") -> Iterator[str]:
    if not plan.dials:
        return
    yield from ("", "Dial: a range to start from, no prescription", "-" * WIDTH)
    for answer in plan.dials:
        yield from wrapped(answer.sentence)
        yield from wrapped(f"range {answer.range_text}", "    ")


def _levels(plan: "CasePlan") -> Iterator[str]:
    """About ten rows of the curves: breathed in, end-tidal, brain."""
    if not plan.levels:
        return
    yield from ("", "Expected levels, %", _row("min", "breathed in", "end-tidal", "brain"))
    yield "-" * WIDTH
    step = max(1, len(plan.levels) // 10)
    shown = [*plan.levels[step:-1:step], plan.levels[-1]]
    for one in shown:
        ends = (_band(each) for each in (one.inspired, one.end_tidal, one.brain))
        yield _row(f"{one.at_min:.0f}", *ends)


def _changes(plan: "CasePlan") -> Iterator[str]:
    """What would become of the plan with another flow, dial or system; what stays is left out."""
    if plan.changes:
        yield from ("", "What changes, the dials of the plan kept", "-" * WIDTH)
    for one in plan.changes:
        yield from wrapped(one.words)
        for row in one.rows:
            was, now = (_short(each) for each in (row.before, row.after))
            if was != now:
                ends = f" ({row.after.range_text})" if row.after.range_text else ""
                yield from wrapped(f"{row.words}: {now}{ends}, was {was}", "    ")
        for care in one.cares:
            yield from wrapped(f"{care.verdict.value}. {care.sentence} {care.todo}", "    ")


def _short(answer: "Answer") -> str:
    return "not in the time planned" if answer.value is None else answer.number_text


def _band(ends: tuple[float, float, float]) -> str:
    low, middle, high = ends
    return f"{middle:.2f} ({low:.2f} to {high:.2f})"


def _row(*words: str) -> str:
    first, *others = words
    return f"{first:>5}  " + "".join(f"{one:<24}" for one in others).rstrip()


def _take_care(plan: "CasePlan") -> Iterator[str]:
    """Cautions and assumptions of all answers, each said once."""
    for title, name in (("Take care", "cautions"), ("Assumed", "assumptions")):
        said = dict.fromkeys(line for one in plan.all_answers for line in getattr(one, name))
        if said:
            yield from ("", title)
        for line in said:
            yield from wrapped(line, "  ")


def _where(plan: "CasePlan") -> Iterator[str]:
    """Every source of the plan with how it is known, each once."""
    from ullage.reference import HowKnown

    yield from ("", "Where from")
    found = (one for answer in plan.all_answers for one in answer.where_from)
    for one in dict.fromkeys((each.source, each.how_known) for each in found):
        yield from wrapped(f"{one[0]} ({HowKnown(one[1]).words})", "  ")
