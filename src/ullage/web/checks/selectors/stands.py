"""What the checks of machines still stand for, after what was changed since."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import F, Window
from django.db.models.fields.json import KT
from django.db.models.functions import RowNumber

from ullage.answers import Verdict
from ullage.answers.checks import Change, ChangeKind, check_covers
from ullage.answers.checks.ready import LastCheck, checks_say
from ullage.answers.readiness import Remark
from ullage.web.checks.models import ChangeSaid, Check
from ullage.web.checks.selectors.runs import list_of
from ullage.web.machines.selectors import Machine, PartMove

__all__ = ["changes_of", "latest_checks", "remarks", "standings"]

#: What the move of a part means for a check.
_PARTS = {
    "vaporizer": ChangeKind.VAPORIZER,
    "breathing_system": ChangeKind.CONNECTION,
    "bag": ChangeKind.BAG,
    "absorber": ChangeKind.ABSORBENT,
    "hose": ChangeKind.HOSE,
    "regulator": ChangeKind.REGULATOR,
    "scavenging": ChangeKind.SCAVENGING,
}
#: A check of longer ago stands for nothing; what was changed before that need not be read.
_LONGEST = timedelta(days=45)


def latest_checks(machines: Iterable[Machine], now: datetime) -> dict[int, dict[str, Check]]:
    """By machine and list, the last check that ended with a result; one query."""
    numbered = Window(
        RowNumber(), partition_by=[F("machine"), F("version__key")], order_by=F("ended_at").desc()
    )
    rows = (
        Check.objects.filter(machine__in=list(machines), given_up="", ended_at__gte=now - _LONGEST)
        .annotate(place=numbered)
        .filter(place=1)
        .select_related("version", "site")
        .annotate(sentence=KT("result__sentence"), todo=KT("result__todo"))
        .defer("version__data", "result")
    )
    found: dict[int, dict[str, Check]] = {}
    for row in rows:
        found.setdefault(row.machine_id, {})[row.version.key] = row
    return found


def changes_of(machines: Iterable[Machine], since: datetime) -> dict[int, list[Change]]:
    """By machine, what was changed or done on it since a time; as many queries as kinds of it."""
    from ullage.web.days.selectors import cases_begun
    from ullage.web.supply.selectors import cylinders_connected

    asked = list(machines)
    found: dict[int, list[Change]] = {one.pk: [] for one in asked}
    for said in ChangeSaid.objects.filter(machine__in=asked, at__gt=since):
        found[said.machine_id].append(Change(kind=ChangeKind(said.kind), at=said.at))
    for move in PartMove.objects.filter(at__gt=since, part__kind__in=_PARTS).select_related("part"):
        for pk in {move.from_machine_id or 0, move.to_machine_id or 0} & found.keys():
            found[pk].append(Change(kind=_PARTS[move.part.kind], at=move.at))
    for pk, at in cylinders_connected(asked, since):
        found[pk].append(Change(kind=ChangeKind.CYLINDER, at=at))
    for pk, at in cases_begun(asked, since):
        found[pk].append(Change(kind=ChangeKind.CASE, at=at))
    return found


def standings(machines: Sequence[Machine], now: datetime) -> dict[int, dict[str, LastCheck]]:
    """By machine and list, its last check and what that still covers."""
    latest = latest_checks(machines, now)
    if not latest:
        return {}
    ended = [one.ended_at for lists in latest.values() for one in lists.values() if one.ended_at]
    changes = changes_of(machines, min(ended, default=now))
    return {
        pk: {key: _last(check, now, changes.get(pk, ())) for key, check in lists.items()}
        for pk, lists in latest.items()
    }


def _last(check: Check, now: datetime, changes: Sequence[Change]) -> LastCheck:
    """One check as the answers take it; whether a day is over is seen on the clock of the site."""
    zone = ZoneInfo(check.site.time_zone)
    done_at = (check.ended_at or now).astimezone(zone)
    found = list_of(check)
    return LastCheck(
        list=found,
        ended_at=done_at,
        verdict=Verdict(check.verdict or Verdict.NOT_YET),
        sentence=getattr(check, "sentence", ""),
        todo=getattr(check, "todo", ""),
        covers=check_covers(found, done_at, now.astimezone(zone), changes),
    )


def remarks(machines: Sequence[Machine], now: datetime) -> Mapping[int, tuple[Remark, ...]]:
    """What the checks say of the readiness of machines; as many queries for one as for all."""
    found, begun = standings(machines, now), _begun(machines)
    return {
        one.pk: checks_say(
            found.get(one.pk, {}), is_out=bool(one.out_of_use), begun=begun.get(one.pk, ())
        )
        for one in machines
    }


def _begun(machines: Sequence[Machine]) -> dict[int, set[str]]:
    """By machine, the lists by which a check was begun and not ended; one query."""
    found: dict[int, set[str]] = {}
    rows = Check.objects.filter(machine__in=list(machines), ended_at=None)
    for pk, key in rows.order_by().values_list("machine", "version__key"):
        found.setdefault(pk, set()).add(key)
    return found
