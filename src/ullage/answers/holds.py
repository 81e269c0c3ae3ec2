"""Close and watch: does the needle hold behind a closed valve, and what leaks if it falls?"""

from dataclasses import dataclass

from ullage.answers.answer import Answer, Step, Verdict, View, WhereFrom
from ullage.answers.things import Cylinder, Place
from ullage.answers.words import figure, minutes_text
from ullage.core.checks import each_said, positive, within
from ullage.core.errors import GaugeCannotTell
from ullage.core.gas import Gas, contents_l, litres_per_kg, saturated_vapour_kg_m3
from ullage.core.units import convert
from ullage.reference import Sourced, sourced, sources

__all__ = ["Watch", "gauge_holds"]

_DO_AGAIN = (
    "Open the valve, let the line run down, take the seal out and look at it; "
    "fit a new one and watch again. Never grease it."
)
_OPEN_AGAIN = (
    "The gauge shows the trapped gas, not the cylinder: open the valve again, slowly, "
    "before gas is needed."
)
#: A fall that only rounding brings below the limit has reached it.
_ROUNDED = 1.0 - 1e-9
_WAIT = "Leave the valve closed and the flow off, and read the needle again then."


@dataclass(frozen=True, slots=True, kw_only=True)
class Watch:
    """The needle before and after, valve closed and flows off.

    ``trapped_ml`` None takes the volume recalled for one regulator; ``fall_limit_kpa`` is the
    site's own rule for ``limit_min``, None takes the printed one.
    """

    first_kpa: float
    last_kpa: float
    minutes: float
    trapped_ml: float | None = None
    fall_limit_kpa: float | None = None
    limit_min: float | None = None

    def __post_init__(self) -> None:
        within("first_kpa", self.first_kpa, 1.0, 31_000.0)
        within("last_kpa", self.last_kpa, 0.0, 31_000.0)
        positive("minutes", self.minutes)
        each_said(self, positive, "trapped_ml", "fall_limit_kpa", "limit_min")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Fall:
    """The fall as read, its range, and the limit brought to the same minutes."""

    fall_kpa: float
    low_kpa: float
    high_kpa: float
    limit_kpa: float


def gauge_holds(cylinder: Cylinder, watch: Watch, place: Place) -> Answer:
    """Whether the gas trapped behind a closed valve stays, and the leak if it does not.

    Parameters
    ----------
    cylinder : the one whose valve is closed; its gas counts, its contents do not.
    watch : the needle before and after.
    place : air pressure, temperature and the unit of the gauge.

    Returns
    -------
    [mL/min] Free gas lost behind the valve; the range is how finely a needle is read. Stop at
    the limit, look again where the range reaches it, not yet while too little time has passed.

    >>> from ullage.answers.things import Gas
    >>> oxygen = Cylinder(gas=Gas.OXYGEN, water_capacity_l=4.7)
    >>> answer = gauge_holds(oxygen, Watch(first_kpa=7000, last_kpa=6310, minutes=5), Place())
    >>> answer.text, answer.verdict.value
    ('28.8 mL/min (14.4 to 43.2 mL/min)', 'Stop')
    """
    fall = _fall(watch)
    low, lost, high = (
        _lost_ml_min(cylinder, watch, place, kpa)
        for kpa in (fall.low_kpa, fall.fall_kpa, fall.high_kpa)
    )
    verdict = _verdict(watch, fall)
    return Answer(
        question="Does the needle hold with the valve closed?",
        unit="mL/min",
        value=lost,
        low=low,
        high=high,
        covers="how finely a needle is read, twice",
        sentence=_sentence(watch, fall, place, verdict),
        reasons=(
            "Behind the closed valve only the trapped gas shows, so a small leak moves the needle.",
        ),
        steps=_steps(watch, fall, place, lost),
        where_from=(
            WhereFrom(
                source="reading",
                how_known="seen",
                text=f"{_shown(watch.first_kpa, place)}, then {_shown(watch.last_kpa, place)} "
                f"after {minutes_text(watch.minutes)}.",
            ),
            *_limit_from(watch),
            *(() if watch.trapped_ml else (_from(_trapped()),)),
        ),
        assumptions=_assumed(cylinder, watch),
        cautions=(_OPEN_AGAIN,),
        views=_views(cylinder, watch, place),
        verdict=verdict,
        todo={Verdict.STOP: _DO_AGAIN, Verdict.NOT_YET: _WAIT}.get(verdict, ""),
    )


def _trapped() -> Sourced:
    return sourced("supply", "trapped_volume_ml")


def _limit(watch: Watch) -> tuple[float, float]:
    """[kPa, min] the fall allowed and the time it is allowed in."""
    small_min = sourced("pipeline", "leak.small_min").value
    if watch.fall_limit_kpa is not None:
        return watch.fall_limit_kpa, watch.limit_min or small_min
    return sourced("pipeline", "leak.small_fall_psi").inside("pressure"), small_min


def _fall(watch: Watch) -> _Fall:
    limit_kpa, limit_min = _limit(watch)
    # Both times the needle is read to half of the fineness; the gauge's own error drops out.
    fine_kpa = sourced("supply", "gauge_resolution_psi").inside("pressure")
    fall_kpa = max(watch.first_kpa - watch.last_kpa, 0.0)
    return _Fall(
        fall_kpa=fall_kpa,
        low_kpa=max(fall_kpa - fine_kpa, 0.0),
        high_kpa=min(fall_kpa + fine_kpa, watch.first_kpa),
        limit_kpa=limit_kpa * watch.minutes / limit_min,
    )


