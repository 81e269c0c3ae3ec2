"""`ullage values`: search the reference values, count them, show where sources disagree."""

import json
from collections.abc import Iterable, Iterator
from dataclasses import asdict
from itertools import groupby
from textwrap import wrap
from typing import Any

import click

from ullage.answers.answer import CAUTION_LINE
from ullage.core.units import read_quantity
from ullage.reference import (
    NO_CANDIDATE,
    Candidate,
    Count,
    Fact,
    HowKnown,
    Standing,
    all_tables,
    conflicts,
    counts,
    disagreements,
    identify_cylinder,
    search,
    tables,
    value_counts,
)

__all__ = ["values"]

WIDTH = 80

#: More rows than this are shown only when they are asked for.
_SCREENFUL = 25

#: What may be told of a cylinder: name, kind of quantity, argument.
_CLUES = {
    "height": ("length", "height_m"),
    "diameter": ("length", "diameter_m"),
    "water": ("volume", "water_capacity_l"),
    "label": ("volume", "label_l"),
    "fill": ("pressure", "fill_gauge_kpa"),
}


@click.command()
@click.argument("text", nargs=-1)
@click.option("--table", "only", metavar="NAME", help="Only this table; alone: all its rows.")
@click.option("--all", "everything", is_flag=True, help="Every row found, however many.")
@click.option("--count", is_flag=True, help="Rows loaded and left out, per table and mark.")
@click.option("--conflicts", "sides", is_flag=True, help="Where sources disagree, side by side.")
@click.option(
    "--identify", "told", multiple=True, metavar="CLUE=VALUE", help="Which cylinder is it?"
)
@click.option("--region", metavar="WORLD", help="With --identify: US, UK or ISO, China.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON, for other programs.")
def values(
    *,
    text: tuple[str, ...],
    only: str | None,
    everything: bool,
    count: bool,
    sides: bool,
    told: tuple[str, ...],
    region: str | None,
    as_json: bool,
) -> None:
    """Search the reference values for words; each row tells where it comes from.

    The clues of --identify are height, diameter, water, label and fill.

    \b
    Example: ullage values oxygen flush
    Example: ullage values --table gas_colours
    Example: ullage values --conflicts flush
    Example: ullage values --count
    Example: ullage values --identify height="30 in" --identify diameter="4.25 in"
    """
    asked = " ".join(text)
    if told:
        as_data, lines = _identified(told, region)
    elif count:
        as_data, lines = [_count_dict(one) for one in (*counts(), *value_counts())], _counted()
    elif sides:
        as_data, lines = _sides_dicts(asked), _sides(asked)
    elif asked or only:
        as_data, lines = _searched(asked, only, everything=everything)
    else:
        as_data, lines = list(all_tables()), _overview()
    _print(as_data if as_json else lines, as_json)


def _searched(asked: str, only: str | None, *, everything: bool) -> tuple[Any, Iterator[str]]:
    rows = search(asked, only=only)
    limit = len(rows) if everything or not asked else _SCREENFUL
    return [_row_dict(one) for one in rows], _rows(rows, limit, asked)


def _identified(told: tuple[str, ...], region: str | None) -> tuple[Any, Iterator[str]]:
    found = identify_cylinder(**dict(_clue(one) for one in told), region=region)
    return [_candidate_dict(one) for one in found], _candidates(found)


def _print(what: Any, as_json: bool) -> None:
    if as_json:
        click.echo(json.dumps(what, ensure_ascii=False, indent=2))
        return
    for line in what:
        click.echo(line)
    click.echo()
    click.echo("\n".join(wrap(CAUTION_LINE, WIDTH)))


def _told(text: str, indent: str = "  ") -> Iterator[str]:
    yield from wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent)


def _overview() -> Iterator[str]:
    yield from wrap(
        "Give words to search for, or --table NAME. Values, facts of the fact base, conflicts"
        " and sources are searched together.",
        WIDTH,
    )
    yield ""
    held = {one.table: 0 for one in (*value_counts(), *counts())}
    for one in (*value_counts(), *counts()):
        held[one.table] += one.loaded
    for name, rows in held.items():
        yield f"  {name:<24}{rows:>6} rows"
    for name, rows in (("conflicts", len(conflicts())), ("disagreements", len(disagreements()))):
        yield f"  {name:<24}{rows:>6}"


def _rows(rows: tuple[Fact, ...], limit: int, asked: str) -> Iterator[str]:
    if not rows:
        yield from wrap(f"Nothing holds all the words of {asked!r}. Try fewer words.", WIDTH)
        return
    for one in rows[:limit]:
        yield from _row(one)
    if len(rows) > limit:
        yield ""
        yield from wrap(
            f"{limit} of {len(rows)} rows shown. Add a word, name a --table, or use --all.", WIDTH
        )


