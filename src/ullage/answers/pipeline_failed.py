"""Pipeline failed, or wrong gas: the steps, the pipeline off first."""

from ullage.answers.answer import Answer, Step, Verdict, WhereFrom
from ullage.reference import sourced, sources

__all__ = ["pipeline_failed_steps"]

STEPS = (
    (
        "Disconnect the pipeline hose at the wall",
        "while it is connected its pressure keeps the reserve out, and a wrong gas in",
    ),
    ("Open the reserve oxygen cylinder with its wrench", "slowly, then fully"),
    (
        "See that oxygen flows: float, oxygen analyser, gauge of the reserve",
        "every other gas off",
    ),
    (
        "If it does not: breathe for the animal with the self-inflating bag on room air",
        "it needs no supply; the animal off the machine",
    ),
    (
        "Switch a gas-driven ventilator off and breathe by hand; set the lowest flow that suits",
        "drive gas empties a reserve in minutes",
    ),
    ("Read the gauge of the reserve and work out how long it lasts", "`ullage lasts`"),
    ("Send for the next full cylinder, and tell every room on the same pipeline", ""),
    (
        "Go on, or wake the animal: the responsible veterinarian decides",
        "watch depth; it changes when the fresh gas does",
    ),
    (
        "Leave the pipeline off until the gas has been tested for identity, not only for pressure",
        "pressure alarms do not know one gas from another",
    ),
)
LOWER = (
    "The reserve comes through a regulator set just below the pipeline, so that the wall is used "
    "first."
)
PRACTISE = "Practise these steps on a machine without an animal, and keep them on the machine."


def pipeline_failed_steps(reserve_lasts: Answer | None = None) -> Answer:
    """What to do when the pipeline fails or carries the wrong gas.

    Parameters
    ----------
    reserve_lasts : how long the reserve lasts, when that has been worked out.

    Returns
    -------
    [1] how many steps; they are what to do, in order.

    >>> pipeline_failed_steps().steps[0].what
    'Disconnect the pipeline hose at the wall'
    """
    said = () if reserve_lasts is None else (f"The reserve: {reserve_lasts.sentence}",)
    machine = sourced("pipeline", "regulator.machine_psi")
    return Answer(
        question="The pipeline has failed, or carries the wrong gas: what now?",
        value=float(len(STEPS)),
        unit="steps, in this order",
        sentence="Disconnect the pipeline first, then open the reserve oxygen cylinder.",
        reasons=(LOWER, "A wrong gas is only kept out by a hose that is off the wall.", *said),
        todo="Disconnect the pipeline at the wall, then open the reserve.",
        verdict=Verdict.STOP,
        steps=tuple(Step(what=what, result="", note=note) for what, note in STEPS),
        where_from=(
            WhereFrom(
                source="common_practice",
                how_known="common",
                text="The order of the steps, the pipeline off first. Common practice, no source.",
            ),
            WhereFrom(
                source=machine.source,
                how_known=machine.how_known.value,
                text=f"{machine.value:g} {machine.unit}: {machine.where}. "
                f"{sources()[machine.source].cite}.",
            ),
        ),
        cautions=(PRACTISE, "The plan of your own site and the maker of the machine come first."),
    )
