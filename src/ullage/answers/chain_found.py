"""A chain from what was kept of it: part by part, field by field, None for what nobody said."""

from collections.abc import Mapping
from dataclasses import fields
from types import UnionType
from typing import Any, get_args, get_type_hints

from ullage.answers.chain_things import Chain
from ullage.answers.formula_arguments import read_argument
from ullage.core.errors import PlanUnreadable

__all__ = ["chain_from_found"]


def chain_from_found(found: Mapping[str, Mapping[str, Any]], **known: Any) -> Chain:
    """The chain that answers by part and field describe, such as a form or a record kept.

    Parameters
    ----------
    found : part -> field -> answer; words may carry units, numbers are in ours.
    known : fields of the chain itself, such as gas, source, place, country, colour_scheme, or a
        whole part, such as contents.

    Returns
    -------
    The chain; a field that is missing, None or an empty text stays unanswered.

    Raises
    ------
    PlanUnreadable : a part or a field that a chain does not have.

    >>> chain = chain_from_found({"seal": {"count": 1, "new": "yes"}})
    >>> chain.seal.count, chain.seal.new, chain.seal.damaged
    (1, True, None)
    """
    parts = get_type_hints(Chain)
    unknown = [part for part in found if part not in parts]
    if unknown:
        raise PlanUnreadable(f"A chain has no part {unknown[0]!r}.")
    read = {part: _part(part, parts[part], answers) for part, answers in found.items()}
    return Chain(**{**read, **known})


def _part(name: str, kind: Any, answers: Mapping[str, Any]) -> Any:
    known = {one.name for one in fields(kind)}
    unknown = [one for one in answers if one not in known]
    if unknown:
        listed = ", ".join(sorted(known))
        raise PlanUnreadable(f"{name} has no {unknown[0]!r}; it has {listed}.")
    hints = get_type_hints(kind)
    given = {one: said for one, said in answers.items() if said is not None and said != ""}
    return kind(**{one: _value(one, hints[one], said) for one, said in given.items()})


def _value(name: str, annotation: Any, said: Any) -> Any:
    members = get_args(annotation) if isinstance(annotation, UnionType) else ()
    kind = members[0] if members else annotation
    if get_args(kind) and isinstance(said, list | tuple):
        member = get_args(kind)[0]
        return tuple(_part(name, member, one) if isinstance(one, Mapping) else one for one in said)
    if isinstance(said, str):
        return read_argument(name, annotation, said)
    return float(said) if kind is float and not isinstance(said, bool) else said
