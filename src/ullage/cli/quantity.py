"""Options that are a number with its unit, as people write it."""

from dataclasses import dataclass
from typing import Any

import click

from ullage.core.errors import UllageError
from ullage.core.units import KINDS, read_quantity, unit_of

__all__ = ["Quantity", "Written", "written_unit"]


@dataclass(frozen=True, slots=True)
class Written:
    """A number in our unit, with the unit in which it was written."""

    value: float
    unit: str


class Quantity(click.ParamType[Written]):
    """A number with its unit, such as ``1900 psi``; what has no unit is refused."""

    def __init__(self, kind: str) -> None:
        self.name, self._kind = kind, kind

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> Written:
        """The number in our unit."""
        if isinstance(value, Written):
            return value
        try:
            return Written(
                read_quantity(str(value), self._kind), written_unit(str(value), self._kind)
            )
        except UllageError as error:
            self.fail(str(error), param, ctx)


def written_unit(text: str, kind: str) -> str:
    """The unit in which somebody wrote a number; ours where none can be told.

    >>> written_unit("1,900 psig", "pressure")
    'psi'
    """
    for start in range(len(text)):
        rest = text[start:].strip()
        if rest and not (rest[0].isdigit() or rest[0] in ".,+-"):
            try:
                return unit_of(kind, rest)
            except UllageError:
                continue
    return next(iter(KINDS[kind]))
