"""A check list as it is kept: every word of it, so that an old check can be read for ever."""

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from ullage.answers.answer import WhereFrom
from ullage.answers.checks.things import (
    ChangeKind,
    CheckField,
    CheckList,
    CheckStep,
    Lasts,
    MeasureKind,
)

__all__ = ["list_as_dict", "list_from_dict"]


def list_as_dict(check_list: CheckList) -> dict[str, Any]:
    """A whole list by name, fit for JSON.

    >>> from ullage.answers.checks.things import CheckList, Lasts
    >>> kept = list_as_dict(CheckList(key="a", title="A", when="", lasts=Lasts.DAY, steps=()))
    >>> kept["lasts"] == "the day"
    True
    """
    return asdict(check_list)


def list_from_dict(kept: Mapping[str, Any]) -> CheckList:
    """The list that `list_as_dict` wrote; fields that came later take their usual value.

    >>> from ullage.answers.checks.things import CheckList, Lasts
    >>> first = CheckList(key="a", title="A", when="", lasts=Lasts.DAY, steps=())
    >>> list_from_dict(list_as_dict(first)) == first
    True
    """
    named = {
        **kept,
        "lasts": Lasts(kept["lasts"]),
        "steps": tuple(_step(one) for one in kept["steps"]),
        "after": tuple(ChangeKind(one) for one in kept["after"]),
        "covers": tuple(kept["covers"]),
        "left_out": dict(kept["left_out"]),
    }
    return CheckList(**named)


def _step(kept: Mapping[str, Any]) -> CheckStep:
    named = {
        **kept,
        "kind": MeasureKind(kept["kind"]),
        "fields": tuple(_field(one) for one in kept["fields"]),
        "where_from": tuple(WhereFrom(**one) for one in kept["where_from"]),
        "waits_s": tuple(kept["waits_s"]),
        "covers": tuple(kept["covers"]),
        "again_after": tuple(ChangeKind(one) for one in kept["again_after"]),
    }
    return CheckStep(**named)


def _field(kept: Mapping[str, Any]) -> CheckField:
    return CheckField(**{**kept, "words": tuple(kept["words"])})