def _lost_ml_min(cylinder: Cylinder, watch: Watch, place: Place, fall_kpa: float) -> float:
    """[mL/min] free gas that left the trapped volume."""
    before, after = (
        _trapped_l(cylinder.gas, watch, place, gauge_kpa)
        for gauge_kpa in (watch.first_kpa, watch.first_kpa - fall_kpa)
    )
    return 1000.0 * max(before - after, 0.0) / watch.minutes


def _trapped_l(gas: Gas, watch: Watch, place: Place, gauge_kpa: float) -> float:
    """[L] free gas behind the valve; of a liquefied gas no more than its vapour."""
    volume_l = (watch.trapped_ml or _trapped().value) / 1000.0
    kelvin, condition = place.temperature_k, place.condition
    try:
        return contents_l(gas, volume_l, gauge_kpa, kelvin, place.barometric_kpa, condition)
    except GaugeCannotTell:
        vapour_kg = volume_l / 1000.0 * saturated_vapour_kg_m3(gas, kelvin)
        return vapour_kg * litres_per_kg(gas, condition)


def _verdict(watch: Watch, fall: _Fall) -> Verdict:
    limit_kpa, limit_min = _limit(watch)
    if watch.minutes < limit_min:
        # The whole fall that is allowed, in less than the time: waiting makes it no better.
        return Verdict.STOP if fall.fall_kpa >= limit_kpa * _ROUNDED else Verdict.NOT_YET
    if fall.fall_kpa >= fall.limit_kpa * _ROUNDED:
        return Verdict.STOP
    reaches = fall.fall_kpa > 0 and fall.high_kpa >= fall.limit_kpa
    return Verdict.LOOK_AGAIN if reaches else Verdict.FINE


def _sentence(watch: Watch, fall: _Fall, place: Place, verdict: Verdict) -> str:
    limit_kpa, limit_min = _limit(watch)
    rule = f"{_shown(limit_kpa, place)} in {minutes_text(limit_min)}"
    if verdict is Verdict.NOT_YET:
        wait = minutes_text(limit_min - watch.minutes)
        return f"Too early to say: the rule is {rule}; wait {wait} more."
    fell = f"The needle fell {_shown(fall.fall_kpa, place)} in {minutes_text(watch.minutes)}"
    if fall.fall_kpa == 0:
        fell = f"The needle held for {minutes_text(watch.minutes)}"
    said = {
        Verdict.STOP: f"a fall of {rule} or more means that it leaks after the valve",
        Verdict.LOOK_AGAIN: f"close to the rule of {rule}",
        Verdict.FINE: f"the rule allows less than {rule}",
    }
    return f"{fell}; {said[verdict]}."


def _steps(watch: Watch, fall: _Fall, place: Place, lost_ml_min: float) -> tuple[Step, ...]:
    trapped_ml = watch.trapped_ml or _trapped().value
    return (
        Step(
            what=f"From {_shown(watch.first_kpa, place)} to {_shown(watch.last_kpa, place)}",
            result=_shown(fall.fall_kpa, place),
            note=f"likely {_shown(fall.low_kpa, place)} to {_shown(fall.high_kpa, place)}",
        ),
        Step(
            what=f"{figure(trapped_ml)} mL trapped, by real-gas tables, "
            f"in {minutes_text(watch.minutes)}",
            result=f"{figure(lost_ml_min)} mL/min",
            note=f"free gas at {place.condition.name}",
        ),
    )


def _shown(gauge_kpa: float, place: Place) -> str:
    unit = place.pressure_unit
    return f"{figure(convert(gauge_kpa, 'kPa', 'pressure', unit))} {unit}"


def _from(row: Sourced) -> WhereFrom:
    return WhereFrom(
        source=row.source,
        how_known=row.how_known.value,
        text=f"{figure(row.value)} {row.unit}: {row.where} ({sources()[row.source].cite}).",
    )


def _limit_from(watch: Watch) -> tuple[WhereFrom, ...]:
    if watch.fall_limit_kpa is None:
        return (_from(sourced("pipeline", "leak.small_fall_psi")),)
    return (
        WhereFrom(source="site_rule", how_known="site", text="The fall that this place allows."),
    )


def _assumed(cylinder: Cylinder, watch: Watch) -> tuple[str, ...]:
    lines = ["The gas behind the valve kept the temperature of the room."]
    if not watch.trapped_ml:
        lines.append(f"About {_trapped().value:g} mL are trapped behind the valve, from memory.")
    if cylinder.gas.liquefied:
        lines.append("Behind the valve is vapour only: liquid there would leak unseen for longer.")
    return tuple(lines)


def _views(cylinder: Cylinder, watch: Watch, place: Place) -> tuple[View, ...]:
    """The printed limits disagree; each is shown with who says so and which was used."""
    printed = sourced("pipeline", "leak.small_fall_psi")
    nitrous = cylinder.gas is Gas.NITROUS_OXIDE
    maker = sourced("pipeline", f"leak.maker_{'nitrous_' if nitrous else ''}fall_kpa")
    times = [sourced("pipeline", key).value for key in ("leak.small_min", "leak.maker_min")]
    found = [
        View(
            label=row.where,
            result=f"{_shown(row.inside('pressure'), place)} in {minutes_text(minutes)}",
            source=row.source,
            how_known=row.how_known.value,
            chosen=watch.fall_limit_kpa is None and row is printed,
        )
        for row, minutes in zip((printed, maker), times, strict=True)
    ]
    if watch.fall_limit_kpa is not None:
        limit_kpa, limit_min = _limit(watch)
        own = f"{_shown(limit_kpa, place)} in {minutes_text(limit_min)}"
        found.append(
            View(
                label="Rule of this place",
                result=own,
                source="site_rule",
                how_known="site",
                chosen=True,
            )
        )
    return tuple(found)
