"""Vapour in the air of one well-mixed box: a room, or a chamber that is blown out.

A mixing factor of 1 is a box that mixes perfectly. With a factor of 5 only a fifth of the fresh
air does its work: levels are five times as high, and decay takes five times as long.
"""

from math import exp, expm1, log

from ullage.core.checks import not_negative, positive, within
from ullage.core.errors import InvalidQuantity

__all__ = [
    "air_changes_from_decay_per_h",
    "fresh_air_from_half_time_m3_h",
    "room_air_l_min",
    "room_built_up_ppm",
    "room_decayed_ppm",
    "room_from_steady_m3",
    "room_steady_ppm",
    "swept_fraction",
    "swept_min",
]

_L_PER_M3 = 1000.0
_MIN_PER_H = 60.0
_MILLION = 1e6

#: A factor above this is no mixing any more; published advice ends at 10.
_MOST_MIXING = 100.0


def room_air_l_min(room_m3: float, air_changes_per_h: float) -> float:
    """Fresh air that a room gets.

    Parameters
    ----------
    room_m3 : [m³] air in the room, above 0.
    air_changes_per_h : [/h] room volumes of fresh air each hour, 0 or more.

    Returns
    -------
    [L/min] of fresh air.

    Raises
    ------
    InvalidQuantity : a number outside its range.

    Source: waste_base (Q = V ACH).

    >>> room_air_l_min(50.0, 15.0)
    12500.0
    """
    changes = not_negative("air_changes_per_h", air_changes_per_h)
    return positive("room_m3", room_m3) * _L_PER_M3 * changes / _MIN_PER_H


def room_steady_ppm(
    vapour_l_min: float, room_m3: float, air_changes_per_h: float, mixing_factor: float = 1.0
) -> float:
    """Level that a steady source comes to in a ventilated room in the end.

    Parameters
    ----------
    vapour_l_min : [L/min] of vapour that escapes, counted at the air of the room, 0 or more.
    room_m3 : [m³] air in the room, above 0.
    air_changes_per_h : [/h] room volumes of fresh air each hour, above 0.
    mixing_factor : [1] 1 mixes perfectly, 10 hardly at all.

    Returns
    -------
    [ppm] by volume; about 63 % of it is there after one air change over the mixing factor.

    Raises
    ------
    InvalidQuantity : a number outside its range.

    Source: waste_base (C = G/Q 1e6 K).

    >>> round(room_steady_ppm(0.006, 50.0, 15.0), 2)
    0.48
    """
    fresh = room_air_l_min(room_m3, positive("air_changes_per_h", air_changes_per_h))
    return _mixing(mixing_factor) * _MILLION * not_negative("vapour_l_min", vapour_l_min) / fresh


def room_built_up_ppm(
    vapour_l_min: float,
    room_m3: float,
    air_changes_per_h: float,
    elapsed_min: float,
    mixing_factor: float = 1.0,
) -> float:
    """Level some time after a steady source began in clean air.

    Parameters
    ----------
    vapour_l_min : [L/min] of vapour that escapes, counted at the air of the room, 0 or more.
    room_m3 : [m³] air in the room, above 0.
    air_changes_per_h : [/h] room volumes of fresh air each hour, 0 or more.
    elapsed_min : [min] since the source began, 0 or more.
    mixing_factor : [1] 1 mixes perfectly, 10 hardly at all.

    Returns
    -------
    [ppm] by volume; without any air change it rises for ever.

    Raises
    ------
    InvalidQuantity : a number outside its range.

    Source: machine_S127 (build-up to the steady level).

    >>> round(room_built_up_ppm(0.006, 50.0, 15.0, 4.0), 3)
    0.303
    """
    changes = not_negative("air_changes_per_h", air_changes_per_h)
    rate = changes / _mixing(mixing_factor) / _MIN_PER_H
    time = not_negative("elapsed_min", elapsed_min)
    volume = positive("room_m3", room_m3) * _L_PER_M3
    lasting = -expm1(-rate * time) / rate if rate > 0.0 else time
    return _MILLION * not_negative("vapour_l_min", vapour_l_min) / volume * lasting


def room_decayed_ppm(
    start_ppm: float, air_changes_per_h: float, elapsed_min: float, mixing_factor: float = 1.0
) -> float:
    """Level some time after the last source ended.

    Parameters
    ----------
    start_ppm : [ppm] when it ended, 0 or more.
    air_changes_per_h : [/h] room volumes of fresh air each hour, 0 or more.
    elapsed_min : [min] since then, 0 or more.
    mixing_factor : [1] 1 mixes perfectly, 10 hardly at all.

    Returns
    -------
    [ppm] by volume.

    Raises
    ------
    InvalidQuantity : a number outside its range.

    Source: machine_S127 (decay after the last source).

    >>> round(room_decayed_ppm(16.0, 0.495, 60.0), 2)
    9.75
    """
    changes = not_negative("air_changes_per_h", air_changes_per_h)
    rate = changes / _mixing(mixing_factor) / _MIN_PER_H
    return not_negative("start_ppm", start_ppm) * exp(
        -rate * not_negative("elapsed_min", elapsed_min)
    )


