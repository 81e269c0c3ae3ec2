"""What all answers about one source of a day share: its draws, its words, where they come from."""

from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate
from math import floor, isfinite
from typing import Any

from ullage.answers.answer import Answer, WhereFrom
from ullage.answers.asked import flow_error
from ullage.answers.day_draws import CaseEnd, DayDraws, SourceDraws
from ullage.answers.held import (
    gauge_error_kpa,
    known_as,
    pressure_text,
    shown_l,
    temperature_text,
)
from ullage.answers.lasts import ERRORS, FLOWMETER, STEADY, capacity_from
from ullage.answers.plan import Drive, Held, SourceKind
from ullage.answers.words import clock_text, figure, span
from ullage.core.supply import Band, band_of, chance_before
from ullage.reference import sourced

__all__ = ["COVERS", "CaseRisk", "Telling", "floor_min"]

COVERS = (
    "9 of 10 days, from the errors of gauge, temperature, water capacity, flowmeters, flushes,"
    " drive gas and the lengths of cases"
)


def floor_min(minute: float) -> float:
    """The whole minute before: an early end is never shown late."""
    return float(floor(minute)) if isfinite(minute) else minute


@dataclass(frozen=True, slots=True)
class CaseRisk:
    """A case with the chance that what is kept back is reached before it ends."""

    end: CaseEnd
    chance: float

    @property
    def name(self) -> str:
        """Of the case."""
        return self.end.case.name

    @property
    def first_gas_min(self) -> float:
        """[min] when the animal gets its first gas, by the plan."""
        return self.end.case.start_min


