"""What would be unsafe in a planned case, each as a caution or a stop."""

from collections.abc import Callable, Iterator

from ullage.answers.animal_answers import animal_cools
from ullage.answers.animal_things import Animal
from ullage.answers.answer import Verdict, WhereFrom
from ullage.answers.breathing import BreathingSystem
from ullage.answers.case_carrier import found_at_flow
from ullage.answers.case_stretches import AIR_OXYGEN, Planned
from ullage.answers.case_things import Care, Stretch
from ullage.answers.kinetics import litres_of
from ullage.answers.lines import line_of
from ullage.answers.mac import mac_of
from ullage.answers.mac_answers import drugs_studied
from ullage.answers.words import figure
from ullage.core.errors import UnknownReference
from ullage.reference import sourced
from ullage.reference.species import ventilator_rows

__all__ = ["after_nitrous_min", "cares_of", "inspired_oxygen_fraction", "settings_known"]

_LOOK, _STOP = Verdict.LOOK_AGAIN, Verdict.STOP
_COMMON = WhereFrom(source="common_practice", how_known="common", text="Common practice.")


def _care(
    name: str, verdict: Verdict, sentence: str, todo: str, where: WhereFrom = _COMMON
) -> Care:
    return Care(name=name, verdict=verdict, sentence=sentence, todo=todo, where_from=where)


def cares_of(planned: Planned) -> tuple[Care, ...]:
    """Everything that would be unsafe, stops first."""
    found = [one for check in _CHECKS for one in check(planned)]
    return tuple(sorted(found, key=lambda one: one.verdict is not _STOP))


def after_nitrous_min(planned: Planned) -> float:
    """[min] of oxygen alone that are planned after the last nitrous oxide.

    Parameters
    ----------
    planned : a case with nitrous oxide.
    """
    given = [one for one in planned.stretches if one.planned]
    last = max(one.end_min for one in given if one.nitrous_oxide_l_min)
    after = [one for one in given if one.start_min >= last - 1e-9]
    return sum(one.minutes for one in after if not one.air_l_min)


def _after_nitrous_oxide(planned: Planned) -> Iterator[Care]:
    """Oxygen alone must follow nitrous oxide."""
    if not planned.nitrous:
        return
    row, minutes = sourced("case", "oxygen.after_nitrous_min"), after_nitrous_min(planned)
    if minutes < row.value:
        yield _care(
            "oxygen after nitrous oxide",
            _STOP,
            f"Only {figure(minutes)} min of oxygen follow the nitrous oxide.",
            f"Plan {figure(row.value)} min of oxygen alone or more at the end.",
            line_of(row),
        )


def _cautery(planned: Planned) -> Iterator[Care]:
    """Oxygen that escapes from an open mask feeds a spark."""
    if planned.system is not BreathingSystem.NOSE_CONE or planned.given.cautery is False:
        return
    known = planned.given.cautery is True
    told = (
        "beside a cautery: oxygen escapes around it and can burn."
        if known
        else ("and nobody said whether a cautery is used: oxygen escapes around the mask.")
    )
    yield _care(
        "cautery",
        _STOP if known else _LOOK,
        f"An open mask {told}",
        "Use a tube or a fitted mask, or keep cautery and oxygen apart.",
    )


def _warmth(planned: Planned) -> Iterator[Care]:
    """A fall of temperature is expected where nobody warms."""
    if planned.given.warmed is True:
        return
    todo = "Warm it from the start and measure its temperature."
    try:
        cooled = animal_cools(planned.animal, planned.stretches[-1].start_min, planned.given.place)
    except UnknownReference:
        said = f"How fast a {planned.animal.species} cools is not in the tables; it will."
        yield _care("warmth", _LOOK, said, todo)
        return
    yield _care("warmth", _LOOK, cooled.sentence, todo, cooled.where_from[0])


