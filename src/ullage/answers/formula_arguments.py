"""The arguments of a formula as people write them: ``gas=oxygen gauge_kpa="1900 psi"``."""

import ast
import operator
import re
import types
from collections.abc import Sequence
from dataclasses import fields, is_dataclass
from difflib import get_close_matches
from enum import StrEnum
from typing import Any, TypeAliasType, Union, get_args, get_origin, get_type_hints

from ullage.answers.animal_things import Animal
from ullage.answers.endings import read_named
from ullage.core.errors import UnreadableQuantity
from ullage.core.gas import CONDITIONS, ReferenceCondition

__all__ = ["choices", "example_words", "meaning_of", "read_argument", "said"]

_ARITHMETIC: dict[type[ast.operator], Any] = {ast.Mult: operator.mul, ast.Div: operator.truediv}
_YES_NO = {"yes": True, "true": True, "no": False, "false": False}


def choices(annotation: Any) -> tuple[str, ...]:
    """The words that a parameter accepts; empty where it takes a number or free text.

    >>> choices(ReferenceCondition), choices(bool), choices(float)
    (('70F', '15C', '0C'), ('yes', 'no'), ())
    """
    kind, _ = _bare(annotation)
    if kind is ReferenceCondition:
        return tuple(CONDITIONS)
    if kind is bool:
        return ("yes", "no")
    if isinstance(kind, type) and issubclass(kind, StrEnum):
        return tuple(one.value for one in kind)
    return ()


def read_argument(name: str, annotation: Any, text: str) -> Any:
    """The value that somebody wrote for a parameter.

    Raises
    ------
    UnreadableQuantity : no number, a unit the name does not allow, or an unknown word.

    >>> read_argument("condition", ReferenceCondition, "15C").name
    '15 °C, 1 atm'
    >>> read_argument("ends_min", tuple[float, ...], "30; 1 h")
    (30.0, 60.0)
    """
    kind, may_be_none = _bare(annotation)
    written = text.strip()
    if may_be_none and written.lower() == "none":
        return None
    if get_origin(kind) in {tuple, Sequence, list}:
        member = get_args(kind)[0]
        parts = [one for one in written.split(";") if one.strip()]
        return tuple(read_argument(name, member, one) for one in parts)
    if _is_array(kind):
        return _read_array(name, written)
    if kind is Animal:
        return _read_animal(name, written)
    if is_dataclass(kind) and kind is not ReferenceCondition:
        return _read_thing(name, kind, written)
    return _read_one(name, kind, written)


def _is_array(kind: Any) -> bool:
    """Arrays are named `Floats` throughout the core; the name alone says it, numpy unloaded."""
    return isinstance(kind, TypeAliasType) and kind.__name__ == "Floats"


def _read_array(name: str, written: str) -> Any:
    import numpy as np

    return np.array([read_named(name, one) for one in written.split(";") if one.strip()])


def _read_one(name: str, kind: Any, written: str) -> Any:
    if kind is float:
        return read_named(name, written)
    if kind is int:
        return _whole(name, written)
    words = choices(kind)
    if not words:
        return written
    word = _word(name, written, words)
    if kind is ReferenceCondition:
        return CONDITIONS[word]
    return _YES_NO[word] if kind is bool else kind(word)


def _read_thing(name: str, kind: Any, written: str) -> Any:
    """A thing written as its fields, ``volume_m3: 30, changes_per_h: 6``."""
    hints = get_type_hints(kind)
    pairs = [one.partition(":") for one in written.split(",") if one.strip()]
    given = {key.strip(): value for key, _, value in pairs}
    known = [one.name for one in fields(kind) if one.init]
    unknown = [key for key in given if key not in known]
    if unknown or not given:
        raise UnreadableQuantity(
            f"{name} is written as field: value, with commas between; "
            f"its fields are {', '.join(known)}."
        )
    read = {key: read_argument(key, hints[key], value) for key, value in given.items()}
    try:
        return kind(**read)
    except TypeError:
        missing = ", ".join(one for one in known if one not in given)
        raise UnreadableQuantity(f"{name} also needs some of {missing}.") from None


def _read_animal(name: str, written: str) -> Animal:
    """An animal written as ``cat, 4 kg``, with values of the site after it, ``tidal_l: 50 mL``."""
    from ullage.answers.animals import animal

    species, *others = (one.strip() for one in written.split(","))
    if not species or not others or ":" in others[0]:
        raise UnreadableQuantity(f"{name} is written as species and weight, such as cat, 4 kg.")
    weight = read_named("weight_kg", others[0])
    pairs = (one.partition(":") for one in others[1:] if one)
    values = {key.strip(): read_named(key.strip(), value) for key, _, value in pairs}
    return animal(species, weight, values)


