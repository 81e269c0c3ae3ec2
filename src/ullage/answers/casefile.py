"""One case written as TOML: ``[day]`` and ``[case]`` as in a day file, and what is aimed at.

Tables: ``[day]`` (the place), ``[case]`` (the keys of a case of a day file), ``[plan]`` (agent,
target, drugs, and what is known of vaporizer, airway and room).
"""

from typing import Any

from ullage.answers.case_things import CaseInput
from ullage.answers.dayfile import case_from_table, place_from_table
from ullage.answers.toml_table import TomlTable, first_table
from ullage.core.errors import UllageError

__all__ = ["case_from_toml"]

_GASES = ("oxygen", "air", "nitrous oxide", "nitrous_oxide")


def case_from_toml(text: str) -> CaseInput:
    """The case that a TOML text describes.

    Parameters
    ----------
    text : the whole file.

    Raises
    ------
    PlanUnreadable : what cannot be taken as written; the sentence names line and key.

    >>> given = case_from_toml('''
    ... [case]
    ... name = "Tansy"
    ... machine = "Wren"
    ... species = "cat"
    ... weight = "4 kg"
    ... start = "10:00"
    ... duration = "45 min"
    ... oxygen = "1 L/min"
    ... [plan]
    ... agent = "isoflurane"
    ... drugs = "none"
    ... target_mac = "1.2"
    ... ''')
    >>> given.drugs, given.target_mac, given.flows_given
    ((), 1.2, True)
    """
    whole = first_table(text)
    if "case" not in whole:
        raise whole.missing("case", "the file has no [case]; it needs one.")
    day, told, plan = (whole.table(key) for key in ("day", "case", "plan"))
    pressure_given = "barometer" in day or "elevation" in day
    place = place_from_table(day)
    day.text("name", "")
    day.finish()
    flows_given = any(gas in one for one in (told, *told.tables("phases")) for gas in _GASES)
    case = case_from_table(told)
    given: dict[str, Any] = {
        "case": case,
        "place": place,
        "pressure_given": pressure_given,
        "flows_given": flows_given,
        **_aimed(plan),
        **_known(plan),
    }
    plan.finish()
    whole.finish()
    try:
        return CaseInput(**given)
    except UllageError as error:
        raise plan.wrapped("", error) from None


def _aimed(plan: TomlTable) -> dict[str, Any]:
    """Agent, target, drugs, and the dial where it is fixed."""
    return {
        "agent": plan.text("agent").lower(),
        "target_mac": plan.quantity("target_mac", "count", high=3.0, above=True),
        "drugs": _drugs(plan),
        "dial_fraction": plan.quantity("dial", "share", high=0.5),
        "reach_min": plan.quantity("reach", "time", high=120.0, above=True),
        "vaporizer_for": plan.text("vaporizer", ""),
        "vaporizer_end_fraction": plan.quantity("dial_end", "share", high=0.5, above=True),
        "mac_fraction": plan.quantity("mac", "share", high=1.5, above=True),
    }


def _known(plan: TomlTable) -> dict[str, Any]:
    """What is known of airway, absorbent and room."""
    return {
        "equipment_l": plan.quantity("dead_space", "volume", high=5.0),
        "absorbent_kg": plan.quantity("absorbent", "mass", high=50.0, above=True),
        "circle_from_kg": plan.quantity("circle_from", "mass", high=100.0, above=True),
        "co2_measured": plan.flag("inspired_co2_measured"),
        "warmed": plan.flag("warmed"),
        "cautery": plan.flag("cautery"),
        "weight_is_right": plan.flag("weight_confirmed") or False,
    }


def _drugs(plan: TomlTable) -> tuple[str, ...] | None:
    """Names of drugs; none given is an answer too; not said is no answer."""
    if "drugs" not in plan:
        plan.raw("drugs")
        return None
    names = plan.names("drugs")
    return tuple(one for one in names if one.lower() != "none")
