"""Everything this package raises on purpose.

UllageError
    InvalidQuantity    a number that physics or the device does not allow
    UnreadableQuantity words that are not a number with a unit we know
    UnknownReference   a key that the reference data does not hold
    AmbiguousSize      a letter that means two cylinders
    GaugeCannotTell    a liquefied gas planned by its gauge
    PlanUnreadable     a day or case file that cannot be taken as written
    SolveFailed        a search that did not reach its end
    RuleBroken         a use case refused, with the remedy in the message
"""

__all__ = [
    "AmbiguousSize",
    "GaugeCannotTell",
    "InvalidQuantity",
    "PlanUnreadable",
    "RuleBroken",
    "SolveFailed",
    "UllageError",
    "UnknownReference",
    "UnreadableQuantity",
]


class UllageError(Exception):
    """Base of all of them; its text is fit to show to a user."""


class InvalidQuantity(UllageError, ValueError):
    """A number that physics or the device does not allow."""

    def __init__(self, name: str, value: float, allowed: str) -> None:
        super().__init__(name, value, allowed)  # kept in args: it survives pickling
        self.name, self.value, self.allowed = name, value, allowed

    def __str__(self) -> str:
        return f"{self.name} is {self.value:g}; it must be {self.allowed}."


class UnreadableQuantity(UllageError, ValueError):
    """Words that are not a number with a unit we know."""


class UnknownReference(UllageError, KeyError):
    """A key that the reference data does not hold."""

    def __str__(self) -> str:
        return str(self.args[0])


class AmbiguousSize(UllageError, ValueError):
    """A letter that means two cylinders; the text says which question settles it."""


class GaugeCannotTell(UllageError, ValueError):
    """A liquefied gas planned by its gauge while liquid may remain."""


class PlanUnreadable(UllageError, ValueError):
    """A day or case file that cannot be taken as written; line and key are named."""


class SolveFailed(UllageError, ArithmeticError):
    """A search that did not reach its end."""


class RuleBroken(UllageError):
    """A use case refused, with the remedy in the message."""
