"""Whether a filling of absorbent is used up: by its load, and by every sign that was looked at."""

from collections.abc import Iterator
from dataclasses import dataclass

from ullage.answers.absorbent import absorbent_due
from ullage.answers.answer import Answer, Step, Verdict
from ullage.answers.breathing_parts import flow_left_on
from ullage.answers.chain_links.judge import (
    READ,
    Extras,
    Finding,
    fine,
    judge,
    look_again,
    stop,
)
from ullage.answers.chain_links.rows import printed, where_from
from ullage.answers.lines import line_of
from ullage.answers.words import figure
from ullage.core.breathing import absorbent_capacity_l
from ullage.core.checks import each_said, not_negative, positive, within
from ullage.reference import Sourced, sourced, stated

__all__ = ["Filling", "filling_due"]

_CAPACITIES = ("cautious", "typical", "optimistic")
_LATER = "Read the colour right after the next case, and write it down then."
_CHANGE = "Change all of it, and test the circle for leaks afterwards."


@dataclass(frozen=True, slots=True, kw_only=True)
class Filling:
    """A filling of absorbent since it was put in; None where nobody has said or measured.

    ``load_l`` is carbon dioxide that cases have sent to it, ``left_on_h`` the longest time that
    dry gas flowed with no animal; ``hours_limit_h`` and ``days_limit`` are rules of the site.
    """

    mass_kg: float | None = None
    load_l: float | None = None
    hours_h: float | None = None
    open_days: float | None = None
    colour_share: float | None = None
    seen_after_use: bool | None = None
    inspired_share: float | None = None
    liquid_ml: float | None = None
    left_on_h: float | None = None
    hours_limit_h: float | None = None
    days_limit: float | None = None

    def __post_init__(self) -> None:
        each_said(self, not_negative, "load_l", "hours_h", "open_days", "liquid_ml", "left_on_h")
        each_said(self, positive, "mass_kg", "hours_limit_h", "days_limit")
        if self.colour_share is not None:
            within("colour_share", self.colour_share, 0.0, 1.0)

    @property
    def used_percent(self) -> tuple[float, float, float] | None:
        """[%] used up by its load: cautious, typical, optimistic; None where it is not known."""
        if self.mass_kg is None or self.load_l is None:
            return None
        full = [absorbent_capacity_l(self.mass_kg, row.value) for row in _capacities()]
        first, second, third = (100.0 * self.load_l / one for one in full)
        return first, second, third


def _capacities() -> tuple[Sourced, ...]:
    return tuple(sourced("breathing", f"absorbent.{one}_l_kg") for one in _CAPACITIES)


def filling_due(filling: Filling) -> Answer:
    """Whether a filling of absorbent must be changed, by its load and by what was seen.

    Parameters
    ----------
    filling : its mass and load, its hours and days, its colour, what is breathed in.

    Raises
    ------
    InvalidQuantity : a share that cannot be.

    >>> filling_due(Filling(mass_kg=1.0, load_l=120.0)).verdict.value
    'Stop'
    """
    used = filling.used_percent
    seen = _signs(filling)
    extras = Extras(
        value=used[1] if used else None,
        low=used[2] if used else None,
        high=used[0] if used else None,
        unit="%",
        covers="capacity from optimistic to cautious" if used else "",
        when_fine=_fine_words(filling),
        steps=tuple(_steps(filling, seen)),
        views=seen.views,
        cautions=(*seen.cautions, stated("stock", "absorbent.airtight").text),
        assumptions=(_LOAD,) if used else (),
        rests_on=(*(line_of(row) for row in _capacities()), *seen.where_from, READ),
    )
    return judge("Is the absorbent used up?", _findings(filling, seen), extras)


_LOAD = "The load is what cases should have made, by species and weight; nobody measured it."


def _signs(filling: Filling) -> Answer:
    """Inspired carbon dioxide, colour and hours; a colour seen at rest is no sign."""
    colour = filling.colour_share if filling.seen_after_use else None
    return absorbent_due(filling.inspired_share, colour, filling.hours_h)


def _fine_words(filling: Filling) -> str:
    used = filling.used_percent
    if used is None:
        return ""
    return f"About {figure(used[1])} % are used up, {figure(used[0])} % by the cautious capacity."


def _findings(filling: Filling, seen: Answer) -> Iterator[Finding]:
    yield from _by_load(filling)
    yield from _by_signs(filling, seen)
    yield from _by_age(filling)
    if filling.liquid_ml is not None:
        yield _by_liquid(filling.liquid_ml)
    if filling.left_on_h is not None:
        yield from _by_drying(filling.left_on_h)


