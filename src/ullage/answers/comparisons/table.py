"""All rows in the order of the fact table, computed with each set of values, and their score."""

from collections.abc import Callable, Iterable, Mapping
from functools import cache
from math import log
from statistics import median
from typing import TYPE_CHECKING

from ullage.answers.comparisons import (
    circle_rows,
    nitrous_rows,
    open_rows,
    other_rows,
    waking_rows,
)
from ullage.answers.comparisons.kit import Kit, Mechanism
from ullage.answers.comparisons.things import Compared, Kind, Mark, Score
from ullage.answers.kinetics import band_of_kind
from ullage.reference import Sourced, fact_rows, sourced, stated, table
from ullage.reference.facts import Fact
from ullage.reference.solubility import ValueSet

if TYPE_CHECKING:
    from ullage.core.kinetics import Floats

__all__ = ["GROUPS", "compared", "left_out", "score", "scores_without", "values_of"]

#: Name of a study or set-up -> what computes its rows.
GROUPS: Mapping[str, Callable[[Kit], "Mapping[str, Floats]"]] = {
    one.__name__: one
    for one in (
        open_rows.volunteers,
        open_rows.washout_ratio,
        open_rows.half_times,
        circle_rows.wash_in_to_a_ratio,
        circle_rows.held_eight_hours,
        waking_rows.responds,
        waking_rows.eyes_open,
        circle_rows.low_flow,
        circle_rows.wash_in,
        circle_rows.two_steps,
        circle_rows.closed_circle,
        nitrous_rows.nitrous_oxide_in,
        nitrous_rows.nitrous_oxide_out,
        nitrous_rows.second_gas,
        nitrous_rows.nitrogen_in_circle,
        open_rows.metabolised,
        open_rows.child_uptake,
        other_rows.bain,
        other_rows.spontaneous_bain,
        other_rows.test_lung,
        other_rows.apparatus,
        waking_rows.rats,
        waking_rows.mice,
        other_rows.drop,
        waking_rows.dogs,
        open_rows.piglets_arterial,
        open_rows.piglets_uptake,
        other_rows.horses,
    )
}

#: Seed of the means that are drawn, and how many.
SEED, DRAWS = 20_261_125, 100

#: A share of two levels of the same gas that cannot be above 1.
_AT_MOST_ONE = ("FA/FI", "FE/FI")


@cache
def values_of(which: ValueSet, without: frozenset[Mechanism] = frozenset()) -> Mapping[str, float]:
    """Value of every row with one set of values, some mechanisms left out."""
    kit = Kit(which=which, without=without)
    found: dict[str, float] = {}
    for rows in GROUPS.values():
        found |= {key: float(value.ravel()[0]) for key, value in rows(kit).items()}
    return found


@cache
def compared(draws: int = DRAWS, seed: int = SEED) -> tuple[Compared, ...]:
    """Every row with its band.

    Parameters
    ----------
    draws : [1] means of studies drawn for each row, 1 or more.
    seed : [1] of the draws.
    """
    shipped, label, uptake = (values_of(one) for one in ValueSet)
    drawn, group_of = _drawn(draws, seed)
    found = []
    for fact in fact_rows("uptake_checks"):
        key, kind = fact.key, _kind(fact.unit)
        most = 1.0 if fact.quantity.startswith(_AT_MOST_ONE) else float("inf")
        low, high = band_of_kind(kind.value, shipped[key], drawn[key], max(most, shipped[key]))
        one = _compared(fact, group_of[key], (shipped[key], low, high), kind)
        found.append(one(label[key], uptake[key]))
    return tuple(found)


def _compared(
    fact: Fact, group: str, ours: tuple[float, float, float], kind: Kind
) -> Callable[[float, float], Compared]:
    """A row that waits for its other columns."""
    spread = dict(part.partition("=")[::2] for part in fact.spread.split("; "))

    def whole(label: float, uptake: float) -> Compared:
        return Compared(
            key=fact.key,
            group=group,
            subject=fact.subject,
            setup=fact.condition,
            quantity=fact.quantity,
            unit=fact.unit,
            source=fact.source,
            how_known=fact.how_known.value if fact.how_known else "",
            note=fact.note,
            published=float(fact.value),
            tolerance=float(spread["tolerance"]),
            mark=mark_of(fact.key),
            kind=kind,
            shipped=ours[0],
            low=ours[1],
            high=ours[2],
            label=label,
            uptake=uptake,
        )

    return whole


