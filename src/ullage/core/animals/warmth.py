"""How an unheated animal cools towards its room."""

from math import exp, log

from ullage.core.checks import not_negative, positive, within

__all__ = ["body_temperature_after_k", "cooling_min"]


def _kept(fall_step_k: float, fall_min: float, start_k: float, room_k: float) -> float:
    """Rate [1/min] of the approach to room temperature that a measured fall comes to."""
    positive("fall_step_k", fall_step_k)
    positive("fall_min", fall_min)
    within("room_k", room_k, 273.15, 318.15)
    within("start_k", start_k, 273.15, 318.15)
    apart = positive("start_k - room_k", start_k - room_k)
    within("fall_step_k", fall_step_k, 0.0, 0.999 * apart)
    return -log(1.0 - fall_step_k / apart) / fall_min


def body_temperature_after_k(
    start_k: float, room_k: float, fall_step_k: float, fall_min: float, after_min: float
) -> float:
    """Body temperature of an unheated animal, from a fall that was measured.

    The animal is taken to approach room temperature at a rate that does not change.

    Parameters
    ----------
    start_k : [K] at the start, 273.15 to 318.15 and above the room.
    room_k : [K] of the room, 273.15 to 318.15.
    fall_step_k : [K] measured fall, above 0 and less than the difference to the room.
    fall_min : [min] in which it was measured, above 0.
    after_min : [min] 0 or more.

    Returns
    -------
    [K] between room and start.

    Raises
    ------
    InvalidQuantity : a temperature, fall or time out of range.

    Source: physiology_base (section 7 for the falls; the form is an assumption).

    >>> round(body_temperature_after_k(310.15, 295.15, 9.9, 60.0, 30.0) - 273.15, 1)
    30.7
    """
    not_negative("after_min", after_min)
    rate = _kept(fall_step_k, fall_min, start_k, room_k)
    return room_k + (start_k - room_k) * exp(-rate * after_min)


def cooling_min(
    start_k: float, room_k: float, fall_step_k: float, fall_min: float, limit_k: float
) -> float:
    """Minutes until an unheated animal is as cold as a limit.

    Parameters
    ----------
    start_k : [K] at the start, 273.15 to 318.15 and above the room.
    room_k : [K] of the room, 273.15 to 318.15.
    fall_step_k : [K] measured fall, above 0 and less than the difference to the room.
    fall_min : [min] in which it was measured, above 0.
    limit_k : [K] above the room.

    Returns
    -------
    [min] 0 when the animal starts at the limit or below.

    Raises
    ------
    InvalidQuantity : a temperature, fall or time out of range.

    Source: physiology_base (section 7 for the falls; the form is an assumption).

    >>> round(cooling_min(310.15, 295.15, 9.9, 60.0, 308.15))
    8
    """
    rate = _kept(fall_step_k, fall_min, start_k, room_k)
    above = positive("limit_k - room_k", limit_k - room_k)
    return max(0.0, log((start_k - room_k) / above) / rate)
