"""Carbon dioxide to expect in a breathing system, breathing by itself or ventilated."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ullage.answers.animal_things import Animal, AnimalValue
from ullage.answers.answer import Answer, Step, Verdict, View, WhereFrom
from ullage.answers.breathing import BreathingSystem
from ullage.answers.depth import depth_rules
from ullage.answers.lines import band_together, line_of, lines_of
from ullage.answers.things import Place
from ullage.answers.words import figure
from ullage.core.animals import alveolar_ventilation_l_min, dead_space_share
from ullage.core.breathing import (
    Breath,
    co2_completely_mixed_fraction,
    co2_floor_fraction,
    co2_mixed_expired_fraction,
    rebreathed,
)
from ullage.core.checks import each_said, not_negative, positive, within
from ullage.core.errors import RuleBroken
from ullage.core.units import KINDS
from ullage.reference import Sourced, sourced
from ullage.reference.species import ventilator_rows

if TYPE_CHECKING:
    from ullage.core.kinetics import Litres

__all__ = ["RAISE_FRESH_GAS", "Breathed", "carbon_dioxide"]

#: What is to be done where some is breathed in again.
RAISE_FRESH_GAS = "Raise the fresh gas, and measure what is breathed in."


@dataclass(frozen=True, slots=True, kw_only=True)
class Breathed:
    """Fresh gas, and how the animal breathes it: by itself at a depth, or by a ventilator.

    ``tidal_l`` and ``breaths_per_min`` are those of the ventilator, none for where it may start;
    ``equipment_l`` is the dead space of the equipment; ``limb_l`` the hose in which gas waits, none
    for the usual one.
    """

    fresh_gas_l_min: float
    depth: float = 1.0
    ventilated: bool = False
    tidal_l: float | None = None
    breaths_per_min: float | None = None
    equipment_l: float = 0.0
    limb_l: float | None = None

    def __post_init__(self) -> None:
        positive("fresh_gas_l_min", self.fresh_gas_l_min)
        within("depth", self.depth, 0.0, 5.0)
        not_negative("equipment_l", self.equipment_l)
        each_said(self, positive, "tidal_l", "breaths_per_min", "limb_l")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Air:
    """Everything in litres of the lung: what is made, brought, breathed; and the pressures."""

    made: float
    fresh: float
    tidal: float
    rate: float
    dead: float
    dry_mmhg: float
    rows: tuple[Sourced, ...]

    @property
    def minute(self) -> float:
        """Tidal volume times rate."""
        return self.tidal * self.rate

    @property
    def alveolar(self) -> float:
        """What of it reaches the alveoli."""
        return alveolar_ventilation_l_min(self.minute, dead_space_share(self.dead, self.tidal))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Form:
    """Alveolar and inspired carbon dioxide [1] by one published form."""

    label: str
    alveolar: float
    inspired: float | None = None
    source: str = "uptake_base"
    how_known: str = "computed"


def carbon_dioxide(
    animal: Animal, system: BreathingSystem, breathed: Breathed, place: Place | None = None
) -> Answer:
    """Carbon dioxide to expect in the alveoli, and whether some is breathed in again.

    Parameters
    ----------
    animal : species and weight, with what it makes and breathes.
    system : of the case.
    breathed : fresh gas, depth, and the ventilator where there is one.
    place : air pressure; sea level where none is given.

    Raises
    ------
    InvalidQuantity : a flow or volume out of range.
    RuleBroken : dead space that takes the whole breath, or a ventilator that nobody knows.

    >>> from ullage.answers.animals import animal
    >>> cat = animal("cat", 4.0)
    >>> flow = Breathed(fresh_gas_l_min=1.5)
    >>> carbon_dioxide(cat, BreathingSystem.T_PIECE, flow).number_text
    '61 mmHg'
    """
    air = _air(animal, system, breathed, place or Place())
    forms = _FORMS[system](system, breathed, air)
    if not forms:
        return _unsettled(animal, system, breathed, air)
    chosen = forms[0]
    value = air.dry_mmhg * chosen.alveolar
    low, high = (air.dry_mmhg * one for one in _band(animal, system, breathed, air, forms))
    verdict, todo = _judged(chosen, value)
    return Answer(
        question=f"How much carbon dioxide on a {system} with "
        f"{figure(breathed.fresh_gas_l_min)} L/min?",
        value=value,
        unit="mmHg",
        low=low,
        high=high,
        covers="what the animal makes and breathes, and the forms and pauses side by side",
        sentence=_sentence(chosen, value, breathed),
        reasons=(_reason(system, breathed),),
        steps=_steps(air, chosen),
        where_from=(*animal["co2_output_l_min"].where_from, *lines_of(*air.rows), _EQUATIONS),
        assumptions=_assumed(animal, system, breathed),
        cautions=(_MEASURE,),
        views=_views(forms, air),
        verdict=verdict,
        todo=todo,
    )


_EQUATIONS = WhereFrom(
    source="uptake_base",
    how_known="computed",
    text="Balance of carbon dioxide, uptake section 2.5.",
)
_MEASURE = (
    "Measure inspired and end-tidal carbon dioxide: side-stream samples of animals below 5 kg at "
    "high flow read too low."
)


def _air(animal: Animal, system: BreathingSystem, breathed: Breathed, place: Place) -> _Air:
    from ullage.answers.kinetics import litres_of

    litres = litres_of(place.barometric_kpa)
    tidal, rate, rows = _breath(animal, breathed)
    dead = animal["dead_space_fraction"].value * tidal + breathed.equipment_l
    if dead >= 0.95 * tidal:
        raise RuleBroken(
            f"Dead space of {figure(1000 * dead)} mL leaves nothing of a breath of "
            f"{figure(1000 * tidal)} mL: take equipment away."
        )
    return _Air(
        made=animal["co2_output_l_min"].value * litres.of_standard,
        fresh=breathed.fresh_gas_l_min * litres.of_free,
        tidal=tidal,
        rate=rate,
        dead=dead,
        dry_mmhg=_dry_mmhg(litres),
        rows=rows,
    )


def _dry_mmhg(litres: "Litres") -> float:
    return (litres.ambient_kpa - litres.water_kpa) / KINDS["pressure"]["mmHg"]


def _breath(animal: Animal, breathed: Breathed) -> tuple[float, float, tuple[Sourced, ...]]:
    """Tidal volume [L] and rate [/min]: of the ventilator, or of the animal at its depth."""
    if breathed.ventilated:
        return _by_machine(animal, breathed)
    tidal = animal["tidal_l"].value
    rules = depth_rules(animal.species, "isoflurane")
    share = max(rules.breathing(breathed.depth))
    return tidal, share * animal["minute_volume_l_min"].value / tidal, (rules.rows[0],)


def _by_machine(animal: Animal, breathed: Breathed) -> tuple[float, float, tuple[Sourced, ...]]:
    """What was set; where that is not known, where a ventilator may start."""
    tidal, rate = breathed.tidal_l, breathed.breaths_per_min
    if tidal is not None and rate is not None:
        return tidal, rate, ()
    rows = ventilator_rows(animal.species) or ventilator_rows(animal.stands_on)
    if not rows:
        raise RuleBroken(
            f"Give tidal volume and rate: no start of a ventilator for the {animal.species} here."
        )
    volume, breaths = rows["tidal_ml_kg"][0], rows["rate_per_min"][0]
    start = 0.001 * volume.value * animal.weight_kg
    return tidal or start, rate or breaths.value, (volume, breaths)


def _limb_l(system: BreathingSystem, breathed: Breathed, air: _Air) -> float:
    if breathed.limb_l is not None:
        return breathed.limb_l
    if system is BreathingSystem.NOSE_CONE:
        return air.tidal
    return _row(f"limb.{system.key}_l").value


def _row(key: str) -> Sourced:
    return sourced("breathing", key)


def _plug(system: BreathingSystem, breathed: Breathed, air: _Air, pause: float) -> _Form:
    breath = Breath(
        tidal_l=air.tidal,
        breaths_per_min=air.rate,
        dead_space_l=air.dead,
        co2_output_l_min=air.made,
        limb_l=_limb_l(system, breathed, air),
        expiration_per_inspiration=_row("co2.expiration_per_inspiration").value,
        pause_share=pause,
        ventilated=breathed.ventilated,
    )
    found = rebreathed(breath, air.fresh)
    return _Form(
        label="Plug flow in the limb, last in first out",
        alveolar=found.alveolar_fraction,
        inspired=found.inspired_fraction,
    )


def _limb_forms(system: BreathingSystem, breathed: Breathed, air: _Air) -> tuple[_Form, ...]:
    """D, E, F and a cone: the form nearest to what was measured comes first."""
    through = (air.made, air.fresh, air.minute, air.alveolar)
    mixed = _Form(
        label="Overflow is mixed expired gas", alveolar=co2_mixed_expired_fraction(*through)
    )
    plug = _plug(system, breathed, air, _row("co2.pause_share").value)
    others = (
        _Form(
            label="Gas completely mixed, further from what was measured",
            alveolar=co2_completely_mixed_fraction(*through),
            source="uptake_memory",
            how_known="memory",
        ),
        _Form(
            label="Floor that no system goes below",
            alveolar=co2_floor_fraction(air.made, air.fresh, air.alveolar),
            source="machine_base",
        ),
    )
    return (mixed, plug, *others) if breathed.ventilated else (plug, mixed, *others)


def _absorbed(_: BreathingSystem, __: Breathed, air: _Air) -> tuple[_Form, ...]:
    """A circle whose absorbent still takes everything."""
    form = _Form(label="Absorbed", alveolar=air.made / air.alveolar, inspired=0.0)
    return (form,)


def _boxed(_: BreathingSystem, __: Breathed, air: _Air) -> tuple[_Form, ...]:
    """A chamber that mixes well: what is made leaves with the fresh gas."""
    inspired = air.made / air.fresh
    form = _Form(
        label="Well-mixed chamber",
        alveolar=inspired + air.made / air.alveolar,
        inspired=inspired,
        source="machine_base",
    )
    return (form,)


def _above(key: str) -> "_Forms":
    """A, B and C: a number only where fresh gas is above the printed multiple."""

    def forms(_: BreathingSystem, breathed: Breathed, air: _Air) -> tuple[_Form, ...]:
        if breathed.ventilated or air.fresh < _row(key).value * air.minute:
            return ()
        form = _Form(
            label="No rebreathing at this flow", alveolar=air.made / air.alveolar, inspired=0.0
        )
        return (form,)

    return forms


type _Forms = Callable[[BreathingSystem, Breathed, _Air], tuple[_Form, ...]]

_A, _BC = "minute_volume.a_onset", "minute_volume.bc_multiple"
_ONSET: Mapping[BreathingSystem, str] = {
    BreathingSystem.MAPLESON_A: _A,
    BreathingSystem.MINI_A: _A,
    BreathingSystem.MAPLESON_B: _BC,
    BreathingSystem.MAPLESON_C: _BC,
}
_FORMS: Mapping[BreathingSystem, _Forms] = {
    BreathingSystem.NOSE_CONE: _limb_forms,
    BreathingSystem.T_PIECE: _limb_forms,
    BreathingSystem.COAXIAL_D: _limb_forms,
    BreathingSystem.CIRCLE: _absorbed,
    BreathingSystem.LARGE_CIRCLE: _absorbed,
    BreathingSystem.CHAMBER: _boxed,
    **{system: _above(key) for system, key in _ONSET.items()},
}


def _band(
    animal: Animal, system: BreathingSystem, breathed: Breathed, air: _Air, forms: tuple[_Form, ...]
) -> tuple[float, float]:
    """What the animal makes and breathes, depth, dead space, pause and form, put together [1]."""
    value = forms[0].alveolar
    ratios = [_ends_of(animal["co2_output_l_min"])]
    if breathed.ventilated:
        dead = animal["dead_space_fraction"]
        least, most = (1.0 - (one or dead.value) for one in (dead.low, dead.high))
        ratios.append(((1.0 - dead.value) / least, (1.0 - dead.value) / most))
    else:
        low, high = _ends_of(animal["alveolar_l_min"])
        share = depth_rules(animal.species, "isoflurane").breathing(breathed.depth)
        ratios += [(1.0 / high, 1.0 / low), (1.0, min(3.0, max(share) / max(min(share), 0.01)))]
    if _FORMS[system] is _limb_forms:
        row = _row("co2.pause_share")
        tried = [_plug(system, breathed, air, row.high or row.value).alveolar]
        tried += [_plug(system, breathed, air, row.low or 0.0).alveolar, forms[1].alveolar, value]
        ratios.append((min(tried) / value, max(tried) / value))
    return band_together(value, *ratios)


def _ends_of(one: AnimalValue) -> tuple[float, float]:
    return (one.low or one.value) / one.value, (one.high or one.value) / one.value


def _unsettled(animal: Animal, system: BreathingSystem, breathed: Breathed, air: _Air) -> Answer:
    """No number: below its flow such a system rebreathes by an amount nobody printed."""
    row = _row(_ONSET[system])
    why = (
        f"A {system} rebreathes when a machine or a hand breathes, and nobody printed how much."
        if breathed.ventilated
        else f"Below {figure(row.value)} times the minute volume a {system} lets gas be breathed "
        "again, and nobody printed how much."
    )
    need = figure(row.value * air.minute * breathed.fresh_gas_l_min / air.fresh)
    return Answer(
        question=f"How much carbon dioxide on a {system} with "
        f"{figure(breathed.fresh_gas_l_min)} L/min?",
        unit="mmHg",
        sentence=why,
        reasons=("Only fresh gas washes carbon dioxide out of a system without absorber.",),
        steps=(Step(what="minute volume", result=f"{figure(air.minute)} L/min"),),
        where_from=(line_of(row), *animal["minute_volume_l_min"].where_from),
        cautions=(_MEASURE,),
        settles="Inspired carbon dioxide measured in this animal.",
        verdict=Verdict.STOP if breathed.ventilated else Verdict.LOOK_AGAIN,
        todo="Use a coaxial D or a circle."
        if breathed.ventilated
        else f"Raise fresh gas to {need} L/min or measure.",
    )


def _judged(chosen: _Form, value_mmhg: float) -> tuple[Verdict, str]:
    inspired, low, high = (
        _row(f"co2.{key}").value for key in ("inspired_share", "low_mmhg", "high_mmhg")
    )
    if chosen.inspired is not None and chosen.inspired > inspired:
        return Verdict.LOOK_AGAIN, RAISE_FRESH_GAS
    if value_mmhg > high:
        return Verdict.LOOK_AGAIN, "Measure it; lighten or ventilate above the limit of the site."
    if value_mmhg < low:
        return Verdict.LOOK_AGAIN, "Measure it; breathe it less."
    return Verdict.FINE, ""


def _sentence(chosen: _Form, value_mmhg: float, breathed: Breathed) -> str:
    how = (
        "ventilated"
        if breathed.ventilated
        else f"breathing by itself at {figure(breathed.depth)} MAC"
    )
    said = f"Expect about {figure(value_mmhg)} mmHg of carbon dioxide in the alveoli, {how}"
    if chosen.inspired is None:
        return f"{said}."
    if chosen.inspired < 1e-4:
        return f"{said}; next to none is breathed in again."
    return f"{said}; {figure(100 * chosen.inspired)} % is breathed in again."


def _reason(system: BreathingSystem, breathed: Breathed) -> str:
    if system.rebreathes:
        return "The absorbent takes it all as long as it is good: only ventilation counts."
    if breathed.ventilated:
        return "With a ventilator fresh gas or ventilation is the limit, whichever is smaller."
    return "Deeper means less breath; too little fresh gas brings expired gas back."


def _steps(air: _Air, chosen: _Form) -> tuple[Step, ...]:
    found = [
        Step(
            what="carbon dioxide made, warm and moist", result=f"{figure(1000 * air.made)} mL/min"
        ),
        Step(what="minute volume", result=f"{figure(air.minute)} L/min"),
        Step(what="of it in the alveoli", result=f"{figure(air.alveolar)} L/min"),
        Step(what="fresh gas over minute volume", result=figure(air.fresh / air.minute)),
    ]
    if chosen.inspired is not None:
        found.append(Step(what="inspired", result=f"{figure(100 * chosen.inspired)} %"))
    return tuple(found)


def _assumed(animal: Animal, system: BreathingSystem, breathed: Breathed) -> tuple[str, ...]:
    said = list(animal.assumptions)
    if not breathed.ventilated:
        said.append("Depth slows the rate and leaves the tidal volume as it is.")
    if breathed.ventilated and (breathed.tidal_l is None or breathed.breaths_per_min is None):
        said.append("The ventilator is taken to stand where it may start.")
    if _FORMS[system] is _limb_forms and breathed.limb_l is None:
        held = "one breath" if system is BreathingSystem.NOSE_CONE else "the usual hose"
        said.append(f"Gas waits in {held} between breaths.")
    if system.rebreathes:
        said.append("The absorbent is good and both valves close.")
    return tuple(said)


def _views(forms: tuple[_Form, ...], air: _Air) -> tuple[View, ...]:
    """The forms side by side, where they differ."""
    told = tuple(
        View(
            label=one.label,
            result=f"{figure(air.dry_mmhg * one.alveolar)} mmHg",
            source=one.source,
            how_known=one.how_known,
            chosen=one is forms[0],
        )
        for one in forms
    )
    return told if len({one.result for one in told}) > 1 else ()
