"""An output test against the dial: carried to where the dial was marked, and judged."""

from dataclasses import dataclass

from ullage.answers.agents import Liquid, liquid_of
from ullage.answers.answer import Answer, Step, Verdict, View, WhereFrom
from ullage.answers.lines import line_of
from ullage.answers.service.things import (
    Carrier,
    OutputLimit,
    OutputPoint,
    OutputTest,
    published_limits,
)
from ullage.answers.vaporizers import VaporizerKind
from ullage.answers.words import figure
from ullage.core.agents import partial_pressure_output_fraction, splitting_pressure_output_fraction
from ullage.core.errors import RuleBroken
from ullage.core.units import celsius
from ullage.reference import sourced

__all__ = ["PointResult", "output_points", "vaporizer_tested"]

#: A reading that lies on a limit keeps it; sums of decimals do not decide.
_HAIR = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class PointResult:
    """One dial setting as it would have read where the dial was marked, and how far that is off."""

    dial_fraction: float
    measured_fraction: float
    carried_fraction: float
    low_fraction: float
    high_fraction: float

    @property
    def error_share(self) -> float:
        """[1] how far off, as a share of the dial."""
        return self.carried_fraction / self.dial_fraction - 1.0

    @property
    def ends_share(self) -> tuple[float, float]:
        """[1] the two ends of its error."""
        dial = self.dial_fraction
        return self.low_fraction / dial - 1.0, self.high_fraction / dial - 1.0

    def verdict(self, allowed_fraction: float) -> Verdict:
        """Inside with its whole range, outside with it, or neither."""
        low, high = (end - self.dial_fraction for end in (self.low_fraction, self.high_fraction))
        if max(abs(low), abs(high)) <= allowed_fraction + _HAIR:
            return Verdict.FINE
        if low > allowed_fraction + _HAIR or high < -allowed_fraction - _HAIR:
            return Verdict.STOP
        return Verdict.LOOK_AGAIN


def output_points(test: OutputTest) -> tuple[PointResult, ...]:
    """Each dial setting of a test, carried to the pressure and gas its dial was marked in.

    Returns
    -------
    One result a point; none where the test lies outside what the vaporizer is made for.

    Raises
    ------
    UnknownReference : a gas, or an agent not known.
    RuleBroken : more vapour than the liquid can give.

    >>> seen = OutputTest(agent="isoflurane", points=(OutputPoint(0.02, 0.024),),
    ...     barometric_kpa=84.66, temperature_k=293.15, fresh_gas_l_min=2.0)
    >>> round(output_points(seen)[0].error_share, 3)
    0.003
    """
    liquid = liquid_of(test.agent)
    if test.outside[0]:
        return ()
    for point in test.points:
        _refuse_over_saturated(test, liquid, point)
    return tuple(_carried(test, liquid, one) for one in test.points)


def _saturated_fraction(test: OutputTest, liquid: Liquid) -> float:
    """[1] the most that a vaporizer without a heater can give here."""
    return liquid.vapour_kpa(test.temperature_k) / test.barometric_kpa


def _refuse_over_saturated(test: OutputTest, liquid: Liquid, point: OutputPoint) -> None:
    if test.works_by is VaporizerKind.HEATED:
        return
    most = _saturated_fraction(test, liquid)
    if point.measured_fraction >= most:
        raise RuleBroken(
            f"{_percent(point.measured_fraction)} cannot be: at "
            f"{figure(celsius(test.temperature_k))} °C liquid {liquid.agent} gives at most "
            f"{_percent(most)}. Look at the analyser, and at which agent it is set to."
        )


def _carried(test: OutputTest, liquid: Liquid, point: OutputPoint) -> PointResult:
    """The middle by the rule and with the gas made up for; the ends over what is in doubt."""
    measured = point.measured_fraction
    gases = {1.0, *(_gas_factor(test, drop) for drop in _drops())}
    middle = _at_calibration(test, liquid, measured / _gas_factor(test, _drops()[0]))[0]
    ends = [
        carried * (1.0 + way * (test.analyser_share or 0.0))
        for factor in gases
        for carried in _at_calibration(test, liquid, measured / factor)
        for way in (-1.0, 1.0)
    ]
    return PointResult(
        dial_fraction=point.dial_fraction,
        measured_fraction=measured,
        carried_fraction=middle,
        low_fraction=min(ends),
        high_fraction=max(ends),
    )


def _at_calibration(test: OutputTest, liquid: Liquid, fraction: float) -> tuple[float, float]:
    """By the rule and by the splitting equation; a heated one holds volume per cent."""
    if test.works_by is VaporizerKind.HEATED:
        return fraction, fraction
    here, there = test.barometric_kpa, test.calibrated_kpa
    vapour = liquid.vapour_kpa(test.temperature_k)
    kept = min(fraction, (1.0 - _HAIR) * _saturated_fraction(test, liquid))
    rule = partial_pressure_output_fraction(kept, there, here)
    return rule, splitting_pressure_output_fraction(kept, vapour, there, here)


