"""Entry of quantities: a number in the unit people think in, or with any unit typed."""

import re
from dataclasses import dataclass
from math import isfinite
from typing import Any

from django import forms

from ullage.core.errors import UnreadableQuantity
from ullage.core.units import KINDS, convert, read_quantity, unit_of

__all__ = ["QuantityField", "Within", "entry_text"]


@dataclass(frozen=True, slots=True)
class Within:
    """What is allowed, in one unit, so that its limits read as round numbers there."""

    low: float
    high: float
    unit: str


def entry_text(value: float, kind: str, unit: str) -> str:
    """A stored value as a person would type it again, in the unit they think in.

    Six significant figures: reading it back changes a value by less than any gauge can show.
    """
    written = f"{convert(value, own_unit(kind), kind, unit):.6g}"
    if "e" in written:
        written = f"{float(written):f}".rstrip("0").rstrip(".")
    # Three decimals may be read as thousands, and are refused where that is in doubt.
    return f"{written}0" if re.fullmatch(r"-?\d{1,3}\.\d{3}", written) else written


def own_unit(kind: str) -> str:
    """Our own unit of a kind."""
    return next(iter(KINDS[kind]))


class QuantityField(forms.CharField):
    """A number with its unit; plain numbers are taken in the unit shown behind the field.

    ``kind`` is one of `ullage.core.units.KINDS`. The cleaned value is a float in our unit,
    or None where nothing was typed. What was typed stays in the form.
    """

    optional_word = "if known"

    def __init__(
        self,
        kind: str,
        *,
        unit: str | None = None,
        allowed: Within | None = None,
        **kwargs: Any,
    ) -> None:
        kwargs.setdefault("max_length", 40)
        super().__init__(**kwargs)
        self.kind, self.allowed = kind, allowed
        self.is_unit_fixed = unit is not None
        self.use_unit(unit or own_unit(kind))
        self.widget.attrs |= {"autocomplete": "off", "data-quantity": kind}
        self.widget.attrs.setdefault("inputmode", "decimal")

    def use_unit(self, unit: str) -> None:
        """Take and show plain numbers in this unit."""
        self.unit_key = unit
        self.unit = "" if unit == "1" else unit

    def prepare_value(self, value: Any) -> Any:
        """Show a stored number in our unit as it would be typed; leave typed words alone."""
        if isinstance(value, (int, float)) and not isinstance(value, bool):
            return entry_text(float(value), self.kind, self.unit_key)
        return value

    def has_changed(self, initial: Any, data: Any) -> bool:
        """A number that stands as it was shown is the stored number, to the last digit."""
        return str(data or "").strip() != str(self.prepare_value(initial) or "")

    def words(self, value: Any) -> str:
        """A stored number as it is read out: ``14 bar``; ``not set`` where there is none."""
        return "not set" if value is None else f"{self.prepare_value(value)} {self.unit}".strip()

    def clean(self, value: Any) -> Any:
        """The number in our unit, or None."""
        typed = super().clean(value)
        if not typed:
            return None
        try:
            found = read_quantity(typed, self.kind, unit=self.unit_key)
        except UnreadableQuantity as refusal:
            raise forms.ValidationError(str(refusal), code="unreadable") from refusal
        self._within(typed, found)
        return found

    def _within(self, typed: str, found: float) -> None:
        """Refuse what cannot be, with what was typed and what is allowed."""
        if self.allowed is None:
            return
        unit = self.allowed.unit
        value = convert(found, own_unit(self.kind), self.kind, unit)
        if not (isfinite(value) and self.allowed.low <= value <= self.allowed.high):
            low, high = (f"{limit:g}" for limit in (self.allowed.low, self.allowed.high))
            shown = "" if unit == "1" else f" {unit_of(self.kind, unit)}"
            raise forms.ValidationError(
                f"{self.label or 'This'} was typed as {typed}; "
                f"it must be between {low} and {high}{shown}.",
                code="outside",
            )
