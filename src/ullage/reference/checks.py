"""The shipped check lists and their steps as they are written in `data/checks`."""

import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from ullage.core.errors import UnknownReference

__all__ = ["check_file", "check_list_names"]

_DATA = Path(__file__).parent / "data" / "checks"

#: Files beside the lists: the steps that lists name, and the limits to choose from.
_BESIDE = frozenset({"steps", "limits"})


@cache
def check_list_names() -> tuple[str, ...]:
    """The names of the shipped lists, in the order that each says for itself.

    >>> check_list_names()[0]
    'start_of_day'
    """
    names = [one.stem for one in _DATA.glob("*.toml") if one.stem not in _BESIDE]
    return tuple(sorted(names, key=lambda name: check_file(name)["order"]))


@cache
def check_file(name: str) -> Mapping[str, Any]:
    """One file of the checks as written: a list, ``steps`` or ``limits``.

    Raises
    ------
    UnknownReference : no such list.

    >>> check_file("start_of_day")["title"]
    'Start of day'
    """
    path = _DATA / f"{name}.toml"
    if "/" in name or not path.is_file():
        raise UnknownReference(f"No check list {name!r}. Lists: {', '.join(check_list_names())}.")
    with path.open("rb") as opened:
        return tomllib.load(opened)
