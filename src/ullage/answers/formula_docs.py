"""What a formula's signature and docstring say about it, read by one mechanism.

The docstrings of the core are written to be read by people and by this parser alike: a
summary line, ``name : [unit] meaning`` lines, ``[unit]`` under Returns, and ``Source: key (what
was taken)``.
"""

import ast
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from doctest import DocTestParser
from inspect import getdoc, signature
from textwrap import dedent
from typing import Any

__all__ = ["Described", "SourceLine", "Taken", "call_in_doctest", "described"]

_UNIT = re.compile(r"^\[(.+?)\]\s*")
_SOURCE = re.compile(r"([A-Za-z0-9_]+) \(((?:[^()]|\([^()]*\))*)\)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """One parameter in words: its name, its unit, what it means."""

    name: str
    unit: str
    meaning: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceLine:
    """One source of a formula: its key, and what was taken from it."""

    key: str
    what: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Described:
    """A docstring taken apart."""

    summary: str
    parameters: tuple[Taken, ...]
    unit: str
    returns: str
    sources: tuple[SourceLine, ...]


def described(function: Callable[..., Any]) -> Described:
    """The docstring of a formula, taken apart.

    >>> from ullage.core.units import kelvin
    >>> found = described(kelvin)
    >>> found.summary, found.unit, found.parameters[0].unit
    ('Absolute temperature of a Celsius reading.', 'K', '°C')
    """
    text = getdoc(function) or ""
    unit, returns = _unit_and_words(_section(text, "Returns"))
    return Described(
        summary=" ".join(text.split("\n\n", 1)[0].split()),
        parameters=_parameters(_section(text, "Parameters")),
        unit=unit or "1",
        returns=returns,
        sources=_sources(text),
    )


def _section(text: str, heading: str) -> str:
    """The lines under a heading, up to the next heading or the end of its paragraph."""
    found = re.search(rf"^{heading}\n-+\n(.*?)(?=\n\n|\Z)", text, re.MULTILINE | re.DOTALL)
    return found.group(1) if found else ""


def _unit_and_words(line: str) -> tuple[str, str]:
    words = " ".join(line.split())
    found = _UNIT.match(words)
    return (found.group(1), words[found.end() :]) if found else ("", words)


def _parameters(block: str) -> tuple[Taken, ...]:
    entries = re.split(r"\n(?=\S)", block) if block else []
    taken: list[Taken] = []
    for entry in entries:
        name, _, rest = entry.partition(" : ")
        unit, meaning = _unit_and_words(rest)
        taken.extend(Taken(name=one.strip(), unit=unit, meaning=meaning) for one in name.split(","))
    return tuple(taken)


def _sources(text: str) -> tuple[SourceLine, ...]:
    found = re.search(r"^Source: (.*?)(?=\n\n|\Z)", text, re.MULTILINE | re.DOTALL)
    if found is None:
        return ()
    words = " ".join(found.group(1).split())
    return tuple(SourceLine(key=key, what=what) for key, what in _SOURCE.findall(words))


def call_in_doctest(function: Callable[..., Any]) -> dict[str, ast.expr]:
    """The arguments of the first call in the doctest by name; empty when there is none.

    >>> from ullage.core.units import kelvin
    >>> {name: ast.unparse(given) for name, given in call_in_doctest(kelvin).items()}
    {'celsius_degrees': '20.0'}
    """
    known: dict[str, ast.expr] = {}
    for example in DocTestParser().get_examples(dedent(getdoc(function) or "")):
        tree = ast.parse(example.source)
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == function.__name__:
                return _given(function, node, known)
        for line in tree.body:
            if isinstance(line, ast.Assign) and isinstance(line.targets[0], ast.Name):
                known[line.targets[0].id] = line.value
    return {}


def _given(
    function: Callable[..., Any], call: ast.Call, known: Mapping[str, ast.expr]
) -> dict[str, ast.expr]:
    """The arguments of a call by name; a variable set in a line before is what it was set to."""
    given = dict(zip(signature(function).parameters, call.args, strict=False))
    given |= {one.arg: one.value for one in call.keywords if one.arg}
    return {
        name: known.get(node.id, node) if isinstance(node, ast.Name) else node
        for name, node in given.items()
    }
