"""Output tests of one vaporizer over years: how fast it drifts, and when it leaves its limit."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import sqrt
from statistics import median

import numpy as np

from ullage.answers.answer import Answer, Step, Verdict, WhereFrom
from ullage.answers.lines import line_of
from ullage.answers.service.output import PointResult
from ullage.answers.service.things import OutputLimit
from ullage.answers.words import figure
from ullage.core.checks import within
from ullage.core.errors import RuleBroken
from ullage.reference import sourced

__all__ = ["Drift", "ErrorOn", "drift_forecast", "drift_of", "error_on", "output_trend"]

_YEAR_D = 365.25
_FEWEST = 3


@dataclass(frozen=True, slots=True)
class ErrorOn:
    """What one output test came to: its day, and how far off the dial was, as a share of it."""

    at: date
    error_share: float

    def __post_init__(self) -> None:
        within("error_share", self.error_share, -1.0, 2000.0)


def error_on(at: date, points: Sequence[PointResult]) -> ErrorOn:
    """One test as one point of the trend: the median error over its dial settings.

    Raises
    ------
    RuleBroken : a test without a setting that says anything.
    """
    if not points:
        raise RuleBroken("A test outside the flow range says nothing and has no place in a trend.")
    return ErrorOn(at, median(one.error_share for one in points))


@dataclass(frozen=True, slots=True, kw_only=True)
class Drift:
    """A straight line through tests, by least squares: where it stands, how steep, how sure.

    Days are ordinals of the calendar; the ends of a band hold 90 % (Student's t).
    """

    middle_d: float
    middle_share: float
    slope_share_d: float
    middle_se: float
    slope_se: float
    ends: float
    count: int

    def line(self, day: float) -> float:
        """[1] the error on a day."""
        return self.middle_share + self.slope_share_d * (day - self.middle_d)

    def half(self, day: float) -> float:
        """[1] half the width of the band of the line on a day."""
        return self.ends * sqrt(self.middle_se**2 + (self.slope_se * (day - self.middle_d)) ** 2)


def drift_of(tests: Sequence[ErrorOn]) -> Drift | None:
    """The line through three tests or more on different days; none with fewer.

    >>> years = (ErrorOn(date(2022 + n, 5, 2), -0.03 * n) for n in range(4))
    >>> round(drift_of(tuple(years)).slope_share_d * 365.25, 3)
    -0.03
    """
    days = np.array([one.at.toordinal() for one in tests], dtype=float)
    if len(set(days)) < _FEWEST:
        return None
    from scipy.stats import linregress, t

    errors = np.array([one.error_share for one in tests])
    fitted = linregress(days - days.mean(), errors)
    spare = len(days) - 2
    left = errors - fitted.intercept - fitted.slope * (days - days.mean())
    floor = sourced("service", "trend.reading_percent").value / 100.0
    sd = max(sqrt(float(left @ left) / spare), floor)
    return Drift(
        middle_d=float(days.mean()),
        middle_share=float(fitted.intercept),
        slope_share_d=float(fitted.slope),
        middle_se=sd / sqrt(len(days)),
        slope_se=sd / sqrt(float(((days - days.mean()) ** 2).sum())),
        ends=float(t.ppf(0.95, spare)),
        count=len(days),
    )


def output_trend(tests: Sequence[ErrorOn]) -> Answer:
    """How the output of a vaporizer has moved over its tests, in per cent of the dial a year.

    The tests since its last service or repair belong together; earlier ones are of another state.

    >>> years = tuple(ErrorOn(date(2022 + n, 5, 2), -0.03 * n) for n in range(4))
    >>> output_trend(years).number_text
    '-3 % a year'
    """
    drift = drift_of(tests)
    if drift is None:
        return _too_few("How does its output move from test to test?", tests)
    slope = 100 * _YEAR_D * drift.slope_share_d
    half = 100 * _YEAR_D * drift.ends * drift.slope_se
    sure = abs(slope) > half
    way = "upwards" if slope > 0 else "downwards"
    said = (
        f"It drifts {way} by {figure(abs(slope))} % of the dial a year."
        if sure
        else "No drift can be told from the scatter of its tests."
    )
    return Answer(
        question="How does its output move from test to test?",
        value=slope,
        unit="% a year",
        low=slope - half,
        high=slope + half,
        covers="the scatter of the tests about a straight line, 90 % of the time",
        sentence=said,
        reasons=("Vaporizers drift both ways, and slowly: one test alone does not show it.",),
        steps=_steps(tests),
        where_from=_known(),
        assumptions=_assumed(drift),
    )


def drift_forecast(tests: Sequence[ErrorOn], limit: OutputLimit | None, today: date) -> Answer:
    """When a vaporizer that goes on as before leaves its limit, in days from today.

    >>> years = tuple(ErrorOn(date(2022 + n, 5, 2), -0.03 * n) for n in range(5))
    >>> from ullage.answers.service.things import limit_of
    >>> drift_forecast(years, limit_of("policy"), date(2026, 6, 1)).sentence
    'It would leave ±15 % of the dial about 3 May 2027: from any day now to 13 June 2030.'
    """
    asked = "When will its output leave the limit?"
    drift = drift_of(tests)
    if drift is None or limit is None:
        return _too_few(asked, tests, limit_is_set=limit is not None)
    crossings = _crossings(drift, limit.of_dial_share, today)
    told, verdict = _told(limit, today, *crossings)
    low, days, high = (None if one is None else float(one - today.toordinal()) for one in crossings)
    if None in {low, days, high}:
        low = high = None
    return Answer(
        question=asked,
        value=days,
        unit="days",
        low=low,
        high=high,
        covers="" if low is None else "the band of the line through its tests, 90 % of the time",
        sentence=told,
        reasons=(
            "A straight line is carried on; a part that breaks does not drift first.",
            "The next output test decides, not this forecast.",
        ),
        steps=_steps(tests),
        where_from=(*_known(), *limit.where_from, line_of(sourced("service", "trend.horizon_d"))),
        assumptions=_assumed(drift),
        verdict=verdict,
        settles="" if days is not None else "Another output test narrows this.",
        todo="Test it before then, and plan its service." if verdict is Verdict.LOOK_AGAIN else "",
    )


def _crossings(
    drift: Drift, limit_share: float, today: date
) -> tuple[int | None, int | None, int | None]:
    """The first day the band reaches a limit, the line does, and all of the band has."""
    start = today.toordinal()
    horizon = int(sourced("service", "trend.horizon_d").value)
    days = np.arange(start, start + horizon + 1, dtype=float)
    line = drift.middle_share + drift.slope_share_d * (days - drift.middle_d)
    half = drift.ends * np.hypot(drift.middle_se, drift.slope_se * (days - drift.middle_d))
    reached = np.abs(line) + half >= limit_share
    crossed = np.abs(line) >= limit_share
    gone = np.abs(line) - half >= limit_share
    first, middle, last = (
        start + int(found.argmax()) if found.any() else None for found in (reached, crossed, gone)
    )
    return first, middle, last


def _told(
    limit: OutputLimit, today: date, first: int | None, middle: int | None, last: int | None
) -> tuple[str, Verdict]:
    """The forecast in words, and what it comes to."""
    kept, now = limit.words, today.toordinal()
    if first is None:
        return f"Within ten years it stays within {kept}.", Verdict.FINE
    start = _day(first) if first > now else "any day now"
    if middle is None:
        told = f"By its line it keeps {kept} for ten years; its band leaves that from {start} on."
    elif middle <= now:
        told = f"By its line it is beyond {kept} already."
    else:
        until = _day(last) if last is not None else "later than ten years from now"
        told = f"It would leave {kept} about {_day(middle)}: from {start} to {until}."
    return told, Verdict.LOOK_AGAIN


def _day(ordinal: int) -> str:
    found = date.fromordinal(ordinal)
    return f"{found.day} {found:%B %Y}"


def _too_few(asked: str, tests: Sequence[ErrorOn], *, limit_is_set: bool = True) -> Answer:
    """No line through fewer than three days, and no forecast without a limit."""
    count = len({one.at for one in tests})
    tested = "There is no test" if count == 0 else f"There {_tests(count)} since its last service"
    what = f"{tested}; a line needs three, on different days."
    if count >= _FEWEST and not limit_is_set:
        what = "This site has set no limit that a drift could leave."
    return Answer(
        question=asked,
        unit="%",
        sentence=what,
        reasons=("Two tests always lie on a line: their scatter is not known.",),
        steps=_steps(tests),
        where_from=_known(),
        verdict=Verdict.NOT_YET,
        settles=(
            "Which limit does this site hold its vaporizers to?"
            if count >= _FEWEST
            else "Test it at its interval; the trend shows from the third test on."
        ),
    )


def _tests(count: int) -> str:
    return "is one test" if count == 1 else f"are {count} tests"


def _steps(tests: Sequence[ErrorOn]) -> tuple[Step, ...]:
    return tuple(
        Step(what=f"{one.at.day} {one.at:%B %Y}", result=f"{100 * one.error_share:+.1f} %")
        for one in tests
    )


def _known() -> tuple[WhereFrom, ...]:
    text = "Output tests as entered, each carried to where its dial was marked; median of a test."
    return (
        WhereFrom(source="entered", how_known="computed", text=text),
        line_of(sourced("service", "trend.reading_percent"), "scatter taken at least"),
    )


def _assumed(drift: Drift) -> tuple[str, ...]:
    return (
        f"The {drift.count} tests are since its last service or repair, at much the same dials.",
        "It drifts in a straight line, and tests scatter alike.",
    )
