"""Whether a charcoal canister is full: by its weight, by what has flowed to it, by its hours."""

from collections.abc import Iterator
from dataclasses import dataclass

from ullage.answers.agent_use import Delivery
from ullage.answers.agents import liquid_of
from ullage.answers.answer import Answer, Step, Verdict, View, WhereFrom
from ullage.answers.chain_links.judge import (
    READ,
    Extras,
    Finding,
    fine,
    judge,
    look_again,
    stop,
)
from ullage.answers.chain_links.rows import printed, row_view, where_from
from ullage.answers.lines import band_together, line_of
from ullage.answers.words import figure, minutes_text
from ullage.core.agents import vapour_mass_kg_h
from ullage.core.checks import each_said, not_negative, positive
from ullage.core.errors import InvalidQuantity
from ullage.reference import sourced, stated

__all__ = ["Canister", "canister_full", "held_g"]

#: The weight says at least this share of what must have flowed, or it is asked about.
_LAGS_SHARE = 0.5
_NOT_PROOF = "rule.charcoal_weight"


@dataclass(frozen=True, slots=True, kw_only=True)
class Canister:
    """A charcoal canister since it was new; None where nobody has said.

    ``passed`` is agent that flowed to it, ``limit_g`` the gain for which it is sold, ``next_`` the
    flow and dial that come next.
    """

    start_g: float | None = None
    now_g: float | None = None
    hours_h: float | None = None
    passed: tuple[Delivery, ...] = ()
    limit_g: float | None = None
    nitrous_oxide: bool = False
    lay_down: bool = False
    coming: Delivery | None = None

    def __post_init__(self) -> None:
        each_said(self, positive, "start_g", "now_g", "limit_g")
        for name in ("start_g", "now_g"):
            value = getattr(self, name)
            if value is not None and value > 20_000.0:
                raise InvalidQuantity(name, value, "at most 20000 g")
        if self.hours_h is not None:
            not_negative("hours_h", self.hours_h)

    @property
    def gain_g(self) -> float | None:
        """[g] heavier than at the start; None where a weight is missing or cannot be."""
        if self.start_g is None or self.now_g is None or self.now_g < self.start_g:
            return None
        return self.now_g - self.start_g


def held_g(passed: Delivery) -> float:
    """[g] of agent in a delivery, all of it held.

    >>> round(held_g(Delivery(agent="isoflurane", fraction=0.02, fresh_gas_l_min=1.0)), 2)
    9.39
    """
    mass = liquid_of(passed.agent).molar_mass.value
    volume = sourced("agents", "molar_volume_l_mol").value
    return 1000.0 * vapour_mass_kg_h(passed.vapour_l_min, mass, volume) * passed.minutes / 60.0


def canister_full(canister: Canister) -> Answer:
    """Whether a charcoal canister must be changed: by whichever sign comes first.

    Parameters
    ----------
    canister : its weights, its hours, and what has flowed to it.

    Raises
    ------
    UnknownReference : an agent not known.

    >>> canister_full(Canister(start_g=812.0, now_g=863.0, hours_h=3.0)).verdict.value
    'Stop'
    """
    limit = _limit_g(canister)
    predicted = _predicted(canister)
    value, low, high = predicted or (canister.gain_g, None, None)
    extras = Extras(
        value=value,
        low=low,
        high=high,
        unit="g",
        covers="accuracy of the vaporizer, all agent held" if predicted else "",
        when_fine=_fine_words(canister, predicted, limit),
        steps=tuple(_steps(canister, predicted, limit)),
        views=tuple(_views(canister, predicted, limit)),
        assumptions=(_ALL_HELD,) if predicted else (),
        cautions=tuple(_cautions()),
        rests_on=tuple(_rests_on(canister)),
    )
    return judge("Is the charcoal canister full?", _findings(canister, predicted, limit), extras)


_ALL_HELD = (
    "All agent that the vaporizer added is taken to reach the canister: what the animal keeps and "
    "what leaks makes it less."
)


