"""How far a vaporizer is off with the carrier gas and flow of a stretch, where it was measured."""

from ullage.answers.answer import WhereFrom
from ullage.answers.case_things import Stretch
from ullage.answers.lines import line_of
from ullage.answers.vaporizers import VaporizerKind, kind_for
from ullage.answers.words import figure
from ullage.reference import sourced

__all__ = ["CarrierError", "carrier_error", "found_at_flow"]

_TESTED = frozenset({"isoflurane", "sevoflurane"})


class CarrierError:
    """Output over dial, low and high, with the reasons and sources of both ends."""

    def __init__(self) -> None:
        self.low, self.high = 1.0, 1.0
        self.reasons: list[str] = []
        self.where_from: list[WhereFrom] = []

    @property
    def dial_off(self) -> tuple[float, float]:
        """[1] low and high of the dial that gives what was asked for."""
        return 1.0 / self.high, 1.0 / self.low


def carrier_error(agent: str, stretch: Stretch, dial_fraction: float) -> CarrierError:
    """How far the output may be off the dial with the gas of a stretch.

    Parameters
    ----------
    agent : in the vaporizer.
    stretch : with its gases.
    dial_fraction : [1] where the dial stands.

    >>> from ullage.answers.breathing import FlowPhase
    >>> half = Stretch(name="hold", phase=FlowPhase.HOLD, start_min=0, minutes=30,
    ...                oxygen_l_min=1.0, nitrous_oxide_l_min=1.0)
    >>> [round(one, 2) for one in carrier_error("isoflurane", half, 0.02).dial_off]
    [1.0, 1.14]
    """
    found = CarrierError()
    if kind_for(agent) is VaporizerKind.HEATED:
        return found
    if stretch.nitrous_oxide_l_min:
        in_oxygen, settled = (
            sourced("agents", f"carrier_gas.{one}_percent") for one in ("oxygen", "settled")
        )
        found.low = settled.value / in_oxygen.value
        found.reasons.append(
            f"Nitrous oxide lowers the output: a dial that gave {figure(in_oxygen.value)} % of "
            f"halothane in oxygen settled at {figure(settled.value)} % in nitrous oxide; that "
            "share is taken over for this agent and mixture."
        )
        found.where_from.append(line_of(settled))
        return found
    over, below = (sourced("case", f"vaporizer.oxygen_{one}_percent") for one in ("over", "dial"))
    if agent == "isoflurane" and not stretch.air_l_min and 100 * dial_fraction <= below.value:
        found.high = 1.0 + 0.01 * over.value
        found.reasons.append(
            f"In oxygen isoflurane vaporizers gave over {figure(over.value)} % more than a "
            f"dial of {figure(below.value)} % or less."
        )
        found.where_from.append(line_of(over))
    return found


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
    share = figure(sourced("case", "vaporizer.oxygen_over_percent").value)
    if agent not in _TESTED or flow_l_min < least:
        return "No test at such a flow is in the tables."
    begun = f"Tests in oxygen from {figure(least)} L/min on found"
    if agent == "sevoflurane":
        return f"{begun} sevoflurane within {share} % of the dial."
    below = figure(sourced("case", "vaporizer.oxygen_dial_percent").value)
    return f"{begun} isoflurane mostly above the dial, by over {share} % at {below} % and less."
