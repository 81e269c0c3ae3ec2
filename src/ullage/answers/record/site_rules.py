"""What a site has set for its records: intervals, groups, recovery, and how long they are kept."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from ullage.answers.answer import WhereFrom
from ullage.answers.record.intervals import Phase, SiteInterval
from ullage.answers.record.recovery import RecoveryStep, recovery_steps
from ullage.core.errors import UllageError
from ullage.reference.record import rules_of

__all__ = ["ANY", "OwnRecovery", "RecordRules", "rules_read", "steps_known"]

#: In place of a species: holds where the site has set nothing for the species itself.
ANY = "any"


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnRecovery:
    """What a site asks of the recovery of one species, and why it differs."""

    without: tuple[str, ...] = ()
    own: tuple[str, ...] = ()
    temperature_c: float | None = None
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordRules:
    """The rules of one site; what is not set stays as it is proposed.

    ``intervals`` by "species, phase"; ``protocols`` by the number of the protocol.
    """

    intervals: Mapping[str, SiteInterval] = field(default_factory=dict)
    protocols: Mapping[str, SiteInterval] = field(default_factory=dict)
    late_after_min: float | None = None
    groups: bool = False
    recovery: Mapping[str, OwnRecovery] = field(default_factory=dict)
    keeping: tuple[str, ...] = ()
    own_years: float | None = None

    def interval(self, species: str, phase: Phase, protocol: str = "") -> SiteInterval | None:
        """What is set for a case; None takes what is proposed.

        While the animal is under, the protocol counts before the species; in recovery the species.

        >>> own = RecordRules(intervals={"sheep, recovery": SiteInterval(minutes=5.0)})
        >>> own.interval("sheep", Phase.RECOVERY).minutes
        5.0
        """
        name = species.strip().lower()
        if phase is Phase.ANAESTHESIA and protocol.strip() in self.protocols:
            return self.protocols[protocol.strip()]
        own = self.intervals.get(f"{name}, {phase.value}")
        return own or self.intervals.get(f"{ANY}, {phase.value}")

    def steps(self, species: str) -> tuple[RecoveryStep, ...]:
        """The steps of recovery of a species here, in their order.

        >>> RecordRules().steps("cat")[0].key
        'person'
        """
        name = species.strip().lower()
        chosen = self.recovery.get(name) or self.recovery.get(ANY) or OwnRecovery()
        known = steps_known(name)
        return recovery_steps(
            name,
            own=tuple(_own(number, text) for number, text in enumerate(chosen.own, start=1)),
            without=tuple(one for one in chosen.without if one in known),
            temperature_c=chosen.temperature_c,
        )


def steps_known(species: str) -> dict[str, str]:
    """The steps that are shipped for a species: key -> what is to be seen.

    >>> "mouth_checked" in steps_known("sheep"), "mouth_checked" in steps_known("cat")
    (True, False)
    """
    keys = {one["key"] for one in rules_of("step", species.strip().lower())}
    return {one.key: one.text for one in recovery_steps(species) if one.key in keys}


def _own(number: int, text: str) -> RecoveryStep:
    return RecoveryStep(
        key=f"own_{number}",
        text=text,
        where_from=WhereFrom(
            source="site_rule", how_known="site", text="Step of the site for its recoveries."
        ),
        is_criterion=True,
    )


def rules_read(kept: Mapping[str, Any]) -> RecordRules:
    """The rules of a site from what it kept; what cannot be read any more counts as not set.

    Parameters
    ----------
    kept : as the settings keep it.

    >>> rules_read({"late_after_min": 10}).late_after_min
    10.0
    """
    return RecordRules(
        intervals=_intervals(kept.get("intervals") or {}),
        protocols=_intervals(kept.get("protocols") or {}),
        late_after_min=_number(kept.get("late_after_min")),
        groups=bool(kept.get("groups")),
        recovery={name: _recovery(one) for name, one in (kept.get("recovery") or {}).items()},
        keeping=tuple(str(one) for one in _several(kept.get("keeping"))),
        own_years=_number(kept.get("own_years")),
    )


def _number(value: Any) -> float | None:
    return None if value in (None, "") else float(value)


def _several(value: Any) -> Iterable[Any]:
    return value if isinstance(value, (list, tuple)) else ()


def _intervals(kept: Mapping[str, Any]) -> dict[str, SiteInterval]:
    found = {}
    for key, one in kept.items():
        try:
            found[key] = SiteInterval(minutes=float(one["minutes"]), why=str(one.get("why", "")))
        except UllageError:
            continue
    return found


def _recovery(one: Mapping[str, Any]) -> OwnRecovery:
    return OwnRecovery(
        without=tuple(str(key) for key in _several(one.get("without"))),
        own=tuple(str(text) for text in _several(one.get("own"))),
        temperature_c=_number(one.get("temperature_c")),
        why=str(one.get("why", "")),
    )