def _limit_g(canister: Canister) -> float:
    return canister.limit_g or sourced("stock", "canister.gain_g").value


def _predicted(canister: Canister) -> tuple[float, float, float] | None:
    """What has flowed to it [g], with its ends; None where nobody has said what flowed."""
    if not canister.passed:
        return None
    whole = sum(held_g(one) for one in canister.passed)
    ends = [one.dial_ratio() for one in canister.passed]
    ratio = (min(low for low, _ in ends), max(high for _, high in ends))
    return (whole, *band_together(whole, ratio))


def _fine_words(
    canister: Canister, predicted: tuple[float, float, float] | None, limit: float
) -> str:
    said = []
    if canister.gain_g is not None:
        said.append(f"{figure(canister.gain_g)} g heavier")
    if predicted is not None:
        said.append(f"{figure(predicted[0])} g by what has flowed")
    if canister.hours_h is not None:
        said.append(f"{figure(canister.hours_h)} h of use")
    return f"{', '.join(said).capitalize()}; it is changed at {figure(limit)} g." if said else ""


def _findings(
    canister: Canister, predicted: tuple[float, float, float] | None, limit: float
) -> Iterator[Finding]:
    yield from _by_weight(canister, limit)
    if predicted is not None:
        yield from _by_flow(canister, predicted, limit)
    yield from _by_hours(canister)
    if canister.nitrous_oxide:
        yield look_again(
            "Nitrous oxide flowed to it, and charcoal does not hold that.",
            "Take nitrous oxide to an exhaust that leads outdoors.",
            printed("waste", "rule.charcoal_nitrous_oxide"),
        )
    if canister.lay_down:
        yield look_again(
            "It lay on its side, so that gas may have run past the charcoal.",
            "Stand it upright; its weight says little now.",
            printed("waste", "rule.charcoal_upright"),
        )
    fast = [one for one in canister.passed if one.fresh_gas_l_min > _most_l_min()]
    if fast:
        flow = max(one.fresh_gas_l_min for one in fast)
        yield look_again(
            f"{figure(flow)} L/min flowed to it; less is held above {figure(_most_l_min())} L/min.",
            "Lower the flow, or take the gas to an exhaust.",
            line_of(sourced("waste", "charcoal.most_l_min")),
        )


def _most_l_min() -> float:
    return sourced("waste", "charcoal.most_l_min").value


def _by_weight(canister: Canister, limit: float) -> Iterator[Finding]:
    start, now = canister.start_g, canister.now_g
    row = where_from(sourced("stock", "canister.gain_g"))
    if start is None:
        yield _open("What did it weigh when it was new? It stands on the can.")
    elif now is None:
        yield _open("What does it weigh now?")
    elif now < start:
        yield Finding(
            verdict=Verdict.LOOK_AGAIN,
            says=f"It weighs {figure(start - now)} g less than when it was new.",
            todo="Weigh it again, and compare the number on the can.",
            asks="Is it the same canister, upright, on a scale that stood at 0?",
            rests_on=(row,),
        )
    elif now - start >= limit:
        yield stop(
            f"It is {figure(now - start)} g heavier than when it was new; "
            f"it is changed at {figure(limit)} g.",
            "Change it, and write the start weight on the new one.",
            row,
        )
    else:
        said = f"It is {figure(now - start)} g heavier than when it was new."
        yield fine(said, row)


def _open(asks: str) -> Finding:
    return Finding(verdict=Verdict.NOT_YET, says="Nobody has said what it weighs.", asks=asks)