def swept_fraction(volume_l: float, flow_l_min: float, elapsed_min: float) -> float:
    """What is left in a box that clean gas flows through.

    Parameters
    ----------
    volume_l : [L] of gas in the box, above 0.
    flow_l_min : [L/min] of gas without agent, 0 or more.
    elapsed_min : [min] that it flows, 0 or more.

    Returns
    -------
    [1] of what was there.

    Raises
    ------
    InvalidQuantity : a number outside its range.

    Source: machine_S127 (decay of a well-mixed box).

    >>> round(swept_fraction(4.0, 4.0, 3.0), 4)
    0.0498
    """
    volumes = not_negative("flow_l_min", flow_l_min) * not_negative("elapsed_min", elapsed_min)
    return exp(-volumes / positive("volume_l", volume_l))


def swept_min(
    volume_l: float,
    flow_l_min: float,
    start_ppm: float,
    end_ppm: float,
    mixing_factor: float = 1.0,
) -> float:
    """Time that clean gas needs to bring a box from one level down to another.

    Parameters
    ----------
    volume_l : [L] of the room or chamber, above 0.
    flow_l_min : [L/min] of gas without agent, above 0.
    start_ppm : [ppm] at first, above 0; 2 % is 20 000.
    end_ppm : [ppm] to be reached, above 0.
    mixing_factor : [1] 1 mixes perfectly, 10 hardly at all.

    Returns
    -------
    [min]; 0 where the level is that low already.

    Raises
    ------
    InvalidQuantity : a number outside its range.

    Source: machine_S127 (purge time, volume over flow times the logarithm).

    >>> round(swept_min(4.0, 4.0, 20000.0, 1000.0), 2)
    3.0
    """
    positive("volume_l", volume_l)
    tau = volume_l / positive("flow_l_min", flow_l_min) * _mixing(mixing_factor)
    down = log(positive("start_ppm", start_ppm) / positive("end_ppm", end_ppm))
    return tau * max(0.0, down)


def air_changes_from_decay_per_h(start_ppm: float, end_ppm: float, elapsed_min: float) -> float:
    """Air changes that really work in a room, from how a tracer fell.

    Parameters
    ----------
    start_ppm : [ppm] at first, above 0.
    end_ppm : [ppm] later and lower, above 0.
    elapsed_min : [min] between both, above 0.

    Returns
    -------
    [/h] the mixing factor is in it already.

    Raises
    ------
    InvalidQuantity : a level that did not fall, a number outside its range.

    Source: machine_S128 (decay of a tracer).

    >>> round(air_changes_from_decay_per_h(16.0, 8.0, 84.0), 3)
    0.495
    """
    positive("end_ppm", end_ppm)
    if not positive("start_ppm", start_ppm) > end_ppm:
        raise InvalidQuantity("end_ppm", end_ppm, f"below the {start_ppm:g} of the start")
    return _MIN_PER_H * log(start_ppm / end_ppm) / positive("elapsed_min", elapsed_min)


def fresh_air_from_half_time_m3_h(room_m3: float, half_time_min: float) -> float:
    """Fresh air of a room, from the time in which a tracer halves.

    Parameters
    ----------
    room_m3 : [m³] air in the room, above 0.
    half_time_min : [min] above 0.

    Returns
    -------
    [m³/h] of fresh air.

    Raises
    ------
    InvalidQuantity : a number outside its range.

    Source: machine_S128 (Q = 0.693 V/t).

    >>> round(fresh_air_from_half_time_m3_h(20.0, 84.0), 1)
    9.9
    """
    positive("half_time_min", half_time_min)
    return log(2.0) * positive("room_m3", room_m3) / half_time_min * _MIN_PER_H


def room_from_steady_m3(vapour_l_min: float, air_changes_per_h: float, steady_ppm: float) -> float:
    """Size of the room that a steady level speaks of, if it mixes perfectly.

    Parameters
    ----------
    vapour_l_min : [L/min] of vapour that escapes, counted at the air of the room, above 0.
    air_changes_per_h : [/h] room volumes of fresh air each hour, above 0.
    steady_ppm : [ppm] in the end, above 0.

    Returns
    -------
    [m³] of air.

    Raises
    ------
    InvalidQuantity : a number outside its range.

    Source: waste_base (C = G/Q 1e6, solved for the room).

    >>> round(room_from_steady_m3(0.5, 20.0, 31.0), 1)
    48.4
    """
    level = positive("steady_ppm", steady_ppm) / _MILLION
    fresh = positive("vapour_l_min", vapour_l_min) / level
    return fresh * _MIN_PER_H / positive("air_changes_per_h", air_changes_per_h) / _L_PER_M3


def _mixing(mixing_factor: float) -> float:
    return within("mixing_factor", mixing_factor, 1.0, _MOST_MIXING)
