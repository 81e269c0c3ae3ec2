"""What a person entered for a step, read once: numbers in our units, yes or no, words."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from math import isfinite
from typing import Any

from ullage.answers.answer import Verdict, WhereFrom
from ullage.answers.chain_links.judge import Finding, stop
from ullage.answers.chain_links.rows import where_from
from ullage.answers.checks.fields import ABSENT
from ullage.answers.checks.limits import chosen_limit
from ullage.answers.checks.things import CheckField, CheckStep, Limit
from ullage.answers.things import Place
from ullage.core.errors import UnreadableQuantity
from ullage.core.units import convert, read_quantity
from ullage.reference import sourced

__all__ = ["GRAVEST", "Asked", "asked", "printed_limit", "reading_error"]

#: From grave to harmless: an open question comes before a second look, since it may yet be a stop.
GRAVEST = (Verdict.STOP, Verdict.NOT_YET, Verdict.LOOK_AGAIN, Verdict.FINE)
_YES_NO = {"yes": True, "true": True, "on": True, "no": False, "false": False}


def reading_error(key: str, kind: str) -> float:
    """How far a reading may lie off either way, in our unit of its kind.

    >>> round(reading_error("flow_ml_min", "flow"), 3)
    0.05
    """
    return sourced("check_limits", f"reading.{key}").inside(kind)


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A step, what was entered for it, the limits of the site, and the place."""

    step: CheckStep
    values: Mapping[str, float | bool | str]
    limits: Mapping[str, Limit] = field(default_factory=dict)
    place: Place = field(default_factory=Place)

    def number(self, name: str) -> float | None:
        """A number that was entered; None where nobody did."""
        found = self.values.get(name)
        return None if found is None else float(found)

    def numbers(self, *names: str) -> tuple[float, ...] | None:
        """Several numbers; None unless all were entered."""
        found = [self.number(one) for one in names]
        return tuple(one for one in found if one is not None) if None not in found else None

    def yes(self, name: str) -> bool | None:
        """A yes or no; None where nobody said."""
        found = self.values.get(name)
        return None if found is None else bool(found)

    def limit(self, name: str) -> Limit | None:
        """The limit that counts here."""
        return chosen_limit(name, self.limits)

    def missing(self, *names: str) -> Iterator[Finding]:
        """A finding for each field that nobody answered; all of the required ones if none named."""
        for one in self.step.fields:
            wanted = one.name in names if names else one.required
            if wanted and one.name not in self.values:
                yield Finding(
                    verdict=Verdict.NOT_YET, says=f"Not entered: {_low(one)}.", asks=_as_asked(one)
                )

    def failed(self, says: str, *rests_on: WhereFrom) -> Finding:
        """A finding with which the step fails, and what the step says to do then."""
        return stop(
            says, self.step.todo or "Do not use this machine until it is seen to.", *rests_on
        )


def _low(one: CheckField) -> str:
    words = one.question.removesuffix("?")
    return words[:1].lower() + words[1:]


def _as_asked(one: CheckField) -> str:
    return one.question if one.question.endswith("?") else f"What was read for: {_low(one)}?"


def asked(
    step: CheckStep, given: Mapping[str, Any], limits: Mapping[str, Limit], place: Place
) -> Asked:
    """A step with what was entered for it; None and empty text count as not entered.

    Raises
    ------
    UnreadableQuantity : a field that the step does not have, or an entry that cannot be read.
    """
    fields = {one.name: one for one in step.fields}
    if step.may_be_absent:
        fields[ABSENT] = CheckField(name=ABSENT, question="Is it missing here?", kind="yes or no")
    unknown = [name for name in given if name not in fields]
    if unknown:
        raise UnreadableQuantity(
            f"{step.title} does not ask for {unknown[0]!r}; it asks for {', '.join(fields)}."
        )
    said = {name: value for name, value in given.items() if value is not None and value != ""}
    values = {name: _read(fields[name], value) for name, value in said.items()}
    return Asked(step=step, values=values, limits=limits, place=place)


def _read(one: CheckField, value: Any) -> float | bool | str:
    if one.kind == "number":
        return _number(one, value)
    if one.kind == "yes or no":
        return _yes_no(one, value)
    if value not in one.words:
        raise UnreadableQuantity(f"{one.question}: {value!r} is not one of {', '.join(one.words)}.")
    return str(value)


def _yes_no(one: CheckField, value: Any) -> bool:
    read = value if isinstance(value, bool) else _YES_NO.get(str(value).strip().lower())
    if read is None:
        raise UnreadableQuantity(f"{one.question} is answered by yes or no, not {value!r}.")
    return read


def _number(one: CheckField, value: Any) -> float:
    """A number in our unit, or text with its unit; what no reading can be is refused."""
    if isinstance(value, str):
        value = read_quantity(value, one.quantity, unit=one.shown_unit)
    if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
        raise UnreadableQuantity(f"{one.question}: {value!r} is not a number.")
    if value < one.low or (one.high is not None and value > one.high):
        shown = _shown(one, float(value))
        least, most = _shown(one, one.low), "" if one.high is None else _shown(one, one.high)
        raise UnreadableQuantity(
            f"{one.question}: {shown} cannot be; it lies between {least} and {most}. "
            "Look at the unit."
        )
    return float(value)


def _shown(one: CheckField, value: float) -> str:
    inside = {"time": "min"}.get(one.quantity, one.unit)
    return f"{convert(value, inside, one.quantity, one.shown_unit):.4g} {one.shown_unit}"


def printed_limit(key: str) -> WhereFrom:
    """A row of the limits of checks, as a finding cites it."""
    return where_from(sourced("check_limits", key))