def _carbon_dioxide(planned: Planned) -> Iterator[Care]:
    """Inspired carbon dioxide must be seen on a small circle and on a low flow without absorber."""
    if planned.given.co2_measured is True:
        return
    small = sourced("breathing", "band.circle.low_kg")
    weight = planned.animal.weight_kg
    if planned.system is BreathingSystem.CIRCLE and weight < small.value:
        yield _care(
            "inspired carbon dioxide",
            _STOP,
            f"A circle below {figure(small.value)} kg without inspired carbon dioxide measured.",
            "Measure inspired carbon dioxide, or use a system without valves.",
            line_of(small),
        )
    elif not planned.system.rebreathes:
        yield _care(
            "inspired carbon dioxide",
            _LOOK,
            "A system without absorber, and nobody said that inspired carbon dioxide is measured.",
            "Measure it: no flow by rule prevents rebreathing in every animal.",
        )


def _enough_flow(planned: Planned) -> Iterator[Care]:
    """Fresh gas below what the animal needs."""
    need = planned.animal["oxygen_demand_l_min"]
    breath = planned.animal["minute_volume_l_min"].value
    for one in planned.stretches:
        oxygen = one.oxygen_l_min + AIR_OXYGEN * one.air_l_min
        if oxygen < need.value:
            yield _care(
                "oxygen below need",
                _STOP,
                f"{figure(1000 * oxygen)} mL/min of oxygen in {one.name} is less than the "
                f"{figure(1000 * need.value)} mL/min that may be used.",
                "Raise the oxygen flow.",
                need.where_from[0],
            )
        elif planned.open_in(one) and one.flow_l_min < breath:
            yield _care(
                "flow below need",
                _LOOK,
                f"{figure(one.flow_l_min)} L/min in {one.name} is below the minute volume of "
                f"{figure(breath)} L/min: expect rebreathing or room air.",
                "Raise the flow, or watch inspired carbon dioxide.",
                planned.animal["minute_volume_l_min"].where_from[0],
            )


def inspired_oxygen_fraction(planned: Planned, stretch: Stretch) -> float:
    """[1] oxygen breathed in a stretch once it has settled, before the engine is asked.

    In a circle, fresh gas and, for the rest of the breath, what is breathed again. Nitrous oxide
    taken up follows the rule of the root of time, ten minutes in.

    Parameters
    ----------
    planned : the case.
    stretch : of it.
    """
    delivered = stretch.oxygen_l_min + AIR_OXYGEN * stretch.air_l_min
    if planned.open_in(stretch):
        return delivered / stretch.flow_l_min
    litres = litres_of(planned.given.place.barometric_kpa)
    used = planned.animal["oxygen_use_l_min"].value * litres.of_standard / litres.of_free
    rule = sourced("case", "nitrous_uptake.coefficient_ml_min").value / 1000.0
    taken = rule * planned.animal.weight_kg / 70.0 / 10.0**0.5 if stretch.nitrous_fraction else 0.0
    left = stretch.flow_l_min - used - taken
    if delivered <= used or left <= 0.0:
        return 0.0
    again = (delivered - used) / left
    breath = planned.animal["minute_volume_l_min"].value / litres.of_free
    fresh = min(1.0, stretch.flow_l_min / breath)
    return fresh * delivered / stretch.flow_l_min + (1.0 - fresh) * again


def _oxygen(planned: Planned) -> Iterator[Care]:
    """Oxygen below 30 %, and hypoxic mixtures."""
    least, hypoxic = (sourced("case", f"oxygen.{one}_share") for one in ("least", "hypoxic"))
    for one in planned.stretches:
        fraction = inspired_oxygen_fraction(planned, one)
        if fraction >= least.value:
            continue
        stop = fraction < hypoxic.value
        yield _care(
            "hypoxic mixture" if stop else "oxygen below 30 %",
            _STOP if stop else _LOOK,
            f"About {figure(100 * fraction)} % oxygen is breathed in {one.name}.",
            "Give more oxygen and measure the inspired fraction.",
            line_of(hypoxic if stop else least),
        )


def _vaporizer_flow(planned: Planned) -> Iterator[Care]:
    """Flows that vaporizers are not made for."""
    least, most = (sourced("fresh_gas", f"vaporizer.{end}_l_min") for end in ("least", "most"))
    told = sorted({one.flow_l_min for one in planned.asleep})
    outside = [one for one in told if not least.value <= one <= most.value]
    if outside:
        yield _care(
            "vaporizer outside its flow range",
            _LOOK,
            f"{', '.join(map(figure, outside))} L/min is outside {figure(least.value)} to "
            f"{figure(most.value)} L/min, for which vaporizers are made. "
            f"{found_at_flow(planned.given.agent, outside[0])}",
            "Look into the maker's manual, or measure the agent.",
            line_of(least),
        )


