"""What a closed breathing system gives with pressure: known, by syringe, or from its parts."""

from dataclasses import dataclass
from math import hypot

from ullage.answers.answer import Step, WhereFrom
from ullage.answers.chain_links.rows import where_from
from ullage.answers.checks.asked import Asked, printed_limit, reading_error
from ullage.answers.words import figure, span
from ullage.core.breathing import measured_compliance_l_kpa, parts_compliance_l_kpa
from ullage.core.units import convert
from ullage.reference import sourced

__all__ = ["Compliance", "compliance_of"]

_KIND, _SHOWN = "volume per pressure", "mL/cmH2O"


@dataclass(frozen=True, slots=True, kw_only=True)
class Compliance:
    """A compliance in L/kPa with its band, whether somebody measured it, and on whose word."""

    low: float
    middle: float
    high: float
    measured: bool
    what: str
    rests_on: tuple[WhereFrom, ...]
    assumes: tuple[str, ...]

    @property
    def step(self) -> Step:
        """The line of the working that shows it."""
        low, middle, high = (
            convert(one, "L/kPa", _KIND, _SHOWN) for one in (self.low, self.middle, self.high)
        )
        return Step(
            what=self.what, result=f"{figure(middle)} {_SHOWN}", note=span(low, high, _SHOWN)
        )


def compliance_of(found: Asked) -> Compliance | None:
    """The best compliance that was entered: by syringe, else known, else from parts."""
    return _by_syringe(found) or _known(found) or _from_parts(found)


def _by_syringe(found: Asked) -> Compliance | None:
    given = found.numbers("injected_l", "rise_kpa")
    if given is None or not all(given):
        return None
    injected, rise = given
    middle = measured_compliance_l_kpa(injected, rise)
    read = hypot(*2 * [reading_error("pressure_cmh2o", "pressure")]) / rise
    off = min(hypot(reading_error("syringe_share", "share"), read), 0.9)
    return Compliance(
        low=middle * (1.0 - off),
        middle=middle,
        high=middle * (1.0 + off),
        measured=True,
        what="Compliance by syringe: volume over rise",
        rests_on=(printed_limit("reading.syringe_share"), printed_limit("reading.pressure_cmh2o")),
        assumes=("Bag and hoses are as they were when the syringe was used.",),
    )


def _known(found: Asked) -> Compliance | None:
    middle = found.number("compliance_l_kpa")
    if not middle:
        return None
    off = reading_error("compliance_share", "share")
    return Compliance(
        low=middle * (1.0 - off),
        middle=middle,
        high=middle * (1.0 + off),
        measured=True,
        what="Compliance as measured before",
        rests_on=(printed_limit("reading.compliance_share"),),
        assumes=("Bag and hoses are those with which the compliance was measured.",),
    )


def _from_parts(found: Asked) -> Compliance | None:
    volume = found.number("system_l")
    if not volume or found.yes("bag_on") is None or found.yes("hoses_on") is None:
        return None
    hoses, bag = (
        sourced("check_limits", "compliance.hose_ml_cmh2o"),
        sourced("check_limits", "compliance.bag_ml_cmh2o"),
    )
    parts = [row for row, name in ((hoses, "hoses_on"), (bag, "bag_on")) if found.yes(name)]
    stretch = [
        sum(convert(one, row.unit, _KIND) for row, one in zip(parts, ends, strict=True))
        for ends in (
            [row.low or row.value for row in parts],
            [row.value for row in parts],
            [row.high or row.value for row in parts],
        )
    ]
    low, middle, high = (
        parts_compliance_l_kpa(volume, one, ambient_kpa=found.place.barometric_kpa)
        for one in stretch
    )
    return Compliance(
        low=low,
        middle=middle,
        high=high,
        measured=False,
        what="Compliance from parts: gas, hoses and bag",
        rests_on=tuple(where_from(row) for row in parts),
        assumes=("The compliance is estimated from parts; a syringe would measure it.",),
    )
