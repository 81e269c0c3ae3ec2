"""Check lists from data: those that are shipped, and a site's own, read with every fault named."""

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

from ullage.answers.answer import WhereFrom
from ullage.answers.chain_links.rows import where_from
from ullage.answers.checks.faults import (
    BASE,
    CLOSING,
    based_on,
    list_faults,
    listed,
    required_keys,
    words_of,
)
from ullage.answers.checks.fields import FIELDS
from ullage.answers.checks.things import (
    ChangeKind,
    CheckList,
    CheckStep,
    Lasts,
    LeftOut,
    MeasureKind,
)
from ullage.core.errors import PlanUnreadable
from ullage.reference import HowKnown, Stated, sources, table
from ullage.reference.checks import check_file, check_list_names

__all__ = [
    "check_list",
    "list_from_mapping",
    "list_to_mapping",
    "shipped_lists",
    "steps_left_out",
]

_OWN = WhereFrom(source="site_rule", how_known="site", text="Worded by the site for its own list.")
#: Every check that is kept here is a record: the step that asks for one is covered by that alone.
_KEPT = ("19",)
_WORDS = ("title", "good", "method", "caution", "todo")


@cache
def shipped_lists() -> tuple[CheckList, ...]:
    """The check lists that come with the product, in their order.

    >>> [one.title for one in shipped_lists()][:2]
    ['Start of day', 'Before each case']
    """
    return tuple(check_list(name) for name in check_list_names())


@cache
def check_list(key: str) -> CheckList:
    """One shipped list by its key.

    Raises
    ------
    UnknownReference : no such list.

    >>> len(check_list("start_of_day").steps)
    10
    """
    return list_from_mapping({**check_file(key), "key": key})


def list_from_mapping(written: Mapping[str, Any]) -> CheckList:
    """A list as it is written in a file, or as a site has edited it.

    Parameters
    ----------
    written : key, title, when, lasts, steps and more. A step is the key of a shipped step, a
        table ``step = key`` with what is worded otherwise, or a table of its own with a new key.
        ``based_on`` names the shipped list whose required steps hold; the key of a shipped list
        does so by itself.

    Returns
    -------
    The list; required steps are marked, and a step that shuts the system asks for no animal.

    Raises
    ------
    PlanUnreadable : every fault, each in a sentence: a required step that is missing, a step
        twice, no closing step at the end, a word that is unknown.

    >>> own = {**check_file("before_each_case"), "key": "ours", "title": "Before each dog"}
    >>> list_from_mapping(own).title
    'Before each dog'
    """
    faults = tuple(list_faults(written))
    if faults:
        raise PlanUnreadable(" ".join(faults))
    required = required_keys(written)
    shipped = written["key"] in check_list_names()
    base = check_file(based_on(written)) if based_on(written) else {}
    each = base.get("each_case")
    return CheckList(
        key=written["key"].strip(),
        title=written["title"].strip(),
        when=str(written.get("when", "")).strip(),
        lasts=Lasts(written.get("lasts", Lasts.CASE)),
        steps=tuple(
            _built(_of_case(words_of(one), each), required, shipped)
            for one in listed(written["steps"])
        ),
        based_on=based_on(written),
        note=str(written.get("note", "")).strip(),
        after=tuple(ChangeKind(one) for one in listed(written.get("after"))),
        covers=tuple(base.get("covers", _KEPT)),
        left_out={str(number): str(why) for number, why in (written.get("left_out") or {}).items()},
        then=str(base.get("then", "")),
    )


def _of_case(step: dict[str, Any], each: list[str] | None) -> dict[str, Any]:
    """A shipped step is repeated before each case where its list says so, else as it says."""
    if each is None or step["key"] not in check_file("steps"):
        return step
    return {**step, "each_case": step["key"] in each}