def _drugs(planned: Planned) -> Iterator[Care]:
    """Drugs whose effect on MAC nobody studied in this species."""
    studied = {one.name for one in drugs_studied(planned.animal.species, planned.given.agent)}
    for name in planned.given.drugs or ():
        if name not in studied:
            known = ", ".join(sorted(studied)) or "none"
            yield _care(
                "drug without a study",
                _LOOK,
                f"No study of {name!r} in the {planned.animal.species} is in the tables, so the "
                f"dials leave it out; studied are: {known}.",
                "Expect to need less: drugs lower MAC by a tenth to three quarters.",
                WhereFrom(source="agents_base", how_known="computed", text="Drugs that spare."),
            )


def _lent(planned: Planned) -> Iterator[Care]:
    """A MAC that nobody measured in this species."""
    agents = [planned.given.agent] if planned.given.mac_fraction is None else []
    for name in (*agents, *(("nitrous oxide",) if planned.nitrous else ())):
        mac = mac_of(planned.animal.species, name)
        if mac.borrowed:
            yield _care(
                "MAC of another species",
                _LOOK,
                f"No MAC of {name} in the {mac.species} is in the tables; that of the "
                f"{mac.of_species} is taken, and every dial and time rests on it.",
                "Set the MAC of your site, or take an agent that was studied in this species.",
                line_of(mac.row),
            )


def settings_known(who: Animal) -> bool:
    """True where the tables say where a ventilator may start.

    Parameters
    ----------
    who : the animal.
    """
    return bool(ventilator_rows(who.species) or ventilator_rows(who.stands_on))


def _ventilation(planned: Planned) -> Iterator[Care]:
    """A Mapleson A with a ventilator."""
    if planned.ventilated and planned.system.is_a:
        yield _care(
            "ventilation on a Mapleson A",
            _STOP,
            f"A {planned.system} rebreathes when a machine or a hand breathes.",
            "Use a coaxial D or a circle.",
        )
    if planned.ventilated and not settings_known(planned.animal):
        yield _care(
            "ventilator settings",
            _LOOK,
            f"The tables have no ventilator settings of the {planned.animal.species}.",
            "Set it by the chest, the pressure and the capnogram.",
        )


def _pressure(planned: Planned) -> Iterator[Care]:
    """The barometer that nobody read."""
    if not planned.given.pressure_given:
        yield _care(
            "barometric pressure",
            _LOOK,
            "Neither barometer nor elevation was given: sea level is assumed.",
            "Give the elevation: it changes what a dial delivers and what one MAC is.",
            WhereFrom(source="assumed", how_known="memory", text="Sea level is assumed."),
        )


def _room(planned: Planned) -> Iterator[Care]:
    """A chamber that is opened."""
    chamber = planned.given.case.chamber
    if not planned.boxed and chamber is None:
        return
    wanted = sourced("breathing", "chamber.purge_volumes")
    known = chamber is not None
    given = chamber.purges * chamber.volumes if chamber is not None else 0.0
    enough = known and given >= wanted.value
    litres = f", {figure(wanted.value * chamber.volume_l)} L" if chamber is not None else ""
    planned_so = "" if enough else " No such purge is planned."
    yield _care(
        "opening the chamber",
        _LOOK,
        f"A chamber that is opened full of agent empties into the room.{planned_so}",
        f"Purge it with {figure(wanted.value)} volumes{litres} of gas without agent first.",
        line_of(wanted),
    )
    if known and not planned.boxed:
        yield _care(
            "no phase in the chamber",
            _LOOK,
            "A chamber is planned, and no phase at the start is called induction, chamber or box: "
            "levels are worked out as if none were used.",
            "Call the phase that is spent in it induction.",
        )


_CHECKS: tuple[Callable[[Planned], Iterator[Care]], ...] = (
    _after_nitrous_oxide,
    _oxygen,
    _enough_flow,
    _cautery,
    _carbon_dioxide,
    _ventilation,
    _drugs,
    _lent,
    _vaporizer_flow,
    _warmth,
    _pressure,
    _room,
)
