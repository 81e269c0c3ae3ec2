"""Averages over a task and over eight hours, what a badge says, and ppm beside mg/m³."""

from collections.abc import Sequence

from ullage.core.agents import molar_volume_l_mol
from ullage.core.checks import not_negative, positive
from ullage.core.errors import InvalidQuantity
from ullage.core.units import STANDARD_ATMOSPHERE_KPA

__all__ = [
    "badge_from_task_ppm",
    "eight_hour_average_ppm",
    "task_from_badge_ppm",
    "time_average_ppm",
    "vapour_mg_m3",
    "vapour_ppm",
]

_EIGHT_HOURS_MIN = 480.0


def time_average_ppm(levels_ppm: Sequence[float], each_min: Sequence[float]) -> float:
    """Mean of levels, each weighed with its time.

    Parameters
    ----------
    levels_ppm : [ppm] one after the other, 0 or more.
    each_min : [min] how long each lasts, 0 or more, not all 0.

    Returns
    -------
    [ppm] over the whole time.

    Raises
    ------
    InvalidQuantity : lists of different length, no time at all, a number below 0.

    Source: waste_base (sum of C t over the time).

    >>> time_average_ppm((10.0, 0.0), (30.0, 90.0))
    2.5
    """
    dose = _dose_ppm_min(levels_ppm, each_min)
    return dose / positive("time in all", sum(each_min))


def eight_hour_average_ppm(levels_ppm: Sequence[float], each_min: Sequence[float]) -> float:
    """Mean over eight hours of levels, the rest of the time taken as clean.

    Parameters
    ----------
    levels_ppm : [ppm] one after the other, 0 or more.
    each_min : [min] how long each lasts, 0 or more; more than eight hours count in full.

    Returns
    -------
    [ppm] dose over 480 minutes, as limits for a working day are written.

    Raises
    ------
    InvalidQuantity : lists of different length, a number below 0.

    Source: waste_base (dose over 480 minutes).

    >>> eight_hour_average_ppm((10.0,), (60.0,))
    1.25
    """
    return _dose_ppm_min(levels_ppm, each_min) / _EIGHT_HOURS_MIN


def task_from_badge_ppm(badge_ppm: float, worn_min: float, task_min: float) -> float:
    """Level during a task, from a badge that was worn longer, the rest of the time clean.

    Parameters
    ----------
    badge_ppm : [ppm] mean that the laboratory reports over the time worn, 0 or more.
    worn_min : [min] that the badge was worn, above 0.
    task_min : [min] of the task, above 0 and no longer than the badge was worn.

    Returns
    -------
    [ppm] mean over the task.

    Raises
    ------
    InvalidQuantity : a task longer than the badge was worn, a number outside its range.

    Source: waste_base (C_proc = C_badge t_worn/t_proc).

    >>> round(task_from_badge_ppm(2.0, 480.0, 45.0), 1)
    21.3
    """
    positive("worn_min", worn_min)
    if not positive("task_min", task_min) <= worn_min:
        raise InvalidQuantity("task_min", task_min, f"at most the {worn_min:g} min of the badge")
    return not_negative("badge_ppm", badge_ppm) * worn_min / task_min


def badge_from_task_ppm(task_ppm: float, worn_min: float, task_min: float) -> float:
    """What a badge shows after a task at some level, the rest of the time clean.

    Parameters
    ----------
    task_ppm : [ppm] mean over the task, 0 or more.
    worn_min : [min] that the badge is worn, above 0.
    task_min : [min] of the task, above 0 and no longer than the badge is worn.

    Returns
    -------
    [ppm] mean over the time worn.

    Raises
    ------
    InvalidQuantity : a task longer than the badge is worn, a number outside its range.

    Source: waste_base (C_proc = C_badge t_worn/t_proc, turned round).

    >>> badge_from_task_ppm(16.0, 480.0, 60.0)
    2.0
    """
    positive("worn_min", worn_min)
    if not positive("task_min", task_min) <= worn_min:
        raise InvalidQuantity("task_min", task_min, f"at most the {worn_min:g} min of the badge")
    return not_negative("task_ppm", task_ppm) * task_min / worn_min


def vapour_mg_m3(
    level_ppm: float,
    molar_mass_g_mol: float,
    temperature_k: float,
    absolute_kpa: float = STANDARD_ATMOSPHERE_KPA,
) -> float:
    """Mass in a cubic metre of air, from parts per million by volume.

    Parameters
    ----------
    level_ppm : [ppm] by volume, 0 or more.
    molar_mass_g_mol : [g/mol] of the agent, above 0.
    temperature_k : [K] of the table: 20 °C in British and 25 °C in US limits.
    absolute_kpa : [kPa] of the air, above 0.

    Returns
    -------
    [mg/m³] of air.

    Raises
    ------
    InvalidQuantity : a number outside its range.

    Source: ideal_gas (mass over molar volume).

    >>> round(vapour_mg_m3(50.0, 184.49, 293.15))
    383
    """
    volume = molar_volume_l_mol(temperature_k, absolute_kpa)
    return (
        not_negative("level_ppm", level_ppm)
        * positive("molar_mass_g_mol", molar_mass_g_mol)
        / volume
    )


def vapour_ppm(
    level_mg_m3: float,
    molar_mass_g_mol: float,
    temperature_k: float,
    absolute_kpa: float = STANDARD_ATMOSPHERE_KPA,
) -> float:
    """Parts per million by volume, from the mass in a cubic metre of air.

    Parameters
    ----------
    level_mg_m3 : [mg/m³] of air, 0 or more.
    molar_mass_g_mol : [g/mol] of the agent, above 0.
    temperature_k : [K] of the table: 20 °C in British and 25 °C in US limits.
    absolute_kpa : [kPa] of the air, above 0.

    Returns
    -------
    [ppm] by volume.

    Raises
    ------
    InvalidQuantity : a number outside its range.

    Source: ideal_gas (molar volume over mass).

    >>> round(vapour_ppm(153.0, 184.49, 293.15), 1)
    19.9
    """
    volume = molar_volume_l_mol(temperature_k, absolute_kpa)
    return (
        not_negative("level_mg_m3", level_mg_m3)
        * volume
        / positive("molar_mass_g_mol", molar_mass_g_mol)
    )


def _dose_ppm_min(levels_ppm: Sequence[float], each_min: Sequence[float]) -> float:
    if len(levels_ppm) != len(each_min):
        raise InvalidQuantity("levels", len(levels_ppm), f"{len(each_min)}, one for each time")
    return sum(
        not_negative("level_ppm", level) * not_negative("each_min", long)
        for level, long in zip(levels_ppm, each_min, strict=True)
    )