#: What a parameter means where its function leaves it to its name.
_MEANS = {
    "species": "as people write it, such as cat.",
    "agent": "its name, such as isoflurane.",
    "depth": "multiple of MAC.",
    "name": "of the value, such as tidal_l.",
    "minutes": "minutes from the start.",
    "end_point": "what the animal does at it.",
    "temperature_k": "of the liquid.",
}


def meaning_of(name: str, annotation: Any, told: str = "") -> str:
    """What a parameter takes: what its function tells, and how a thing is written.

    >>> meaning_of("animal", Animal, "with its weight.")
    'with its weight. Written as cat, 4 kg; values of the site may follow, tidal_l: 50 mL.'
    >>> meaning_of("species", str)
    'as people write it, such as cat.'
    """
    kind, _ = _bare(annotation)
    if kind is Animal:
        written = "Written as cat, 4 kg; values of the site may follow, tidal_l: 50 mL."
    elif is_dataclass(kind) and kind is not ReferenceCondition:
        known = ", ".join(one.name for one in fields(kind) if one.init)
        written = f"Written as field: value, with commas between; fields: {known}."
    else:
        return told or _MEANS.get(name, "")
    return f"{told} {written}".strip()


def _whole(name: str, written: str) -> int:
    value = read_named(name, written)
    if value != int(value):
        raise UnreadableQuantity(f"{name} is {value:g}; it must be a whole number.")
    return int(value)


def _word(name: str, written: str, words: Sequence[str]) -> str:
    folded = {re.sub(r"[ _-]", "", one.lower()): one for one in words}
    wanted = re.sub(r"[ _°-]", "", written.lower())
    wanted = {"true": "yes", "false": "no"}.get(wanted, wanted)
    if wanted in folded:
        return folded[wanted]
    near = get_close_matches(wanted, folded, 1)
    hint = f" Did you mean {folded[near[0]]}?" if near else ""
    raise UnreadableQuantity(f"{name} is {written!r}; it must be one of {', '.join(words)}.{hint}")


def _bare(annotation: Any) -> tuple[Any, bool]:
    """An annotation without its None, and whether it had one."""
    if get_origin(annotation) in {Union, types.UnionType}:
        members = [one for one in get_args(annotation) if one is not type(None)]
        return members[0], len(members) < len(get_args(annotation))
    return annotation, False


def said(value: Any) -> str:
    """A value in the words in which it would be typed.

    >>> said(CONDITIONS["70F"]), said(True), said(101.325), said(None)
    ('70F', 'yes', '101.325', 'none')
    """
    if isinstance(value, ReferenceCondition):
        return next(word for word, one in CONDITIONS.items() if one == value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if value is None:
        return "none"
    if isinstance(value, float):
        return f"{value:.10g}"
    if isinstance(value, tuple):
        return "; ".join(said(one) for one in value)
    if is_dataclass(value) and not isinstance(value, type):
        pairs = ((one.name, getattr(value, one.name)) for one in fields(value))
        return ", ".join(f"{name}: {said(one)}" for name, one in pairs)
    return str(value)


def example_words(node: ast.expr) -> str | None:
    """A literal argument of a doctest in the words in which it would be typed.

    >>> example_words(ast.parse("Gas.OXYGEN", mode="eval").body)
    'oxygen'
    """
    if isinstance(node, ast.Attribute):
        return node.attr.lower().replace("_", " ")
    if isinstance(node, ast.Name):
        return {"F70": "70F", "C15": "15C", "C0": "0C"}.get(node.id)
    if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "animal":
        species, weight = (_worth(one) for one in node.args)
        return f"{species}, {weight:g} kg"
    if isinstance(node, ast.Call):
        pairs = [(one.arg, example_words(one.value)) for one in node.keywords]
        whole = bool(pairs) and not node.args and all(given for _, given in pairs)
        return ", ".join(f"{key}: {given}" for key, given in pairs) if whole else None
    value = _worth(node)
    return None if value is None else said(value)


def _worth(node: ast.expr) -> Any:
    """What a literal, or a product or quotient of numbers, comes to; None for anything else."""
    if isinstance(node, ast.BinOp) and type(node.op) in _ARITHMETIC:
        sides = (_worth(node.left), _worth(node.right))
        known = all(isinstance(side, int | float) for side in sides)
        return _ARITHMETIC[type(node.op)](*sides) if known else None
    try:
        return ast.literal_eval(node)
    except ValueError:
        return None