def _by_load(filling: Filling) -> Iterator[Finding]:
    if filling.mass_kg is None:
        yield _asked("How much absorbent does the canister hold?")
    used = filling.used_percent
    if used is None:
        return
    cautious, row = used[0], sourced("breathing", "absorbent.cautious_l_kg")
    half = sourced("stock", "absorbent.half_share")
    if cautious >= 100.0:
        said = f"By its load it is used up: {figure(cautious)} % of the cautious capacity."
        yield stop(said, _CHANGE, line_of(row))
    elif cautious > 100.0 * half.value:
        said = f"By its load more than half is used up: {figure(cautious)} % cautiously."
        yield look_again(said, "Plan the change, and have a filling ready.", where_from(half))
    else:
        yield fine(f"By its load {figure(cautious)} % are used up, cautiously.", line_of(row))


def _asked(asks: str) -> Finding:
    says = "Nobody has said what is needed to judge it."
    return Finding(verdict=Verdict.NOT_YET, says=says, asks=asks)


def _by_signs(filling: Filling, seen: Answer) -> Iterator[Finding]:
    """The signs as they were looked at; with a load known, an open one does not hold it up."""
    looked = (filling.inspired_share, filling.hours_h, filling.colour_share)
    if seen.verdict is Verdict.STOP:
        yield stop(seen.sentence, _CHANGE, *seen.where_from)
    elif _is_met(filling):
        used = filling.used_percent
        full = used is not None and used[0] >= 100.0
        yield look_again(seen.sentence, _CHANGE if full else seen.todo or _CHANGE, *seen.where_from)
    elif any(one is not None for one in looked):
        yield fine("No sign that was looked at asks for a change.", *seen.where_from)
    elif filling.used_percent is None:
        yield _asked("What colour was it right after use, and for how many hours was it used?")
    if filling.colour_share is not None and not filling.seen_after_use:
        yield look_again(
            f"The colour ({figure(100.0 * filling.colour_share)} %) was not read right after use; "
            "at rest it fades back.",
            _LATER,
            printed("stock", "absorbent.colour_low_flow"),
        )


def _is_met(filling: Filling) -> bool:
    """A colour or an hour at which some text would change it."""
    colour = filling.colour_share if filling.seen_after_use else None
    keys = (("change.colour_half", colour), ("change.hours_8", filling.hours_h))
    limit = filling.hours_limit_h
    by_hours = limit is not None and (filling.hours_h or 0.0) >= limit
    met = [found is not None and found >= sourced("breathing", key).value for key, found in keys]
    return by_hours or any(met)


def _by_age(filling: Filling) -> Iterator[Finding]:
    if filling.open_days is None:
        yield _asked("On which day was it put in?")
        return
    row = sourced("stock", "absorbent.open_days")
    limit = filling.days_limit or row.value
    said = f"It was put in {figure(filling.open_days)} days ago"
    whose = "the rule here" if filling.days_limit else "a rule known from memory"
    if filling.open_days >= limit:
        yield look_again(f"{said}; {whose} is {limit:g} days.", _CHANGE, where_from(row))
    else:
        yield fine(f"{said}.", where_from(row))


def _by_liquid(liquid_ml: float) -> Finding:
    row = sourced("stock", "absorbent.liquid_ml")
    said = f"{figure(liquid_ml)} mL of liquid agent were used since"
    if liquid_ml >= row.value:
        return look_again(
            f"{said}; one text changes it at {row.value:g}.", _CHANGE, where_from(row)
        )
    return fine(f"{said}.", where_from(row))


def _by_drying(left_on_h: float) -> Iterator[Finding]:
    dried = flow_left_on(left_on_h)
    if dried.verdict is Verdict.STOP:
        yield stop(f"{dried.sentence} {dried.reasons[0]}", _CHANGE, *dried.where_from)
    elif left_on_h > 0.0:
        yield look_again(dried.sentence, "In doubt change it.", *dried.where_from)


def _steps(filling: Filling, seen: Answer) -> Iterator[Step]:
    used = filling.used_percent
    if used is not None:
        load = f"{figure(filling.load_l or 0.0)} L on {figure(filling.mass_kg or 0.0)} kg"
        yield Step(what="carbon dioxide sent to it", result=load)
        for one, at in zip(_CAPACITIES, used, strict=True):
            yield Step(what=f"used up by the {one} capacity", result=f"{figure(at)} %")
    yield from seen.steps
    if filling.open_days is not None:
        yield Step(what="days since it was put in", result=figure(filling.open_days))
    if filling.left_on_h is not None:
        result = f"{figure(filling.left_on_h)} h"
        yield Step(what="dry gas left flowing, longest", result=result)
