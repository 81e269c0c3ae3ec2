"""The wrong agent, or two agents, in one vaporizer: what comes out, and how deep that is."""

from dataclasses import dataclass

from ullage.answers.agents import Liquid, liquid_of
from ullage.answers.answer import Answer, Step, Verdict, WhereFrom
from ullage.answers.lines import line_of
from ullage.answers.mac import Mac, mac_of
from ullage.answers.things import Place
from ullage.answers.words import figure
from ullage.core.agents import (
    anaesthetic_depth,
    liquid_mole_fraction,
    mixture_output_fraction,
    mixture_vapour_kpa,
    splitting_share,
    wrong_agent_fraction,
)
from ullage.core.checks import within
from ullage.core.errors import RuleBroken
from ullage.core.units import celsius
from ullage.reference import Sourced, sourced, table

__all__ = ["Fill", "mixed_agents", "wrong_agent"]

_WHAT_TO_DO = (
    "Take the vaporizer out of use, label it, and have it emptied and served as its maker says."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fill:
    """A vaporizer made for one agent that holds another, with its dial.

    ``left_ml`` and ``added_ml`` are the right and the wrong liquid in it, where both are.
    """

    made_for: str
    holds: str
    dial_fraction: float
    left_ml: float = 0.0
    added_ml: float = 0.0

    def __post_init__(self) -> None:
        within("dial_fraction", self.dial_fraction, 0.0, 0.2)


def wrong_agent(fill: Fill, species: str, place: Place | None = None) -> Answer:
    """What a splitting vaporizer delivers that holds another agent than it was made for.

    Raises
    ------
    RuleBroken : the agent it was made for, or a heated vaporizer.
    UnknownReference : an agent or species not known.

    >>> fill = Fill(made_for="sevoflurane", holds="isoflurane", dial_fraction=0.02)
    >>> wrong_agent(fill, "cat").number_text
    '3.46 %'
    """
    where = place or Place()
    meant, inside = _pair(fill)
    mac = mac_of(species, inside.agent)
    if _boils(inside, where):
        return _boiling(fill, inside, mac, where)
    right, wrong = (one.vapour_kpa(where.temperature_k) for one in (meant, inside))
    out = wrong_agent_fraction(fill.dial_fraction, right, wrong, where.barometric_kpa)
    depth, wanted = out / mac.mac_fraction, _meant_depth(fill, species)
    return Answer(
        question=f"What comes out of a {meant.agent} vaporizer that holds {inside.agent}?",
        value=100 * out,
        unit="%",
        low=100 * out * (1.0 - _accuracy()),
        high=100 * out * (1.0 + _accuracy()),
        covers="accuracy of the vaporizer",
        sentence=f"At a dial of {_percent(fill.dial_fraction)} it delivers {_percent(out)} "
        f"{inside.agent}, {figure(depth)} MAC of the {mac.species}; {figure(wanted)} MAC of "
        f"{meant.agent} was meant.",
        reasons=(
            "The split stays; the other vapour pressure fills the chamber.",
            _direction(depth, wanted),
        ),
        steps=(
            Step(what=f"vapour of {meant.agent}", result=f"{figure(right)} kPa"),
            Step(what=f"vapour of {inside.agent}", result=f"{figure(wrong)} kPa"),
        ),
        where_from=(
            line_of(meant.line_row, f"vapour of {meant.agent}"),
            line_of(inside.line_row, f"vapour of {inside.agent}"),
            mac.where_from,
        ),
        cautions=tuple(one for one in (mac.doubt,) if one),
        verdict=Verdict.STOP,
        todo=_WHAT_TO_DO,
    )


def _accuracy() -> float:
    """Share by which a vaporizer may be off its dial."""
    return sourced("agents", "accuracy.of_setting_percent").value / 100.0


def _percent(fraction: float) -> str:
    return f"{figure(100 * fraction)} %"


def _pair(fill: Fill) -> tuple[Liquid, Liquid]:
    """Both liquids; the right one in its own vaporizer is no error."""
    meant, inside = liquid_of(fill.made_for), liquid_of(fill.holds)
    if meant.agent == inside.agent:
        raise RuleBroken(f"{meant.agent} in a {meant.agent} vaporizer is the right agent.")
    if meant.agent == "desflurane":
        raise RuleBroken(
            "A heated desflurane vaporizer that holds another agent is not computed: stop using "
            "it and have it served."
        )
    return meant, inside


def _boils(liquid: Liquid, place: Place) -> bool:
    """Whether it boils at the warmer end of what the room's temperature may be."""
    warm = min(place.temperature_k + place.temperature_band_k, liquid.line.highest_k)
    return liquid.vapour_kpa(warm) >= place.barometric_kpa


def _meant_depth(fill: Fill, species: str) -> float:
    """Depth that the dial promises with the right agent."""
    return fill.dial_fraction / mac_of(species, fill.made_for).mac_fraction


def _direction(depth: float, wanted: float) -> str:
    if depth > wanted:
        return "That is deeper than meant: a more volatile or more potent agent overdoses."
    return "That is lighter than meant: the animal may move or wake."


def _boiling(fill: Fill, inside: Liquid, mac: Mac, place: Place) -> Answer:
    """No figure where the agent may boil: only that it is dangerous, and what a study found."""
    warm, row = (
        figure(celsius(place.temperature_k)),
        table("agents").get(f"misfill.{fill.made_for}"),
    )
    found, lines = "", tuple[WhereFrom, ...]()
    if isinstance(row, Sourced):
        found = f" A study at 22 °C came to {figure(row.value)} MAC at a dial of 1 MAC."
        lines = (line_of(row, "desflurane in the wrong vaporizer"),)
    return Answer(
        question=f"What comes out of a {fill.made_for} vaporizer that holds {inside.agent}?",
        unit="%",
        sentence=f"{inside.agent.capitalize()} boils, or nearly, in a room of about {warm} °C: the "
        f"gas can be mostly vapour, many times the {_percent(mac.mac_fraction)} of one MAC, and "
        f"leave too little oxygen.{found}",
        reasons=(
            "Near its boiling point a small difference in warmth changes the output severalfold.",
        ),
        where_from=(line_of(inside.line_row, f"vapour of {inside.agent}"), mac.where_from, *lines),
        settles="Do not use it: nobody can say what it delivers.",
        verdict=Verdict.STOP,
        todo=_WHAT_TO_DO,
    )


def mixed_agents(fill: Fill, species: str, place: Place | None = None) -> Answer:
    """How deep a vaporizer takes an animal that holds some of both agents.

    Raises
    ------
    RuleBroken : one agent only.
    InvalidQuantity : no liquid at all.

    >>> half = Fill(
    ...     made_for="sevoflurane", holds="isoflurane", dial_fraction=0.02, left_ml=50, added_ml=50
    ... )
    >>> mixed_agents(half, "cat").number_text
    '1.36 x MAC'
    """
    where = place or Place()
    meant, inside = _pair(fill)
    liquids = (inside, meant)
    if _boils(inside, where):
        return _boiling(fill, inside, mac_of(species, inside.agent), where)
    outputs, both = _outputs(fill, (meant, inside), where)
    macs = tuple(mac_of(species, one.agent) for one in liquids)
    depth = anaesthetic_depth(outputs, tuple(one.mac_fraction for one in macs))
    low = anaesthetic_depth(outputs, tuple(one.high_fraction for one in macs))
    high = anaesthetic_depth(outputs, tuple(one.low_fraction for one in macs))
    alone = _meant_depth(fill, species)
    return Answer(
        question=f"How deep is a {meant.agent} vaporizer that also holds {inside.agent}?",
        value=depth,
        unit="x MAC",
        low=low * (1.0 - _accuracy()),
        high=high * (1.0 + _accuracy()),
        covers="the range of both MACs, and accuracy of the vaporizer",
        sentence=f"It delivers {_percent(outputs[0])} {inside.agent} and {_percent(outputs[1])} "
        f"{meant.agent}, together {figure(depth)} MAC; {figure(alone)} MAC was meant.",
        reasons=("Each agent keeps its share of its own vapour pressure; fractions of MAC add.",),
        steps=(Step(what="vapour of the mixture", result=f"{figure(both)} kPa"),),
        where_from=(
            *(line_of(one.line_row, f"vapour of {one.agent}") for one in liquids),
            *(one.where_from for one in macs),
        ),
        assumptions=("The liquids mix as ideal ones; halothane with enflurane does not.",),
        cautions=(
            "The mixture changes while it is used: the more volatile agent leaves first.",
            *(one.doubt for one in macs if one.doubt),
        ),
        verdict=Verdict.STOP,
        todo=_WHAT_TO_DO,
    )


def _outputs(
    fill: Fill, pair: tuple[Liquid, Liquid], place: Place
) -> tuple[tuple[float, float], float]:
    """Output of the wrong and of the right agent, and the vapour pressure of both [kPa]."""
    meant, inside = pair
    wrong = liquid_mole_fraction(
        fill.added_ml, inside.moles_per_litre, fill.left_ml, meant.moles_per_litre
    )
    right_kpa, wrong_kpa = (one.vapour_kpa(place.temperature_k) for one in pair)
    share = splitting_share(fill.dial_fraction, right_kpa, place.barometric_kpa)
    first = mixture_output_fraction(wrong, wrong_kpa, right_kpa, share, place.barometric_kpa)
    second = mixture_output_fraction(1.0 - wrong, right_kpa, wrong_kpa, share, place.barometric_kpa)
    return (first, second), mixture_vapour_kpa(wrong, wrong_kpa, right_kpa)