def _drops() -> tuple[float, float, float]:
    """[%] what nitrous oxide takes off: as computed, least, most."""
    row = sourced("service", "carrier.nitrous_drop_percent")
    return row.value, row.band().low, row.band().high


def _gas_factor(test: OutputTest, drop_percent: float) -> float:
    """[1] what the carrier gas makes of the output; 1 where nothing is known of it."""
    if test.carrier is not Carrier.NITROUS_OXIDE or test.works_by is VaporizerKind.HEATED:
        return 1.0
    if test.calibrated_in is Carrier.NITROUS_OXIDE:
        return 1.0
    return 1.0 - 0.01 * drop_percent * test.nitrous_fraction


def vaporizer_tested(test: OutputTest, limit: OutputLimit | None = None) -> Answer:
    """What an output test says of a vaporizer's dial, and whether that keeps the site's limit.

    Raises
    ------
    UnknownReference : a gas, or an agent not known.

    >>> low = OutputTest(agent="isoflurane", points=(OutputPoint(0.02, 0.0165),),
    ...     barometric_kpa=101.325, temperature_k=293.15, fresh_gas_l_min=2.0)
    >>> answer = vaporizer_tested(low, published_limits()[0])
    >>> answer.number_text, answer.verdict.value
    ('-17.5 %', 'Stop')
    """
    liquid = liquid_of(test.agent)
    why, instead = test.outside
    if why:
        return _says_nothing(test, why, instead)
    points = output_points(test)
    worst = max(points, key=lambda one: abs(one.error_share))
    low, high = worst.ends_share
    verdict = _verdict(points, limit, liquid)
    return Answer(
        question=f"Does this {liquid.agent} vaporizer deliver what its dial says?",
        value=100 * worst.error_share,
        unit="%",
        low=100 * min(low, worst.error_share),
        high=100 * max(high, worst.error_share),
        covers="both rules for another air pressure, the carrier gas, and the analyser as entered",
        sentence=_sentence(worst, limit, verdict),
        reasons=_reasons(test, points),
        steps=tuple(_step(one, limit, liquid) for one in points),
        where_from=_where_from(test, limit),
        assumptions=_assumed(test),
        cautions=_cautions(test, points),
        views=() if limit else _views(points, liquid),
        verdict=verdict,
        settles="" if limit else "Which limit does this site hold its vaporizers to?",
        todo=_todo(verdict),
    )


def _verdict(points: tuple[PointResult, ...], limit: OutputLimit | None, liquid: Liquid) -> Verdict:
    """The worst of the points; without a limit of the site there is none yet."""
    if limit is None:
        return Verdict.NOT_YET
    most = liquid.most_dial_fraction
    found = {one.verdict(limit.allowed_fraction(one.dial_fraction, most)) for one in points}
    order = (Verdict.STOP, Verdict.LOOK_AGAIN, Verdict.FINE)
    return next(one for one in order if one in found)


def _says_nothing(test: OutputTest, why: str, instead: str) -> Answer:
    rows = test.flows[2] or (sourced("agents", "range.lowest_c"),)
    return Answer(
        question=f"Does this {test.agent} vaporizer deliver what its dial says?",
        unit="%",
        sentence=f"This test gives no number. {why}",
        reasons=("Outside what it is made for, a sound vaporizer may be far off its dial.",),
        steps=tuple(
            Step(what=f"dial {_percent(one.dial_fraction)}", result=_percent(one.measured_fraction))
            for one in test.points
        ),
        where_from=(_entered(), *(line_of(row, "range") for row in rows)),
        settles=instead,
        verdict=Verdict.NOT_YET,
    )


def _sentence(worst: PointResult, limit: OutputLimit | None, verdict: Verdict) -> str:
    much = f"{_off(worst.error_share)} at a dial of {_percent(worst.dial_fraction)}"
    if limit is None:
        return f"Furthest off, it gives {much}; this site has set no limit to hold that against."
    told = {
        Verdict.FINE: f"and every setting stays within {limit.words}",
        Verdict.STOP: f"which is beyond {limit.words}",
    }
    astride = f"and its range lies partly inside and partly outside {limit.words}"
    return f"Furthest off, it gives {much}, {told.get(verdict, astride)}."


def _off(share: float) -> str:
    """``17.5 % less than it says``."""
    if abs(share) < 5e-4:
        return "what it says"
    return f"{figure(100 * abs(share))} % {'more' if share > 0 else 'less'} than it says"


