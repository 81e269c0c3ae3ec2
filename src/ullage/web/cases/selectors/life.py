"""The life of one case as its pages show it: facts, animals, what is unmet, what was recorded."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from zoneinfo import ZoneInfo

from ullage.answers import Answer, Verdict
from ullage.answers.record.beginning import Override
from ullage.answers.record.closing import AnimalEnd, animal_ends, animals_in, may_case_close
from ullage.answers.record.complete import record_complete
from ullage.answers.record.intervals import Phase
from ullage.answers.record.pace import DueNext, due_of
from ullage.answers.record.recovery import RecoveryStep
from ullage.answers.record.retention import KeptRecord, retention_until
from ullage.answers.record.seen import CaseSeen, case_seen
from ullage.answers.record.site_rules import RecordRules
from ullage.answers.record.standing import RecordStanding, record_standing
from ullage.answers.record.things import AnyLine, EntryKind, EntryText, SignatureText
from ullage.web.cases.models import NotTaken, Record, RecordFile, SignedHead
from ullage.web.cases.selectors.lines import lines_of
from ullage.web.cases.selectors.rules import rules_of

__all__ = ["KEPT_DAYS", "AnimalLine", "Life", "life_of"]

#: The days from which a clock of keeping may run: name of the fact, and what is asked.
KEPT_DAYS = {
    "activity_ended": "Activity under this protocol ended on",
    "animal_left": "Animal died or left on",
    "approved": "Study approved on",
    "submitted": "Study submitted on",
    "study_ended": "Study ended on",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class AnimalLine:
    """One animal of a group on its line: weight, times, how it came through, by whom."""

    name: str
    weight: str
    began: datetime | None
    awake: datetime | None
    end: AnimalEnd
    by: str


@dataclass(frozen=True)
class Life:
    """What the lines of one record come to, read once; each part is worked out when asked for."""

    record: Record
    lines: tuple[AnyLine, ...]
    rules: RecordRules

    @cached_property
    def zone(self) -> ZoneInfo:
        """The clock of its site."""
        return ZoneInfo(self.record.site.time_zone)

    @cached_property
    def seen(self) -> CaseSeen:
        """Its facts and entries as they stand."""
        return case_seen(self.lines, zone=self.zone)

    @property
    def facts(self) -> Mapping[str, str]:
        """Who and what it is of."""
        return self.seen.facts

    @cached_property
    def standing(self) -> RecordStanding:
        """Every entry as it stands, beside what it was."""
        return record_standing(self.lines, self.rules.late_after_min)

    @cached_property
    def steps(self) -> tuple[RecoveryStep, ...]:
        """The steps of recovery of its species at this site."""
        return self.rules.steps(self.record.species)

    @cached_property
    def ends(self) -> tuple[AnimalEnd, ...]:
        """How each animal stands at its end."""
        return animal_ends(self.lines, self.steps, self.zone)

    @cached_property
    def animals(self) -> tuple[AnimalLine, ...]:
        """The animals of a group, line by line; empty for a case of one."""
        names = animals_in(self.lines)
        return tuple(
            _animal(self.seen, one, end) for one, end in zip(names, self.ends, strict=False)
        )

    @cached_property
    def complete(self) -> tuple[tuple[str, Answer], ...]:
        """What was recorded of all that is asked, for each animal."""
        names = animals_in(self.lines) or ("",)
        return tuple((one, record_complete(self.lines, one, self.zone)) for one in names)

    @cached_property
    def signatures(self) -> tuple[SignatureText, ...]:
        """Who signed it, in their order."""
        return tuple(one for one in self.lines if isinstance(one, SignatureText))

    @cached_property
    def signed_head(self) -> SignedHead | None:
        """Its last head that was signed with the key outside the database."""
        return SignedHead.objects.filter(record=self.record).order_by("-count", "-pk").first()

    @cached_property
    def kept(self) -> Answer:
        """Until when it is kept, with every clock."""
        days = {name: _day(self.facts.get(name, "")) for name in KEPT_DAYS}
        days["animal_left"] = days["animal_left"] or self._died_on()
        kept = KeptRecord(
            species=self.record.species, made=_local(self.record, self.record.opened_at), **days
        )
        return retention_until(kept, self.rules.keeping, self.rules.own_years)

    def _died_on(self) -> date | None:
        died = [one.died_at for one in self.ends if one.died_at]
        return _local(self.record, max(died)) if died and len(died) == len(self.ends) else None

    @cached_property
    def waiting(self) -> int:
        """How many entries of it were sent and wait for a lead."""
        return NotTaken.objects.filter(record=self.record, settled=None).count()

    @property
    def gas_flows(self) -> bool:
        """Whether its gas is noted as flowing."""
        planned = self.record.planned
        return planned is not None and planned.state == "running"

    def may_close(self, override: Override | None = None) -> Answer:
        """Whether it may be closed."""
        return may_case_close(
            self.lines,
            self.steps,
            waiting=self.waiting,
            gas_flows=self.gas_flows,
            override=override,
        )

    def due(self, now: datetime, animal: str = "") -> DueNext | None:
        """When the next observation is due in recovery, by the rule of the site."""
        rule = self.rules.interval(
            self.record.species, Phase.RECOVERY, self.facts.get("protocol", "")
        )
        seen = case_seen(self.lines, animal)
        return due_of(seen, now, rule, group=self.record.is_group)

    def awake_at(self, animal: str = "") -> datetime | None:
        """When an animal was seen awake; None where nobody wrote it."""
        return case_seen(self.lines, animal).event("awake")

    @property
    def person_stays(self) -> bool | None:
        """Whether somebody stays with it, by the last word; None where nobody said."""
        words = ("person stays", "nobody stays")
        said = [one.what for one in self.seen.kinds(EntryKind.EVENT) if one.what in words]
        return said[-1] == words[0] if said else None

    @property
    def is_over(self) -> bool:
        """Whether every animal of it is through."""
        return all(one.is_over for one in self.ends)

    @cached_property
    def files(self) -> tuple[RecordFile, ...]:
        """Pictures and papers that belong to it."""
        rows = RecordFile.objects.filter(record=self.record).select_related("by")
        return tuple(rows.defer("content").order_by("at", "pk"))

    @property
    def verdict(self) -> Verdict | None:
        """Whether it may be closed, as a verdict."""
        return self.may_close().verdict


def life_of(record: Record) -> Life:
    """One case with its lines, read from the database once."""
    return Life(record=record, lines=lines_of(record), rules=rules_of(record.site))


def _animal(seen: CaseSeen, name: str, end: AnimalEnd) -> AnimalLine:
    own = tuple(one for one in seen.entries if one.animal == name)
    weighed = [one for one in own if one.what == "weight"]
    events = {one.what: one.times.observed for one in own if one.kind is EntryKind.EVENT}
    return AnimalLine(
        name=name,
        weight=weighed[-1].typed if weighed else "",
        began=events.get("connected") or seen.event("anaesthesia began"),
        awake=events.get("awake") or events.get("on its chest"),
        end=end,
        by=", ".join(_by(own)),
    )


def _by(own: tuple[EntryText, ...]) -> Iterator[str]:
    """The initials of those who wrote the line of an animal, each once."""
    yield from dict.fromkeys(_initials(one.author) for one in own)


def _initials(author: str) -> str:
    """The first letters of the name in print."""
    return "".join(f"{word[0]}." for word in author.rpartition(" (")[0].split())


def _day(typed: str) -> date | None:
    try:
        return date.fromisoformat(typed)
    except ValueError:
        return None


def _local(record: Record, at: datetime) -> date:
    return at.astimezone(ZoneInfo(record.site.time_zone)).date()
