"""How often something is written down, on whose word, and when the next entry is due."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Any

from ullage.answers.answer import Answer, Step, Verdict, View, WhereFrom
from ullage.answers.lines import line_of
from ullage.answers.words import minutes_text
from ullage.core.checks import within
from ullage.core.errors import PlanUnreadable
from ullage.reference import Sourced, sourced
from ullage.reference.record import rules_of, species_in

__all__ = ["Phase", "SiteInterval", "interval_rule", "next_due"]

#: Shorter is a stream of a monitor, longer is no watching [min].
_SHORTEST_MIN, _LONGEST_MIN = 0.5, 240.0


class Phase(StrEnum):
    """Whether the animal is under, or on its way back."""

    ANAESTHESIA = "anaesthesia"
    RECOVERY = "recovery"


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteInterval:
    """What a site or a protocol has set, and why."""

    minutes: float
    why: str = ""

    def __post_init__(self) -> None:
        within("minutes", self.minutes, _SHORTEST_MIN, _LONGEST_MIN)


def interval_rule(
    species: str, phase: Phase, *, group: bool = False, choice: SiteInterval | None = None
) -> Answer:
    """The longest time between two written observations, with every rule beside it.

    Parameters
    ----------
    species : of the animal.
    phase : under, or in recovery.
    group : several animals on one bench, treated alike.
    choice : of the site or the protocol; None takes what is proposed here.

    Returns
    -------
    [min] The band runs from the shortest to the longest rule that speaks of this species and phase.

    >>> interval_rule("cat", Phase.ANAESTHESIA).text
    '5 min (5 min to 15 min)'
    """
    name = species.strip().lower()
    rules = [
        rule
        for rule in rules_of("interval", name)
        if rule["phase"] == phase.value and (group or not rule.get("group"))
    ]
    proposed = _proposed(name, phase, group)
    usual = sourced("record", f"interval.{proposed}")
    value = choice.minutes if choice else usual.value
    rows = [sourced("record", f"interval.{rule['key']}") for rule in rules]
    ends = [value, *(end for row in rows for end in (row.low or row.value, row.value))]
    return Answer(
        question=f"How often is something written down for a {name}, {phase.value}?",
        value=value,
        low=min(ends),
        high=max(ends),
        covers="what the rules beside it say, shortest to longest",
        unit="min",
        sentence=f"Write something down at least every {minutes_text(value)}.",
        reasons=(
            "The sources disagree, so it is a setting; the rule that is applied is shown.",
            "Watching does not stop between two entries.",
        ),
        views=(
            *([_own_view(choice)] if choice else []),
            *(_view(rule, chosen=not choice and rule["key"] == proposed) for rule in rules),
        ),
        where_from=_rests_on(choice, usual),
        cautions=tuple(_cautions(name, group, value, rows)),
    )


def _proposed(species: str, phase: Phase, group: bool) -> str:
    if phase is Phase.RECOVERY:
        return "recovery_min"
    return "group_min" if group and species_in(species, "rodents") else "single_min"


def _view(rule: Mapping[str, Any], *, chosen: bool) -> View:
    row = sourced("record", f"interval.{rule['key']}")
    return View(
        label=f"{rule['label']} ({rule['binds']})",
        result=_said(row),
        source=row.source,
        how_known=row.how_known.value,
        chosen=chosen,
    )


def _said(row: Sourced) -> str:
    return f"{row.low:g} to {row.value:g} min" if row.low is not None else f"{row.value:g} min"


def _own_view(choice: SiteInterval) -> View:
    why = f": {choice.why.strip()}" if choice.why.strip() else ""
    return View(
        label=f"This site{why}",
        result=f"{choice.minutes:g} min",
        source="site_rule",
        how_known="site",
        chosen=True,
    )


def _rests_on(choice: SiteInterval | None, usual: Sourced) -> tuple[WhereFrom, ...]:
    if choice is None:
        return (line_of(usual, "interval"),)
    return (
        WhereFrom(source="site_rule", how_known="site", text="Set by the site or the protocol."),
    )


def _cautions(species: str, group: bool, value: float, rows: list[Sourced]) -> list[str]:
    found = ["No number stands in the laws that were read; an institution may ask for more."]
    shortest = min((row.low or row.value for row in rows), default=value)
    if value > shortest:
        found.append(f"A rule beside it asks for {shortest:g} min.")
    if group and not species_in(species, "rodents"):
        found.append("Records of a group were seen for rodents treated alike, not for others.")
    return found


def next_due(rule: Answer, began: datetime, last: datetime | None, now: datetime) -> Answer:
    """When the next entry is due.

    Parameters
    ----------
    rule : as `interval_rule` gave it.
    began : when the phase began, with its zone.
    last : when the last entry of this phase was seen; None where there is none yet.
    now : with its zone.

    Returns
    -------
    [min] from now, below zero when it is overdue. Look again: it is overdue.

    Raises
    ------
    PlanUnreadable : a time without a zone, or a rule without a number.
    """
    if rule.value is None or rule.unit != "min":
        raise PlanUnreadable("The interval has no number of minutes; ask for its rule first.")
    if not all(one.tzinfo for one in (began, now, last or now)):
        raise PlanUnreadable("A time of the record needs its zone; it is kept in UTC.")
    since = max(last, began) if last else began
    left = rule.value - (now - since).total_seconds() / 60.0
    overdue = left < 0.0
    return Answer(
        question="When is the next entry due?",
        value=left,
        unit="min",
        verdict=Verdict.LOOK_AGAIN if overdue else Verdict.FINE,
        sentence=f"{'' if last else 'No entry yet. '}{_due(left)}",
        todo="Look at the animal, and write down what is seen now." if overdue else "",
        reasons=(rule.sentence,),
        steps=(
            Step(
                what="interval",
                result=minutes_text(rule.value),
                note=next((one.label for one in rule.views if one.chosen), ""),
            ),
            Step(what="since the last entry", result=minutes_text(rule.value - left)),
        ),
        where_from=rule.where_from,
        cautions=("A value that was missed is not filled in afterwards; the gap stays a gap.",),
    )


def _due(left: float) -> str:
    if left < 0.0:
        return f"The next entry is overdue by {minutes_text(-left)}."
    return f"The next entry is due in {minutes_text(left)}."