def _drawn(draws: int, seed: int) -> "tuple[Mapping[str, Floats], Mapping[str, str]]":
    """Means of studies of the size of each group, and the group of each row."""
    found: dict[str, Floats] = {}
    group_of: dict[str, str] = {}
    for name, rows in GROUPS.items():
        kit = Kit(count=draws, seed=seed, study_of=study_size(name))
        of_group = rows(kit)
        found |= of_group
        group_of |= dict.fromkeys(of_group, name)
    return found, group_of


def study_size(group: str) -> int:
    """Animals behind the printed mean of a group.

    >>> study_size("low_flow"), study_size("rats")
    (56, 10)
    """
    row = table("comparisons").get(f"study.{group}")
    chosen = row if isinstance(row, Sourced) else sourced("comparisons", "study.not_printed")
    return round(chosen.value)


@cache
def _marks() -> Mapping[str, Mark]:
    marked: dict[str, Mark] = {}
    for mark in (Mark.FITTED, Mark.ARITHMETIC, Mark.NO_GATE):
        keys = stated("comparisons", f"mark.{mark.name.lower()}").text.split(", ")
        marked |= dict.fromkeys(keys, mark)
    return marked


def mark_of(key: str) -> Mark:
    """Whether a row counts.

    >>> mark_of("H-LF2-FI").value, mark_of("T-LUNG-3").value
    ('scored', 'arithmetic')
    """
    return _marks().get(key, Mark.SCORED)


def _kind(unit: str) -> Kind:
    if unit in {"min", "s"}:
        return Kind.TIME
    return Kind.LEVEL if unit in {"1", "%"} else Kind.AMOUNT


def score(rows: Iterable[Compared]) -> Score:
    """Score of the rows that count, with coverage and width of their bands."""
    import numpy as np

    from ullage.core.kinetics import even_half_width_share

    counted = [one for one in rows if one.mark is Mark.SCORED]
    held = sum(one.held for one in counted)
    errors = np.array([log(one.published / one.shipped) for one in counted])

    def width(kind: Kind) -> float:
        return median(one.half_width_share for one in counted if one.kind is kind)

    return Score(
        scored=len(counted),
        inside=sum(one.inside for one in counted),
        median_error_share=median(abs(one.error_share) for one in counted),
        held=held,
        level_width_share=width(Kind.LEVEL),
        time_width_share=width(Kind.TIME),
        width_share=median(one.half_width_share for one in counted),
        even_share=even_half_width_share(errors, held / len(counted)),
    )


def _plain_score(values: Mapping[str, float], keys: Iterable[str] | None = None) -> Score:
    """Score of one column, without bands, on all scored rows or some."""
    wanted = None if keys is None else set(keys)
    errors, inside = [], 0
    for fact in fact_rows("uptake_checks"):
        if mark_of(fact.key) is not Mark.SCORED or (wanted is not None and fact.key not in wanted):
            continue
        published, ours = float(fact.value), values[fact.key]
        tolerance = float(fact.spread.partition("tolerance=")[2])
        inside += abs(ours - published) <= tolerance * (1.0 + 1e-9)
        errors.append(abs(ours / published - 1.0))
    return Score(scored=len(errors), inside=inside, median_error_share=median(errors))


def scores_without() -> Mapping[str, Score]:
    """Score of each column, and of the shipped engine with each mechanism left out."""
    found = {
        "shipped": _plain_score(values_of(ValueSet.USER)),
        "solubility of labels": _plain_score(values_of(ValueSet.LABEL)),
        "reference model": _plain_score(values_of(ValueSet.UPTAKE)),
    }
    for one in Mechanism:
        found[f"without {one.value}"] = _plain_score(values_of(ValueSet.USER, frozenset({one})))
    return found


def left_out() -> tuple[int, Score]:
    """Choosing the set of solubility without each study in turn, and then judging that study.

    Returns
    -------
    In how many of the groups with scored rows the other groups choose the clinical series, and
    the score of what was chosen.
    """
    columns = {one: values_of(one) for one in (ValueSet.USER, ValueSet.LABEL)}
    _, group_of = _drawn(1, SEED)
    counted = [key for key in group_of if mark_of(key) is Mark.SCORED]
    chosen: dict[str, float] = {}
    clinical = 0
    for group in dict.fromkeys(group_of[key] for key in counted):
        rest = [key for key in counted if group_of[key] != group]
        best = max(columns, key=lambda one: _rank(_plain_score(columns[one], rest)))
        clinical += best is ValueSet.USER
        chosen |= {key: columns[best][key] for key in counted if group_of[key] == group}
    return clinical, _plain_score(chosen, counted)


def _rank(found: Score) -> tuple[int, float]:
    return found.inside, -found.median_error_share
