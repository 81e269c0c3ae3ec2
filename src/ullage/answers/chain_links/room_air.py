"""What does the air of the room come to if the content escapes?"""

from collections.abc import Iterator

from ullage.answers.answer import Answer, Step, Verdict, View, WhereFrom
from ullage.answers.chain_links.judge import (
    NOBODY,
    Extras,
    Finding,
    Link,
    fine,
    judge,
    look_again,
    stop,
)
from ullage.answers.chain_links.rows import row_view, where_from
from ullage.answers.chain_questions import question_of
from ullage.answers.chain_things import Chain, RoomAir
from ullage.answers.words import figure, number
from ullage.core.exposure import (
    Mixing,
    Released,
    most_leak_share,
    room_oxygen_after_fraction,
    smallest_room_m3,
)
from ullage.core.gas import F70, Gas, volume_at_condition_l
from ullage.core.units import STANDARD_ATMOSPHERE_KPA
from ullage.reference import Sourced, sourced, stated

__all__ = ["LINK", "room_air"]

BALANCE = WhereFrom(
    source="supply_S63",
    how_known="computed",
    text="Well-mixed release into a room, displacement and bulk form; the worse one counts.",
)
STILL = "No air is renewed while the gas escapes."
GO_OUT = "At a loud hiss: leave, open the doors, switch nothing, and let nobody in."


def room_air(chain: Chain) -> Answer:
    """Oxygen in the air of the room after the whole content has escaped."""
    found = chain.room_air
    question = f"If the {chain.gas} escapes, what becomes of the air in the room?"
    if chain.gas is Gas.AIR:
        return judge(question, [fine("Air that escapes leaves the air of the room as it was.")])
    if found.volume_m3 is None or found.escaping_l is None:
        return judge(question, _open(found))
    fractions = sorted(_after(chain, mixing) for mixing in (Mixing.DISPLACEMENT, Mixing.BULK))
    worst = fractions[-1] if chain.gas is Gas.OXYGEN else fractions[0]
    extras = Extras(
        value=100.0 * worst,
        low=100.0 * fractions[0],
        high=100.0 * fractions[-1],
        unit="% O₂",
        covers="the two forms of the balance",
        steps=tuple(_steps(chain, worst)),
        views=_limits(chain.gas),
        assumptions=(STILL,),
        cautions=(f"{stated('room_oxygen', 'mixing').text}", GO_OUT),
        rests_on=(BALANCE,),
    )
    return judge(question, [_judged(chain, worst)], extras)


def _open(found: RoomAir) -> Iterator[Finding]:
    for name in ("volume_m3", "escaping_l"):
        if getattr(found, name) is None:
            yield Finding(verdict=Verdict.NOT_YET, says=NOBODY, asks=question_of(found, name))


def _released(chain: Chain) -> Released:
    return Released.OXYGEN if chain.gas is Gas.OXYGEN else Released.INERT


def _release_l(chain: Chain) -> float:
    """[L] at the pressure and warmth of the room."""
    free_l = chain.room_air.escaping_l or 0.0
    place = chain.place
    warmer = place.temperature_k / F70.temperature_k
    return free_l * warmer * STANDARD_ATMOSPHERE_KPA / place.barometric_kpa


def _after(chain: Chain, mixing: Mixing) -> float:
    return room_oxygen_after_fraction(
        chain.room_air.volume_m3 or 0.0, _release_l(chain), _released(chain), mixing
    )


def _judged(chain: Chain, fraction: float) -> Finding:
    percent = f"{100 * fraction:.1f} %"
    rich, poor = sourced("room_oxygen", "enriched_share"), sourced("room_oxygen", "deficient_share")
    leave = sourced("room_oxygen", "evacuate_uk_share")
    if fraction > rich.value:
        return look_again(
            f"The room would hold {percent} oxygen: enriched, and everything burns faster.",
            "See that the room is ventilated before the valve is opened, and keep flames, "
            "cautery and sparks away from it.",
            where_from(rich),
        )
    if fraction < leave.value:
        return stop(
            f"The room would hold {percent} oxygen: people lose consciousness without a warning.",
            "Keep this cylinder in a larger or a ventilated room, with an oxygen alarm.",
            where_from(leave),
        )
    if fraction < poor.value:
        return look_again(
            f"The room would hold {percent} oxygen: too little to stay in.",
            "See that the room is ventilated, and put up an oxygen alarm.",
            where_from(poor),
        )
    return fine(f"The room would hold {percent} oxygen.", where_from(rich), where_from(poor))


def _steps(chain: Chain, worst: float) -> Iterator[Step]:
    limit = _limit(chain)
    volume_m3, escaping_l = chain.room_air.volume_m3 or 0.0, chain.room_air.escaping_l or 0.0
    at_site_l = volume_at_condition_l(escaping_l, F70, chain.place.condition)
    yield Step(
        what="What could escape",
        result=number(at_site_l, "L"),
        note=f"free gas at {chain.place.condition.name}",
    )
    yield Step(what="Air of the room", result=number(volume_m3, "m³"))
    yield Step(what="Oxygen after it", result=f"{100 * worst:.1f} %", note=STILL)
    smallest = smallest_room_m3(_release_l(chain), limit.value, _released(chain))
    yield Step(
        what=f"Smallest room that stays at {100 * limit.value:g} %",
        result=number(smallest, "m³"),
        note="without any air change",
    )
    if chain.room_air.changes_per_h:
        fresh_l_min = chain.room_air.changes_per_h * volume_m3 * 1000.0 / 60.0
        allowed = most_leak_share(limit.value, _released(chain)) * fresh_l_min
        yield Step(
            what="Largest steady leak that the ventilation carries off",
            result=number(allowed, "L/min"),
            note=f"at {figure(chain.room_air.changes_per_h)} changes an hour",
        )


def _limit(chain: Chain) -> Sourced:
    key = "enriched_share" if chain.gas is Gas.OXYGEN else "deficient_share"
    return sourced("room_oxygen", key)


def _limits(gas: Gas) -> tuple[View, ...]:
    """The printed limits, and the one by which this gas is judged."""
    sides = (
        ("Enriched above", "enriched_share", gas is Gas.OXYGEN),
        ("Deficient below", "deficient_share", gas is not Gas.OXYGEN),
        ("Leave the room at, United Kingdom", "evacuate_uk_share", False),
    )
    return tuple(
        row_view(label, row, f"{100 * row.value:g} %", chosen=chosen)
        for label, row, chosen in (
            (label, sourced("room_oxygen", key), chosen) for label, key, chosen in sides
        )
    )


LINK = Link(
    name="room_air",
    title="Air of the room",
    answer=room_air,
    applies=lambda chain: chain.source.has_cylinders or chain.room_air.escaping_l is not None,
)
