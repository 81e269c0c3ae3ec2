"""The page of docs/reference on check lists: steps, limits, and what each list leaves out."""

from collections.abc import Iterator

from tools.docs_data import table_of
from ullage.answers.checks import (
    CheckList,
    CheckStep,
    Limit,
    limit_choices,
    limit_names,
    shipped_lists,
    steps_left_out,
)
from ullage.reference import HowKnown

__all__ = ["checks"]


def checks() -> str:
    """Every shipped list with its steps, and every limit with those who set it."""
    lines = [
        "# Check lists",
        "",
        "The lists that come with Ullage, as data. A site may word, move and add steps; what is",
        "required stays. How results come about is told in [Checks](../explanation/checks.md).",
        "",
        *(line for one in shipped_lists() for line in _list(one)),
        "## Limits to choose from",
        "",
        "They disagree. One that is marked usual counts until the site chooses; a leak has none.",
        "",
        *table_of(
            ("limit", "key", "who and how much", "how known", "source", "usual"),
            (_limit(one) for name in limit_names() for one in limit_choices(name)),
        ),
    ]
    return "\n".join(lines)


def _list(check: CheckList) -> Iterator[str]:
    yield from (f"## {check.title}", "", f"`{check.key}`: {check.when}. Lasts {check.lasts.value}.")
    yield from (check.note, "") if check.note else ("",)
    yield from table_of(
        ("step", "good", "kind", "required", "no animal first", "how known"),
        (_step(one) for one in check.steps),
    )
    left = steps_left_out(check)
    if left:
        yield from ("", "Left out of the merged pre-use check:", "")
        yield from (f"- {one.number}: {one.title} Why: {one.why}." for one in left)
    yield ""


def _step(step: CheckStep) -> tuple[str, ...]:
    marks = dict.fromkeys(HowKnown(one.how_known).words for one in step.where_from)
    return (
        step.title,
        step.good,
        step.kind.value.replace("_", " "),
        "yes" if step.required else "",
        "yes" if step.asks_no_animal else "",
        "; ".join(marks),
    )


def _limit(one: Limit) -> tuple[str, ...]:
    where = one.where_from
    usual = "yes" if one.usual else ""
    return (one.name, one.key, one.label, HowKnown(where.how_known).words, where.source, usual)
