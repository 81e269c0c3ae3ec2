"""Every public formula of the core, listed and run by name with units as people write them."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from functools import cache
from importlib import import_module
from inspect import Parameter as Given
from inspect import signature
from typing import Any, get_type_hints

from ullage.answers.answer import Answer, Step, WhereFrom
from ullage.answers.endings import ending_of
from ullage.answers.formula_arguments import (
    choices,
    example_words,
    meaning_of,
    read_argument,
    said,
)
from ullage.answers.formula_docs import SourceLine, call_in_doctest, described
from ullage.answers.formula_list import FORMULAS, QUESTIONS
from ullage.answers.words import figure
from ullage.core.errors import UnknownReference, UnreadableQuantity
from ullage.reference import HowKnown, sources

__all__ = ["Formula", "FormulaParameter", "formula", "formula_result", "formulas"]

#: What needs no text to be read: arithmetic and definitions.
_OF_ITSELF = frozenset({"arithmetic", "definitions"})

AS_SURE = "A formula has no band of its own: it is as sure as what is put into it."
ALONE = (
    "A formula knows neither the cylinder nor the room nor the animal; "
    "`ullage lasts` and `ullage day` do."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class FormulaParameter:
    """What a formula takes: name, unit, meaning, words it accepts, default."""

    name: str
    unit: str
    meaning: str
    words: tuple[str, ...] = ()
    default: str = ""
    annotation: Any = field(default=None, repr=False, compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Formula:
    """One public function of the core that returns a number, or a question that has an answer."""

    name: str
    group: str
    module: str
    summary: str
    parameters: tuple[FormulaParameter, ...]
    unit: str
    returns: str
    sources: tuple[SourceLine, ...]
    example: str
    answers: bool = False
    function: Callable[..., Any] = field(repr=False, compare=False)


@cache
def formulas() -> tuple[Formula, ...]:
    """Every formula on offer, in the order of the list, and then the questions."""
    plain = (
        _formula(getattr(import_module(module), name), group, module)
        for group, modules in FORMULAS.items()
        for module, names in modules.items()
        for name in names
    )
    asked = (
        replace(_formula(getattr(import_module(module), name), group, module), unit=unit)
        for group, modules in QUESTIONS.items()
        for module, names in modules.items()
        for name, unit in names.items()
    )
    return (*plain, *asked)


def formula(name: str) -> Formula:
    """One formula by name; an unknown name is answered with its nearest neighbours.

    >>> formula("kelvin").unit
    'K'
    """
    known = {one.name: one for one in formulas()}
    if name not in known:
        near = ", ".join(get_close_matches(name, known, 3, 0.5))
        hint = f" Similar: {near}." if near else " `ullage compute` lists them."
        raise UnknownReference(f"No formula {name!r}.{hint}")
    return known[name]


def _formula(function: Callable[..., Any], group: str, module: str) -> Formula:
    words = described(function)
    meanings = {one.name: one for one in words.parameters}
    hints = get_type_hints(function)
    parameters = tuple(
        FormulaParameter(
            name=name,
            unit=meanings[name].unit if name in meanings else "",
            meaning=meaning_of(
                name, hints[name], meanings[name].meaning if name in meanings else ""
            ),
            words=choices(hints[name]),
            default="" if given.default is Given.empty else said(given.default),
            annotation=hints[name],
        )
        for name, given in signature(function).parameters.items()
    )
    return Formula(
        name=function.__name__,
        group=group,
        module=module,
        summary=words.summary,
        parameters=parameters,
        unit=words.unit,
        returns=words.returns,
        sources=words.sources,
        example=_example(function, parameters),
        answers=hints["return"] is Answer,
        function=function,
    )


def _example(function: Callable[..., Any], parameters: tuple[FormulaParameter, ...]) -> str:
    """The call of the doctest as a command; empty where its arguments are no literals."""
    typed = {name: example_words(node) for name, node in call_in_doctest(function).items()}
    if not typed and all(one.default for one in parameters):
        typed = {one.name: one.default for one in parameters[:1]}
    units = {one.name: one.unit for one in parameters}
    parts = [
        _written(name, words, units[name])
        for name, words in typed.items()
        if words is not None and name in units
    ]
    whole = bool(parts) and len(parts) == len(typed)
    return f"ullage compute {function.__name__} {' '.join(parts)}" if whole else ""


def _written(name: str, words: str, unit: str) -> str:
    """One argument as it is typed in a terminal, with its unit where it has one."""
    with_unit = ending_of(name).kind and unit not in {"", "1"} and ";" not in words
    written = f"{words} {unit}" if with_unit else words
    return f"{name}={written}" if re.fullmatch(r"[\w.-]+", written) else f'{name}="{written}"'


def formula_result(name: str, given: Mapping[str, str]) -> Answer:
    """Run one formula from what somebody wrote for its parameters.

    Raises
    ------
    UnknownReference : no formula of that name.
    UnreadableQuantity : a parameter unknown, missing, or not readable with its unit.

    >>> formula_result("kelvin", {"celsius_degrees": "70 °F"}).value
    294.26111111111106
    """
    asked = formula(name)
    arguments = _arguments(asked, given)
    result = asked.function(**arguments)
    if isinstance(result, Answer):
        return result
    value, low, high = (None, *result) if isinstance(result, tuple) else (result, None, None)
    unit = asked.unit
    answer = f"{figure(low)} to {figure(high)}" if value is None else figure(value)
    return Answer(
        question=f"What is {asked.name}?",
        value=None if value is None else float(value),
        low=low,
        high=high,
        unit=unit,
        sentence=f"{asked.summary.removesuffix('.')}: {answer}{_beside(unit)}.",
        reasons=(_how(asked),),
        steps=tuple(_step(one, arguments) for one in asked.parameters if one.name in arguments),
        where_from=tuple(_where_from(one) for one in asked.sources),
        assumptions=(AS_SURE, *_defaults(asked, arguments)),
        cautions=(ALONE,),
    )


def _arguments(asked: Formula, given: Mapping[str, str]) -> dict[str, Any]:
    known = {one.name: one for one in asked.parameters}
    unknown = [name for name in given if name not in known]
    if unknown:
        raise UnreadableQuantity(
            f"{asked.name} takes no {unknown[0]!r}; it takes {', '.join(known) or 'nothing'}."
        )
    missing = [one for one in asked.parameters if not one.default and one.name not in given]
    if missing:
        needed = ", ".join(_needed(one) for one in missing)
        raise UnreadableQuantity(f"{asked.name} also needs {needed}.")
    return {name: read_argument(name, known[name].annotation, text) for name, text in given.items()}


def _needed(one: FormulaParameter) -> str:
    if one.words:
        return f"{one.name} ({' or '.join(one.words)})"
    return f"{one.name} [{one.unit}]" if one.unit else one.name


def _step(one: FormulaParameter, arguments: Mapping[str, Any]) -> Step:
    result = f"{said(arguments[one.name])}{_beside(one.unit)}"
    return Step(what=one.name, result=result, note=one.meaning)


def _beside(unit: str) -> str:
    return "" if unit in {"", "1"} else f" {unit}"


def _defaults(asked: Formula, arguments: Mapping[str, Any]) -> tuple[str, ...]:
    left = [one for one in asked.parameters if one.name not in arguments]
    said_of = ", ".join(f"{one.name} = {one.default} {one.unit}".strip() for one in left)
    return (f"Left at its default: {said_of}.",) if left else ()


def _how(asked: Formula) -> str:
    unit = "a plain number" if asked.unit == "1" else f"in {asked.unit}"
    words = f", {asked.returns.rstrip('.')}" if asked.returns else ""
    return f"Computed by {asked.name}; the result is {unit}{words}."


def _where_from(line: SourceLine) -> WhereFrom:
    """A formula from a text that was read is computed; from one that was not, memory."""
    source = sources()[line.key]
    computed = source.seen_on or line.key in _OF_ITSELF
    how = HowKnown.COMPUTED if computed else HowKnown.MEMORY
    text = f"{line.what[:1].upper()}{line.what[1:]}: {source.cite.removesuffix('.')}."
    return WhereFrom(source=line.key, how_known=how.value, text=text)