def _reasons(test: OutputTest, points: tuple[PointResult, ...]) -> tuple[str, ...]:
    said = ["A dial is a wish; only an analyser tells what an animal breathes."]
    if any(one.error_share > 0 for one in points):
        said.append("Where it gives more than its dial, an animal is deeper than planned.")
    if any(one.error_share < 0 for one in points):
        said.append("Where it gives less, an animal may feel; people then turn up every dial.")
    if test.works_by is VaporizerKind.SPLITTING and test.barometric_kpa != test.calibrated_kpa:
        said.append(
            f"At {figure(test.barometric_kpa)} kPa a true dial gives more volume per cent, for the "
            "same partial pressure: that is taken off before it is judged."
        )
    return tuple(said)


def _step(point: PointResult, limit: OutputLimit | None, liquid: Liquid) -> Step:
    low, high = point.ends_share
    note = f"carried to its calibration {_percent(point.carried_fraction)}"
    if high - low > 1e-4:
        note += f", error {figure(100 * low)} to {figure(100 * high)} %"
    if limit is not None:
        allowed = limit.allowed_fraction(point.dial_fraction, liquid.most_dial_fraction)
        least, most = max(0.0, point.dial_fraction - allowed), point.dial_fraction + allowed
        note += f"; allowed {_percent(least)} to {_percent(most)}"
    return Step(
        what=f"dial {_percent(point.dial_fraction)}, measured {_percent(point.measured_fraction)}",
        result=f"{100 * point.error_share:+.1f} %",
        note=note,
    )


def _where_from(test: OutputTest, limit: OutputLimit | None) -> tuple[WhereFrom, ...]:
    said = [_entered(), *(limit.where_from if limit else ())]
    said += [line_of(row, "range") for row in test.flows[2]]
    if test.works_by is VaporizerKind.SPLITTING:
        said.append(line_of(liquid_of(test.agent).line_row, "vapour pressure"))
    if _gas_factor(test, _drops()[0]) != 1.0:
        said.append(line_of(sourced("service", "carrier.nitrous_drop_percent"), "carrier gas"))
    return tuple(said)


def _entered() -> WhereFrom:
    text = "Dial settings, readings of the analyser, flow, room and gas as entered for this test."
    return WhereFrom(source="entered", how_known="seen", text=text)


def _assumed(test: OutputTest) -> tuple[str, ...]:
    said = [
        "The analyser was set with its own gas here, so that it reads volume per cent.",
        (
            f"At {figure(celsius(test.temperature_k))} °C nothing is taken off for warmth: "
            "inside its range a vaporizer makes up for it by itself."
        ),
        f"Its dial was marked at {figure(test.calibrated_kpa)} kPa.",
    ]
    if test.analyser_share is None:
        said.append("The analyser is taken as exact, since nobody said how far it may be off.")
    if test.kind is None:
        said.append(f"The vaporizer is taken as {test.works_by}, the usual kind.")
    if _gas_factor(test, _drops()[0]) != 1.0:
        said.append(
            "What nitrous oxide takes off is taken as in proportion to its share, and for every "
            "agent as for halothane; the range holds it left out as well."
        )
    return tuple(said)


def _cautions(test: OutputTest, points: tuple[PointResult, ...]) -> tuple[str, ...]:
    said = [
        (
            "Test with liquid well above the lowest mark, the output led to the scavenging, and no "
            "animal connected."
        ),
        "The maker's instructions say how to test this model; where they differ, they hold.",
    ]
    low_dial = sourced("service", "carrier.air_low_dial_percent").value / 100.0
    if (
        test.carrier is Carrier.OXYGEN
        and test.calibrated_in in {None, Carrier.AIR}
        and any(one.dial_fraction <= low_dial and one.error_share > 0 for one in points)
    ):
        said.append(
            "Vaporizers marked in air have been found over 20 % high in oxygen at dials of 1 % and "
            "below: find out which gas this one was marked in, and test with that one too."
        )
    if test.works_by is VaporizerKind.HEATED and test.carrier is Carrier.NITROUS_OXIDE:
        said.append("Nothing is taken off for nitrous oxide: no figure is known for heated ones.")
    return tuple(said)


def _views(points: tuple[PointResult, ...], liquid: Liquid) -> tuple[View, ...]:
    """What each published limit would say; none of them is this site's."""
    return tuple(
        View(
            label=f"{one.words}: {one.name}",
            result=_verdict(points, one, liquid).value,
            source=one.said[0].source,
            how_known=one.said[0].how_known,
        )
        for one in published_limits()
    )


def _todo(verdict: Verdict) -> str:
    return {
        Verdict.STOP: "Take it out of use, label it, and send it for service.",
        Verdict.LOOK_AGAIN: "Test it again with a checked analyser, or have its maker test it.",
        Verdict.NOT_YET: "A lead or veterinarian sets the limit of this site.",
    }.get(verdict, "")


def _percent(fraction: float) -> str:
    return f"{figure(100 * fraction)} %"
