"""Carbon dioxide to expect in a planned case, once it is held at its level."""

from dataclasses import replace

from ullage.answers.answer import Answer
from ullage.answers.case_stretches import Planned
from ullage.answers.rebreathing import RAISE_FRESH_GAS, Breathed, carbon_dioxide
from ullage.core.errors import RuleBroken
from ullage.reference.species import ventilator_rows

__all__ = ["expected_co2"]


def expected_co2(planned: Planned) -> Answer | None:
    """Carbon dioxide at the end of the case; None where equipment leaves nothing of a breath.

    That an animal which breathes by itself holds back carbon dioxide at depth is no finding where
    somebody measures it, or is asked to by another; what is breathed in again is one in any case.

    Parameters
    ----------
    planned : the case.
    """
    last = planned.asleep[-1]
    blown = planned.blown(last)
    tidal, rate = _blown(planned) if blown else (None, None)
    told = Breathed(
        fresh_gas_l_min=last.flow_l_min,
        depth=planned.given.target_mac or 1.0,
        ventilated=blown,
        tidal_l=tidal,
        breaths_per_min=rate,
        equipment_l=planned.given.equipment_l or 0.0,
    )
    try:
        found = carbon_dioxide(planned.animal, planned.system, told, planned.given.place)
    except RuleBroken:
        return None  # the dead space is a stop by itself
    of_depth = not blown and found.value is not None and found.todo != RAISE_FRESH_GAS
    if of_depth and (planned.given.co2_measured or not planned.system.rebreathes):
        return replace(found, verdict=None)
    return found


def _blown(planned: Planned) -> tuple[float | None, float | None]:
    """[L] and [1/min] of the ventilator: its minute volume, in breaths of the usual size."""
    rows = ventilator_rows(planned.animal.species) or ventilator_rows(planned.animal.stands_on)
    ventilation = planned.given.case.ventilation
    if not rows or ventilation is None:
        return None, None
    tidal = 0.001 * rows["tidal_ml_kg"][0].value * planned.animal.weight_kg
    return tidal, ventilation.minute_volume_l_min / tidal
