"""What a cylinder's history came to, in one piece, and the small words its answers share."""

from dataclasses import dataclass
from functools import cached_property

from ullage.answers.answer import WhereFrom
from ullage.answers.believed import Known, leak_rule
from ullage.answers.held import known_as, shown_l
from ullage.answers.things import Cylinder, Place, Reading
from ullage.answers.words import figure, minutes_text
from ullage.core.gas import contents_l
from ullage.core.supply.estimate import (
    Estimate,
    ExpectedReading,
    estimate,
    expected_readings,
)
from ullage.core.units import convert
from ullage.reference import sourced

__all__ = [
    "NIGHT_MIN",
    "Told",
    "assumed_rows",
    "chance_text",
    "flow_text",
    "gauge_span",
    "gauge_text",
    "leak_ml_min",
    "pause_words",
]

#: A pause without flow of about this length is called a night.
NIGHT_MIN = (480.0, 1200.0)
_DECIMALS = {"psi": -1, "kPa": -1, "MPa": 1}


@dataclass(frozen=True, kw_only=True)
class Told:
    """The question about one history, with what was found before and after the last reading."""

    cylinder: Cylinder
    readings: tuple[Reading, ...]
    known: Known
    place: Place

    @cached_property
    def found(self) -> Estimate:
        """From all readings."""
        return estimate(self.known.history, self.known.beliefs, leak_rule())

    @cached_property
    def before(self) -> Estimate | None:
        """The same before the last reading was seen; None where it is the first."""
        history = self.known.history
        if len(history.sightings) < 2:
            return None
        return estimate(history.without_last(), self.known.beliefs, leak_rule())

    @property
    def last(self) -> Reading:
        """The newest reading."""
        return self.readings[-1]

    @property
    def read_kpa(self) -> float | None:
        """[kPa] the newest reading of a gauge that tells; None for a scale or a liquefied gas."""
        return None if self.cylinder.gas.liquefied else self.last.gauge_kpa

    @cached_property
    def expected_last(self) -> ExpectedReading | None:
        """What the gauge was expected to show at the last reading, before it was seen."""
        if self.before is None or self.read_kpa is None:
            return None
        points = self.expected_before((self.last.at_min,))
        return points[0] if points else None

    def expected_before(self, at_min: tuple[float, ...]) -> tuple[ExpectedReading, ...]:
        """What was expected before the last reading: without a leak, unless one was known."""
        if self.before is None:
            return ()
        return expected_readings(self.before, at_min, nothing_wrong=not self.before.reported)

    @property
    def below_sd(self) -> float:
        """[1] how far the last reading lies below what was expected, in standard deviations."""
        expected, read = self.expected_last, self.read_kpa
        if expected is None or read is None:
            return 0.0
        return (expected.middle_kpa - read) / max(expected.sd_kpa, 1e-9)

    @property
    def gap_min(self) -> float:
        """[min] between the last two readings."""
        seen = self.known.history.sightings
        return seen[-1].at_min - seen[-2].at_min if len(seen) > 1 else 0.0

    @property
    def flow_in_gap_l(self) -> float:
        """[L] meant to flow between the last two readings."""
        seen = self.known.history.sightings
        if len(seen) < 2:
            return 0.0
        first, last = seen[-2].at_min, seen[-1].at_min
        return sum(
            one.flow_l_min * max(0.0, min(one.end_min, last) - max(one.start_min, first))
            for one in self.known.history.draws
        )

    def held_l(self, gauge_kpa: float) -> float:
        """[L] as the place counts them, at a gauge pressure and the last temperature."""
        inside = contents_l(
            self.cylinder.gas,
            self.cylinder.water_capacity_l,
            gauge_kpa,
            self.known.history.sightings[-1].temperature_k,
            self.place.barometric_kpa,
        )
        return shown_l(inside, self.place)

    @cached_property
    def missing_l(self) -> tuple[float, float, float]:
        """[L] low, middle, high: how much less there is than was expected; 0 or more."""
        expected, read = self.expected_last, self.read_kpa
        if expected is None or read is None:
            return (0.0, 0.0, 0.0)
        here = self.held_l(read)
        low, middle, high = (
            max(0.0, self.held_l(kpa) - here)
            for kpa in (expected.low_kpa, expected.middle_kpa, expected.high_kpa)
        )
        return low, middle, high


def gauge_text(gauge_kpa: float, place: Place) -> str:
    """A gauge pressure as finely as a needle is read.

    >>> gauge_text(8023.0, Place()), gauge_text(8023.0, Place(pressure_unit="psi"))
    ('80 bar', '1\u202f160 psi')
    """
    return f"{_rounded(gauge_kpa, place)} {place.pressure_unit}"


def _rounded(gauge_kpa: float, place: Place) -> str:
    value = convert(gauge_kpa, "kPa", "pressure", place.pressure_unit)
    return figure(round(value, _DECIMALS.get(place.pressure_unit, 0)) + 0.0)


def gauge_span(expected: ExpectedReading, place: Place) -> str:
    """An expected reading with its range.

    >>> one = ExpectedReading(at_min=0, low_kpa=7510, middle_kpa=8020, high_kpa=8490, sd_kpa=300)
    >>> gauge_span(one, Place())
    '80 bar (75 to 85)'
    """
    low, high = (_rounded(kpa, place) for kpa in (expected.low_kpa, expected.high_kpa))
    return f"{gauge_text(expected.middle_kpa, place)} ({low} to {high})"


def leak_ml_min(leak_l_min: float, place: Place) -> float:
    """[mL/min] a leak as the place counts litres."""
    return 1000.0 * shown_l(leak_l_min, place)


def flow_text(ml_min: float) -> str:
    """A leak in words: 'about' means to the nearest ten, or five below fifty.

    >>> flow_text(53.2), flow_text(12.0), flow_text(1480.0)
    ('50 mL/min', '10 mL/min', '1.5 L/min')
    """
    if ml_min >= 1000.0:
        return f"{ml_min / 1000.0:.2g} L/min"
    step = 5.0 if ml_min < 50.0 else 10.0
    return f"{max(step, step * round(ml_min / step)):.0f} mL/min"


def chance_text(chance: float) -> str:
    """A chance in words that make no more of it than it is.

    >>> chance_text(0.97), chance_text(0.9999), chance_text(0.004)
    ('97 of 100', 'more than 99 of 100', 'less than 1 of 100')
    """
    if chance > 0.99:
        return "more than 99 of 100"
    if chance < 0.01:
        return "less than 1 of 100"
    return f"{100 * chance:.0f} of 100"


def pause_words(minutes: float) -> str:
    """A pause in words: a night, or how long.

    >>> pause_words(840.0), pause_words(3000.0), pause_words(95.0)
    ('overnight', 'in 2 days', 'in 1 h 35 min')
    """
    if NIGHT_MIN[0] <= minutes <= NIGHT_MIN[1]:
        return "overnight"
    return f"in {minutes_text(minutes)}"


def assumed_rows(*keys: tuple[str, str]) -> tuple[WhereFrom, ...]:
    """Lines of where-from for shares of the estimator, in percent in the braces of their words."""
    rows = [(sourced("estimator", key), text) for key, text in keys]
    return tuple(known_as(row, text.format(100.0 * row.value)) for row, text in rows)