@dataclass(frozen=True)
class Telling:
    """One source being told: every answer about it is made from this."""

    day: DayDraws
    drawn: SourceDraws

    @property
    def name(self) -> str:
        """Of the source."""
        return self.drawn.source.name

    @property
    def now_min(self) -> float:
        """[min] from which the answers look ahead."""
        now = self.day.plan.now_min
        return self.drawn.read_min if now is None else max(now, self.drawn.read_min)

    @property
    def ask_above(self) -> float:
        """[1] chance from which a case asks for a full one first."""
        return sourced("planning", "ask_above_chance").value

    @property
    def best_usable_l(self) -> float:
        """[L] above what is kept back, in all cylinders together."""
        return self.best_usable_upto_l(None)

    def best_usable_upto_l(self, upto: int | None) -> float:
        """[L] above what is kept back, in the first cylinders or in all."""
        return sum(one.best_usable_l for one in (self.drawn.held or ())[:upto])

    @property
    def best_contents_l(self) -> float:
        """[L] in all cylinders together."""
        return sum(one.best_contents_l for one in self.drawn.held or ())

    @property
    def best_kept_l(self) -> float:
        """[L] kept back in all cylinders together."""
        return sum(one.best_kept_l for one in self.drawn.held or ())

    @cached_property
    def _in_turn(self) -> tuple[Any, ...]:
        return tuple(accumulate(one.usable_l for one in self.drawn.held or ()))

    @cached_property
    def _reached(self) -> dict[int, Any]:
        return {}

    def usable_l(self, upto: int = 0) -> Any:
        """[L] above what is kept back in the first cylinders, or in all, a number a draw."""
        return self._in_turn[upto - 1]

    def reached_min(self, upto: int = 0) -> Any:
        """[min] when what is kept back in the first cylinders, or in all, is reached."""
        place = (upto - 1) % len(self._in_turn)
        if place not in self._reached:
            self._reached[place] = self.drawn.reached_min(self._in_turn[place])
        return self._reached[place]

    @cached_property
    def contents_l(self) -> Any:
        """[L] in all cylinders together, a number a draw."""
        return sum(one.contents_l for one in self.drawn.held or ())

    def risks(self, reached_min: Any) -> tuple[CaseRisk, ...]:
        """For each case that has not ended, the chance that it is reached before its end."""
        return tuple(
            CaseRisk(one, chance_before(reached_min, one.ends_min))
            for one in self.drawn.ends
            if one.case.end_min > self.now_min
        )

    def litres(self, litres: float) -> str:
        """Inside litres as the place counts them, in words."""
        return f"{figure(shown_l(litres, self.day.plan.place))} L"

    def litres_span(self, band: Band) -> str:
        """A band of inside litres as the place counts them, in words."""
        place = self.day.plan.place
        return span(shown_l(band.low, place), shown_l(band.high, place), "L")

    def pressure(self, gauge_kpa: float) -> str:
        """A pressure in the unit of the place."""
        return pressure_text(gauge_kpa, self.day.plan.place)

    def litres_answer(self, best_l: float, drawn_l: Any, **told: Any) -> Answer:
        """An answer in litres, band included."""
        place, band = self.day.plan.place, band_of(drawn_l)
        low, high = min(band.low, best_l), max(band.high, best_l)
        return self.answer(
            value=shown_l(best_l, place),
            low=shown_l(low, place),
            high=shown_l(high, place),
            unit="L",
            covers=COVERS,
            **told,
        )

    def answer(self, **told: Any) -> Answer:
        """An answer with the draws, sources and assumptions that all answers of a day share."""
        shared = {
            "where_from": self.where_from,
            "assumptions": self.assumptions,
            "draws": self.day.draws,
            "seed": self.day.seed,
        }
        return Answer(**{**shared, **told})

    @property
    def readings(self) -> tuple[str, ...]:
        """What was read on each cylinder, in words."""
        return tuple(self._read(held) for held in self.drawn.source.cylinders)

    def _read(self, held: Held) -> str:
        reading, place = held.reading, self.day.plan.place
        several = f", {held.count} on one gauge" if held.count > 1 else ""
        when = f" at {clock_text(reading.at_min)}" if reading.at_min else ""
        if reading.weight_kg is not None:
            return f"{reading.weight_kg:g} kg{when}{several}"
        if reading.gauge_kpa is None:
            return f"no reading{several}"
        return f"{pressure_text(reading.gauge_kpa, place)}{when}{several}"

    @cached_property
    def where_from(self) -> tuple[WhereFrom, ...]:
        """Readings, capacities, the gas, the gauge, the flows, what is kept back."""
        source = self.drawn.source
        found = [
            WhereFrom(source="entered", how_known="seen", text="Cases, times and flows as planned.")
        ]
        for held, read in zip(source.cylinders, self.readings, strict=True):
            warmth = temperature_text(held.reading, self.day.plan.place)
            found.append(WhereFrom(source="reading", how_known="seen", text=f"{read}, {warmth}."))
            found.append(capacity_from(held.cylinder))
            if held.cylinder.gauge_error_share is None and held.reading.gauge_kpa is not None:
                error = pressure_text(gauge_error_kpa(held.cylinder), self.day.plan.place)
                row = sourced("supply", "gauge_error_share")
                found.append(known_as(row, f"Gauge within {error} either way."))
        if source.kind.has_cylinders or source.kind is SourceKind.LIQUID:
            words = f"Litres of {source.gas} from its equation of state."
            found.append(WhereFrom(source="coolprop", how_known="computed", text=words))
            found += self.day.policy.where_from
        return tuple(dict.fromkeys((*found, *self._flow_sources())))

    def _flow_sources(self) -> tuple[WhereFrom, ...]:
        found = []
        for one in self.drawn.demands:
            if one.machine.flow_sd_share is None:
                error = flow_error(1.0 if one.flow.flow_sd_share else 0.0)
                kind = "one standard deviation" if one.flow.flow_sd_share else "a limit"
                found.append(known_as(error, f"Flows known to {100 * error.value:g} %, {kind}."))
            if any(s.flush_min for case in one.demand.cases for s in case.stretches):
                flush = sourced("supply", "flush_l_min")
                found.append(known_as(flush, "A flush runs at 35 to 75 L/min."))
        return tuple(found)

    @cached_property
    def assumptions(self) -> tuple[str, ...]:
        """What was taken because nobody said otherwise."""
        lines = [ERRORS, FLOWMETER]
        source, place = self.drawn.source, self.day.plan.place
        if source.kind.has_cylinders:
            lines.append(STEADY)
            untold = [one for one in source.cylinders if one.reading.temperature_k is None]
            if untold and not place.temperature_given:
                lines.append(
                    f"No temperature was given: {temperature_text(untold[0].reading, place)}."
                )
        if self.day.policy.assumption and self.drawn.held:
            lines.append(self.day.policy.assumption)
        if self.drawn.demands:
            lines += self._demand_assumptions()
        if not source.leak_l_min and self.drawn.held:
            lines.append("No leak.")
        return tuple(lines)

    def _demand_assumptions(self) -> list[str]:
        lines = []
        spreads = {one.minutes_sd_share for d in self.drawn.demands for one in d.demand.cases}
        if spreads - {0.0}:
            share = 100 * max(spreads)
            lines.append(
                f"Cases take their planned time ± {share:g} % (one standard deviation); a case that"
                " overruns pushes the next one back."
            )
        if any(case.exact for d in self.drawn.demands for case in d.demand.cases):
            seconds = sourced("planning", "flush_s").value
            litres = self.litres(sourced("planning", "check_l").value)
            lines.append(
                f"Checks take {litres} and one flush of {seconds:g} s a case, where no other figure"
                " is entered."
            )
        for one in self.drawn.demands:
            if one.machine.ventilator is not Drive.NONE and one.machine.drive_factor is None:
                driven = any(s.minute_volume_l_min for c in one.demand.cases for s in c.stretches)
                if driven:
                    low, high = one.demand.drive_low, one.demand.drive_high
                    lines.append(
                        f"{one.machine.name} draws {low:g} to {high:g} times the minute volume to"
                        " drive its ventilator, until its own factor is entered."
                    )
        return lines