def _built(step: Mapping[str, Any], required: frozenset[str], shipped: bool) -> CheckStep:
    kind = MeasureKind(step.get("kind", MeasureKind.YES_NO))
    return CheckStep(
        **{name: str(step.get(name, "")).strip() for name in _WORDS},
        key=step["key"],
        kind=kind,
        fields=FIELDS[kind],
        where_from=tuple(_rests_on(step, shipped)),
        asks_no_animal=kind in _SHUTS or step.get("asks_no_animal", False),
        waits_s=tuple(float(one) for one in listed(step.get("waits_s"))),
        covers=tuple(str(one) for one in listed(step.get("covers"))),
        required=step["key"] in required,
        closes=step["key"] == CLOSING,
        grave=step.get("grave", True),
        each_case=step.get("each_case", False),
        again_after=tuple(ChangeKind(one) for one in listed(step.get("again_after"))),
        may_be_absent=bool(step.get("absent")),
        when_absent=step.get("absent", ""),
        absent_is_fine=step.get("absent_is_fine", False),
        with_what=step.get("with", ""),
    )


#: Measurements that shut the relief valve, plug the patient end or stop the oxygen: no wording
#: of a site takes the question for an animal away from them.
_SHUTS = frozenset(
    {
        MeasureKind.LEAK,
        MeasureKind.RELIEF_VALVE,
        MeasureKind.ONE_WAY_VALVES,
        MeasureKind.COAXIAL,
        MeasureKind.FLUSH,
        MeasureKind.SCAVENGING,
        MeasureKind.PIPELINE_ALARM,
    }
)


def _rests_on(step: Mapping[str, Any], shipped: bool) -> Iterator[WhereFrom]:
    """The rows of the pre-use check behind a shipped step; a site's own words stand for it."""
    known = check_file("steps").get(step["key"])
    if known is not None:
        for number in known.get("covers", ()):
            yield where_from(table(BASE)[number])
        if "where" in known:
            yield _named(known["where"])
    if known is None or (_reworded(step, known) and not shipped):
        yield _OWN


def _reworded(step: Mapping[str, Any], known: Mapping[str, Any]) -> bool:
    return any(step.get(name, "") != known.get(name, "") for name in _WORDS)


def _named(where: Mapping[str, str]) -> WhereFrom:
    cite = sources()[where["source"]].cite.removesuffix(".")
    return WhereFrom(
        source=where["source"],
        how_known=HowKnown(where["how_known"]).value,
        text=f"{where['text']} {cite}.",
    )


def list_to_mapping(check: CheckList) -> dict[str, Any]:
    """A list as a site may edit it: what `list_from_mapping` reads.

    >>> list_from_mapping(list_to_mapping(check_list("monthly"))) == check_list("monthly")
    True
    """
    return {
        "key": check.key,
        "title": check.title,
        "when": check.when,
        "lasts": check.lasts.value,
        "based_on": check.based_on,
        "note": check.note,
        "after": [one.value for one in check.after],
        "covers": list(check.covers),
        "left_out": dict(check.left_out),
        "required": list(check.required),
        "steps": [_editable(one) for one in check.steps],
    }


def _editable(step: CheckStep) -> dict[str, Any]:
    words = {name: getattr(step, name) for name in _WORDS}
    editable = {**words, "waits_s": list(step.waits_s)}
    if step.key in check_file("steps"):
        return {"step": step.key, **editable}
    absent = {"absent": step.when_absent, "absent_is_fine": step.absent_is_fine}
    return {
        "key": step.key,
        **editable,
        **(absent if step.may_be_absent else {}),
        "kind": step.kind.value,
        "asks_no_animal": step.asks_no_animal,
        "covers": list(step.covers),
        "grave": step.grave,
        "each_case": step.each_case,
        "again_after": [one.value for one in step.again_after],
        "with": step.with_what,
    }


def steps_left_out(check: CheckList) -> tuple[LeftOut, ...]:
    """The steps of the merged pre-use check that a list leaves out, and why where it says so.

    >>> [one.number for one in steps_left_out(check_list("veterinary_circle"))]
    ['14']
    """
    covered = {*check.covers, *(number for one in check.steps for number in one.covers)}
    return tuple(
        LeftOut(number=number, title=row.text, why=check.left_out.get(number, ""))
        for number, row in table(BASE).items()
        if isinstance(row, Stated) and number not in covered
    )
