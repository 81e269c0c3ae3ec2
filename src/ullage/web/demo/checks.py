"""The checks of the practice world: this morning's and those of the days before."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

from ullage.answers.checks import check_list
from ullage.core.units import BAR_KPA
from ullage.web.accounts.selectors import User
from ullage.web.checks.services import CheckTold, check_write, limit_choose
from ullage.web.machines.selectors import Machine
from ullage.web.sites.selectors import Site

__all__ = ["checks_of_the_world"]

type Values = Mapping[str, Any]

_CMH2O_KPA = 0.0980665
_GOOD: Mapping[str, Values] = {
    "reserve_cylinder": {"gauge_kpa": 135.0 * BAR_KPA, "closed_again": True},
    "suction_bulb": {"flat_off_min": 0.25, "flat_on_min": 0.2},
    "oxygen_analyser": {"air_fraction": 0.209, "oxygen_fraction": 0.98},
}
#: Machine -> the leaks that were measured this morning, in L/min at 30 cmH2O; the last counts.
_LEAKS: Mapping[str, tuple[float, ...]] = {
    "Wren": (0.11,),
    "Heron": (0.38, 0.15),
    "Siskin": (0.2,),
    "Plover": (0.45,),
    "Ptarmigan": (0.18,),
}
_NO_ALARM = {"Siskin"}
#: Who was called away in the middle of a check.
_LEFT = {"Dunlin": 4}
_DAYS_BEFORE = (1, 2, 5, 6, 7)


def checks_of_the_world(
    site: Site, machines: Mapping[str, Machine], people: Sequence[User], day: datetime
) -> None:
    """Write the checks of a site up to the morning of a day; its leak limit first.

    One machine passes on the second try, one leaks and is out of use, one check was left half-way.
    """
    lead, by = people[:2]
    limit_choose(site=site, name="leak", choice="article_30", by=lead, reason="Adopted in January.")
    for name, leaks in _LEAKS.items():
        if name not in machines:
            continue
        for ago in _DAYS_BEFORE:
            before = CheckTold(
                key="start_of_day",
                begun_at=day - timedelta(days=ago) + timedelta(minutes=7 * len(name)),
                entries=tuple(_entries(name, (0.1 + 0.01 * (8 - ago),))),
            )
            check_write(machine=machines[name], told=before, by=by)
        at = day + timedelta(minutes=3 * len(name))
        told = CheckTold(key="start_of_day", begun_at=at, entries=tuple(_entries(name, leaks)))
        check_write(machine=machines[name], told=told, by=by)
    for name, count in _LEFT.items():
        if name in machines:
            entries = tuple(_entries(name, (0.1,)))[:count]
            left = CheckTold(key="start_of_day", begun_at=day, entries=entries, is_left=True)
            check_write(machine=machines[name], told=left, by=by)


def _entries(name: str, leaks: tuple[float, ...]) -> Iterator[tuple[str, Values]]:
    for step in check_list("start_of_day").steps:
        if step.key == "leak":
            for leak in leaks:
                yield step.key, {"held_kpa": 30 * _CMH2O_KPA, "held_flow_l_min": leak}
        elif step.key == "oxygen_failure_alarm" and name in _NO_ALARM:
            yield step.key, {"absent": True}
        else:
            yield step.key, _GOOD.get(step.key, {"good": True})
