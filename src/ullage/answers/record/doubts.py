"""What is asked about an entry before it is taken; odd readings are never refused."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import timedelta

from ullage.answers.animals import alert_limits, species_offered
from ullage.answers.answer import Answer, Verdict, WhereFrom
from ullage.answers.lines import lines_of
from ullage.answers.record.things import Amendment, AnyLine, EntryKind, EntryText, SignatureText
from ullage.answers.record.words import MEASURES, in_unit, measure, read_reading, variable
from ullage.answers.words import figure
from ullage.core.errors import UllageError, UnreadableQuantity
from ullage.reference import Sourced, sourced
from ullage.reference.record import VariableRow, variable_rows

__all__ = ["VARIABLE_KINDS", "entry_faults", "is_late", "reading_doubted"]

#: Entries of these kinds name a variable; the others name a drug, an event, or nothing.
VARIABLE_KINDS = frozenset(
    {
        EntryKind.VITAL,
        EntryKind.SETTING,
        EntryKind.GAS,
        EntryKind.READING,
        EntryKind.WARMING,
        EntryKind.DEPTH,
    }
)

#: Name of the limits in the data -> the unit that the facts print them in.
_LIMITS = {
    "heart_rate": "/min",
    "breaths": "/min",
    "mean_pressure": "mm[Hg]",
    "temperature": "Cel",
}
#: A clock may run ahead by so much before an entry seems to come from the future.
_AHEAD = timedelta(minutes=2)
_TYPED = WhereFrom(source="entered", how_known="seen", text="The reading as it was typed.")


def reading_doubted(key: str, number: float, unit: str, species: str) -> Answer:
    """Whether a reading is asked about before it is taken; it is never refused.

    Parameters
    ----------
    key : of the variable.
    number : [1] in the unit beside it.
    unit : of the whitelist of the variable.
    species : of the animal.

    Returns
    -------
    The reading, with the limits proposed for the species as its band where there are any and the
    reading lies between them. Look again: it lies outside, or no such value can be; is it typed as
    meant? Fine: nothing is asked.

    Raises
    ------
    UnknownReference : no such variable.
    UnreadableQuantity : a unit that the variable does not have, or no finite number.

    >>> reading_doubted("heart_rate", 20.0, "/min", "cat").settles
    'Is 20 /min what was meant? Proposed for a cat: 100 to 200 /min.'
    """
    one = variable(key)
    if unit not in one.ucum or not abs(number) < _ENDLESS:
        raise UnreadableQuantity(f"{one.name}: {number:g} {unit} is no reading of it.")
    limits = _limits(one, species)
    said = f"{figure(number)} {unit}"
    doubt = _impossible(one, number, unit) or _outside(number, unit, limits)
    answer = Answer(
        question=f"Is this reading of {one.name.lower()} plausible?",
        value=number,
        unit=unit,
        verdict=Verdict.FINE,
        sentence=f"{one.name} {said}.",
        reasons=(
            "What seems odd is asked about and never refused: it may be the animal.",
            *(() if limits else (f"No limits are known for it in a {species.strip().lower()}.",)),
        ),
        where_from=(_TYPED, *(lines_of(*limits.rows) if limits else ())),
        cautions=(_PROPOSED,) if limits else (),
    )
    if not doubt:
        return answer
    return replace(
        answer,
        verdict=Verdict.LOOK_AGAIN,
        sentence=f"{one.name} {said}: asked about.",
        settles=f"Is {said} what was meant? {doubt}",
        todo="Look at the animal and the monitor again; what was seen is taken.",
    )


_PROPOSED = "The limits are proposals from memory; drugs move what is normal."


@dataclass(frozen=True, slots=True, kw_only=True)
class _Limits:
    """What is proposed for a species: its low and high end, either missing, in a unit."""

    of: str
    unit: str
    low: Sourced | None
    high: Sourced | None

    @property
    def rows(self) -> tuple[Sourced, ...]:
        """The ends that there are."""
        return tuple(row for row in (self.low, self.high) if row)

    @property
    def words(self) -> str:
        """The limits as they are printed."""
        ends = " to ".join(figure(row.value) for row in self.rows)
        return f"{ends} {self.unit}{'' if self.high else ' at least'}"

    def holds(self, value: float) -> bool:
        """Whether a value in the unit of the limits lies between them."""
        return (self.low is None or value >= self.low.value) and (
            self.high is None or value <= self.high.value
        )


#: Beyond this nothing is a reading.
_ENDLESS = 1e12


def _limits(one: VariableRow, species: str) -> _Limits | None:
    """What is proposed for a species; None where nothing is."""
    known = species.strip().lower() in species_offered()
    found = alert_limits(species) if one.limits and known else None
    if found is None:
        return None
    alerts, of = found
    pairs = {
        "heart_rate": (alerts.heart_rate_low, alerts.heart_rate_high),
        "breaths": (alerts.breaths_low, alerts.breaths_high),
        "mean_pressure": (alerts.mean_pressure_low, None),
        "temperature": (alerts.temperature_critical, alerts.temperature_high),
    }
    low, high = pairs[one.limits]
    return _Limits(of=of, unit=_LIMITS[one.limits], low=low, high=high)


def _impossible(one: VariableRow, number: float, unit: str) -> str:
    """What no reading can be: a share beyond the whole, less than nothing where nothing is less."""
    if one.share and not 0.0 <= number <= 100.0:
        return "A share lies between 0 and 100 %."
    if number < 0.0 and unit not in {"Cel", "[degF]", "cm[H2O]", "mbar"}:
        return "It lies below nothing."
    return ""


def _outside(number: float, unit: str, limits: _Limits | None) -> str:
    value = in_unit(number, unit, limits.unit) if limits else None
    if limits is None or value is None or limits.holds(value):
        return ""
    return f"Proposed for a {limits.of}: {limits.words}."


def is_late(line: AnyLine, allowed_min: float | None = None) -> bool:
    """Whether a line was written so long after it was seen that it is shown as late.

    Parameters
    ----------
    line : of a record.
    allowed_min : [min] set by the site; None takes what is proposed.
    """
    most = sourced("record", "late_after_min").value if allowed_min is None else allowed_min
    return line.times.late_by_min > most


def entry_faults(line: AnyLine) -> tuple[str, ...]:
    """What is wrong with a line as a line, each in a sentence; empty when it can be taken.

    Parameters
    ----------
    line : as it came from a form or a device. What cannot be taken is kept word for word
        elsewhere; nothing that a person entered is dropped.
    """
    return tuple(_faults(line))


def _faults(line: AnyLine) -> Iterator[str]:
    for name in ("id", "record", "author"):
        if not getattr(line, name).strip():
            yield f"The line has no {name}."
    if line.order < 1:
        yield "The order number of a line is 1 or more."
    if line.times.observed - line.times.received > _AHEAD:
        yield "It was seen after it was received: look at the clock of the device."
    if isinstance(line, EntryText):
        yield from _entry_faults(line)
    elif isinstance(line, Amendment):
        yield from _amendment_faults(line)
    elif isinstance(line, SignatureText) and not line.printed_name.strip():
        yield "A signature needs the name in print."


def _amendment_faults(line: Amendment) -> Iterator[str]:
    if not line.reason.strip():
        yield "A correction needs its reason."
    if not line.of.strip() or line.of == line.id:
        yield "A correction names the entry that it corrects."
    if not (line.typed or line.details or line.observed or line.withdrawn):
        yield "A correction says what is different."


def _entry_faults(line: EntryText) -> Iterator[str]:
    if line.kind in VARIABLE_KINDS:
        yield from _variable_faults(line)
    elif line.kind in {EntryKind.DRUG, EntryKind.FLUID}:
        yield from _given_faults(line)
    elif not (line.typed.strip() or line.what.strip()):
        yield "The entry holds no word."


def _variable_faults(line: EntryText) -> Iterator[str]:
    known = variable_rows().get(line.what)
    if known is None:
        yield f"{line.what[:40]!r} is not observed here."
        return
    if known.kind != line.kind.value:
        yield f"{known.name} is no {line.kind.words}."
    try:
        read = read_reading(line.what, line.typed)
    except UllageError as why:
        yield str(why)
        return
    if (read.number, read.unit) != (line.number, line.unit):
        yield f"{known.name}: what was typed does not say {line.number[:20]} {line.unit[:20]}."


def _given_faults(line: EntryText) -> Iterator[str]:
    if not line.what.strip():
        yield f"The {line.kind.words} has no name."
    for name, allowed in MEASURES.items():
        if name in line.details:
            try:
                measure(line.details[name], allowed, name.capitalize())
            except UllageError as why:
                yield str(why)
    if not any(line.details.get(name, "").strip() for name in ("dose", "volume", "rate")):
        yield f"{line.what[:40]}: how much was given? Dose, volume or rate."
