"""Cases on paper that the tests of planned cases share; names and animals are made up."""

from dataclasses import replace

from ullage.answers import CaseInput, Verdict
from ullage.answers.places import place_at
from ullage.answers.plan import Case, Chamber, Phase, Ventilation

PHASES = (
    Phase(name="induction", minutes=10, oxygen_l_min=2.0),
    Phase(name="procedure", minutes=45, oxygen_l_min=1.0),
    Phase(name="waking", minutes=10, oxygen_l_min=2.0),
)
CAT = Case(
    name="Tansy",
    machine="Wren",
    start_min=600.0,
    phases=PHASES,
    species="cat",
    weight_kg=4.0,
    system="T-piece",
)
MOUSE = replace(CAT, name="C-31", species="mouse", weight_kg=0.025, system="nose cone")
PIG = replace(CAT, name="Rowan", species="pig", weight_kg=30.0, system="circle")
BOX = replace(MOUSE, chamber=Chamber(volume_l=4.0))
BLOWN = replace(PIG, ventilation=Ventilation(minute_volume_l_min=4.0))
HIGH = place_at(elevation_m=1900.0)


def told(case=CAT, **more):
    """A case of which everything was said, so that nothing is left to look at again."""
    known = {
        "agent": "isoflurane",
        "target_mac": 1.2,
        "drugs": (),
        "pressure_given": True,
        "co2_measured": True,
        "warmed": True,
        "cautery": False,
    }
    return CaseInput(case=case, **{**known, **more})


def with_phases(case, *phases):
    """The same case with other phases: name, minutes, oxygen, nitrous oxide."""
    return replace(
        case,
        phases=tuple(
            Phase(name=name, minutes=minutes, oxygen_l_min=oxygen, nitrous_oxide_l_min=nitrous)
            for name, minutes, oxygen, nitrous in phases
        ),
    )


def care(plan, name):
    """The care of a name, or None."""
    return next((one for one in plan.cares if one.name == name), None)


def verdict_of(plan, name):
    """What a care comes to, or None where it was not raised."""
    found = care(plan, name)
    return None if found is None else Verdict(found.verdict)