def _row(one: Fact) -> Iterator[str]:
    value = f"{one.value} {one.unit}".strip() or "(a statement without a number)"
    head = f"{one.place}  {value}"
    if len(head) <= WIDTH:
        yield head
    else:
        yield from wrap(one.place, WIDTH)
        yield from _told(value)
    what = f"{one.subject}: {one.quantity}" if one.subject else one.quantity
    for part in (what, one.condition, _marked(one), f"from {one.source}", one.note):
        if part and part != "from ":
            yield from _told(part)


def _marked(one: Fact) -> str:
    """How it is known, its standing, and its band or that none is published."""
    if one.how_known is None:
        return ""
    standing = f"; {one.standing.value}" if one.standing and one.number is not None else ""
    return f"{one.mark}{standing}; {_spread(one)}".removesuffix("; ")


def _spread(one: Fact) -> str:
    if one.spread:
        return f"spread or tolerance {one.spread}" if one.table not in tables() else one.spread
    without = one.number is None or one.standing is Standing.EXACT
    return "" if without else "spread not published"


def _counted() -> Iterator[str]:
    yield from _count_table("Fact tables: rows loaded and left out", counts())
    yield ""
    yield from _count_table("Tables of values", value_counts())
    left = {(one.table, one.reason) for one in counts() if one.left_out}
    for name, reason in sorted(left):
        yield ""
        yield from wrap(f"Left out of {name}: {reason}.", WIDTH)


def _count_table(title: str, counted: tuple[Count, ...]) -> Iterator[str]:
    yield title
    yield _count_line("table", "how known", "loaded", "left out")
    for name, group in groupby(counted, key=lambda one: one.table):
        for one in group:
            yield _count_line(name, one.how_known.words, one.loaded, one.left_out)
    for how in HowKnown:
        same = [one for one in counted if one.how_known is how]
        if same:
            yield _count_line("all", how.words, *_sums(same))
    yield _count_line("all", "all", *_sums(counted))


def _sums(counted: Iterable[Count]) -> tuple[int, int]:
    loaded = tuple((one.loaded, one.left_out) for one in counted)
    return sum(one[0] for one in loaded), sum(one[1] for one in loaded)


def _count_line(name: str, how: str, loaded: int | str, left_out: int | str) -> str:
    return f"  {name:<22}{how:<30}{loaded:>8}{left_out:>10}"


def _sides(asked: str) -> Iterator[str]:
    shown = {one.key for one in search(asked, only="conflicts")}
    parted = {one.key for one in search(asked, only="disagreements")}
    if not shown | parted:
        yield from wrap(f"No conflict holds all the words of {asked!r}.", WIDTH)
        return
    for one in conflicts():
        if one.key in shown:
            yield from wrap(f"{one.key}  {one.topic}", WIDTH)
            for value in one.values:
                yield from _told(value, "    ")
            yield from _told(f"suggested: {one.default}")
            yield from _told(f"where: {one.where}")
    for rule in disagreements():
        if rule.key in parted:
            yield from wrap(f"{rule.key}  {rule.quantity}", WIDTH)
            yield from _told(f"rule of the trade (common practice, no source): {rule.rule}", "    ")
            yield from _told(f"physics (computed): {rule.physics}", "    ")
            yield from _told(f"difference {rule.difference}: {rule.say}")


def _sides_dicts(asked: str) -> list[dict[str, Any]]:
    keys = {one.key for name in ("conflicts", "disagreements") for one in search(asked, only=name)}
    sides = [asdict(one) for one in conflicts() if one.key in keys]
    return sides + [asdict(one) for one in disagreements() if one.key in keys]


def _clue(text: str) -> tuple[str, float]:
    name, _, value = text.partition("=")
    if name.strip() not in _CLUES or not value:
        raise click.ClickException(
            f'{text!r} is no clue; write one of {", ".join(_CLUES)} as height="30 in".'
        )
    kind, argument = _CLUES[name.strip()]
    return argument, read_quantity(value, kind)


def _candidates(found: tuple[Candidate, ...]) -> Iterator[str]:
    if not found:
        yield from wrap(NO_CANDIDATE, WIDTH)
    for one in found:
        capacity = one.size.water_capacity
        yield from wrap(
            f"{one.size.title}  {capacity.value:g} L of water ({capacity.how_known.words})", WIDTH
        )
        yield from _told(one.reason)
    if found:
        yield ""
        yield from wrap("Confirm on the stamp or the label before you rely on it.", WIDTH)


def _candidate_dict(one: Candidate) -> dict[str, Any]:
    capacity = one.size.water_capacity
    return {
        "size": one.size.title,
        "region": one.size.region,
        "water_capacity_l": capacity.value,
        "how_known": capacity.how_known.value,
        "source": capacity.source,
        "agrees": list(one.agrees),
        "not_published": list(one.unknown),
        "mismatch": round(one.mismatch, 4),
    }


def _row_dict(one: Fact) -> dict[str, Any]:
    return {**asdict(one), "place": one.place, "mark": one.mark}


def _count_dict(one: Count) -> dict[str, Any]:
    return {**asdict(one), "mark": one.how_known.words}