def _by_flow(
    canister: Canister, predicted: tuple[float, float, float], limit: float
) -> Iterator[Finding]:
    grams, low, _ = predicted
    computed = WhereFrom(
        source="machine_base",
        how_known="computed",
        text="Grams an hour are flow, dial, molar mass and molar volume; machine section 5.5.",
    )
    if grams >= limit:
        yield stop(
            f"By what has flowed to it, it holds {figure(grams)} g and is full at "
            f"{figure(limit)} g, whatever it weighs.",
            "Change it, and write the start weight on the new one.",
            computed,
        )
    else:
        yield fine(f"By what has flowed to it, it holds {figure(grams)} g.", computed)
    gain = canister.gain_g
    if gain is not None and low > 10.0 and gain < _LAGS_SHARE * low:
        yield look_again(
            f"It gained {figure(gain)} g where {figure(low)} g or more must have flowed to it.",
            "Find where the rest goes: a leak, a mask, a canister that lies down or lets it pass.",
            printed("waste", "rule.charcoal_upright"),
            computed,
        )


def _by_hours(canister: Canister) -> Iterator[Finding]:
    row = sourced("stock", "canister.hours_h")
    if canister.hours_h is None:
        yield Finding(
            verdict=Verdict.NOT_YET,
            says="Nobody has said how long it was used.",
            asks="How many hours has it been used?",
        )
    elif canister.hours_h >= row.value:
        yield stop(
            f"It was used for {figure(canister.hours_h)} h; it is changed at {row.value:g} h.",
            "Change it, and write the start weight on the new one.",
            where_from(row),
        )
    else:
        yield fine(f"It was used for {figure(canister.hours_h)} h.", where_from(row))


def _steps(
    canister: Canister, predicted: tuple[float, float, float] | None, limit: float
) -> Iterator[Step]:
    if canister.start_g is not None and canister.now_g is not None:
        weights = f"{figure(canister.start_g)} g new, {figure(canister.now_g)} g now"
        counts = "" if canister.gain_g is not None else "asked about: counts in no sum"
        yield Step(what="weight", result=weights, note=counts)
    for one in canister.passed:
        told = f"{one.words} for {minutes_text(one.minutes)}"
        yield Step(what=told, result=f"{figure(held_g(one))} g")
    if canister.coming is not None:
        an_hour = held_g(canister.coming) * 60.0 / canister.coming.minutes
        held = max(predicted[0] if predicted else 0.0, canister.gain_g or 0.0)
        yield Step(what=f"{canister.coming.words} adds", result=f"{figure(an_hour)} g/h")
        if an_hour > 0.0:
            left = max(0.0, limit - held) / an_hour
            yield Step(what="until it is full at that", result=f"{figure(left)} h")


def _views(
    canister: Canister, predicted: tuple[float, float, float] | None, limit: float
) -> Iterator[View]:
    gain, hours = canister.gain_g, canister.hours_h
    weighed = sourced("stock", "canister.gain_g")
    timed, only = sourced("stock", "canister.hours_h"), sourced("stock", "canister.hours_only")
    yield row_view(
        "By weight",
        weighed,
        f"change at {figure(limit)} g"
        + (f": {figure(gain)} g now" if gain is not None else ": not weighed"),
        chosen=True,
    )
    yield View(
        label="By what has flowed to it",
        result=f"{figure(predicted[0])} g" if predicted else "nobody has said what flowed",
        source="machine_base",
        how_known="computed",
    )
    said = f": {figure(hours)} h now" if hours is not None else ""
    yield row_view("By hours beside the weight", timed, f"change at {timed.value:g} h{said}")
    yield row_view("By hours alone, one school", only, f"change at {only.value:g} h{said}")
    large = sourced("stock", "canister.large_gain_g")
    yield row_view("Sold for more by some makers", large, f"change at {large.value:g} g")


def _cautions() -> Iterator[str]:
    for key in (_NOT_PROOF, "rule.charcoal_upright", "rule.charcoal_nitrous_oxide"):
        yield stated("waste", key).text


def _rests_on(canister: Canister) -> Iterator[WhereFrom]:
    yield printed("waste", _NOT_PROOF)
    if canister.passed:
        yield line_of(sourced("agents", "molar_volume_l_mol"), "molar volume")
        for agent in dict.fromkeys(one.agent for one in canister.passed):
            yield line_of(liquid_of(agent).molar_mass, "molar mass")
        yield READ
