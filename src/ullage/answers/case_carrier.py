"""The gas that a vaporizer is fed with in a stretch, and what tests found at unusual flows."""

from ullage.answers.case_things import Stretch
from ullage.answers.vaporizers import Carrier
from ullage.answers.words import figure
from ullage.reference import sourced

__all__ = ["carrier_of", "found_at_flow"]

_TESTED = frozenset({"isoflurane", "sevoflurane"})


def carrier_of(stretch: Stretch) -> Carrier:
    """The carrier gas of a stretch: nitrous oxide where there is any, air where most is air.

    Parameters
    ----------
    stretch : with its gases.

    >>> from ullage.answers.breathing import FlowPhase
    >>> half = Stretch(name="hold", phase=FlowPhase.HOLD, start_min=0, minutes=30,
    ...                oxygen_l_min=1.0, nitrous_oxide_l_min=1.0)
    >>> carrier_of(half).value
    'nitrous oxide'
    """
    if stretch.nitrous_oxide_l_min:
        return Carrier.NITROUS_OXIDE
    return Carrier.AIR if stretch.air_l_min > stretch.oxygen_l_min else Carrier.OXYGEN


def found_at_flow(agent: str, flow_l_min: float) -> str:
    """What tests found at a flow outside the range that vaporizers are made for.

    Parameters
    ----------
    agent : in the vaporizer.
    flow_l_min : [L/min] through it.

    >>> found_at_flow("sevoflurane", 0.2)
    'Tests in oxygen from 0.02 L/min on found sevoflurane within 20 % of the dial.'
    """
    least = sourced("case", "vaporizer.tested_l_min").value
    if agent not in _TESTED or flow_l_min < least:
        return "No test at such a flow is in the tables."
    share = figure(sourced("agents", "low_dial.isoflurane_percent").value)
    begun = f"Tests in oxygen from {figure(least)} L/min on found"
    if agent == "sevoflurane":
        return f"{begun} sevoflurane within {share} % of the dial."
    below = figure(sourced("agents", "low_dial.isoflurane_to_percent").value)
    return f"{begun} isoflurane mostly above the dial, by over {share} % at {below} % and less."
