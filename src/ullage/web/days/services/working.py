"""The answers of a day, worked out from its plan and kept; never on a page."""

from datetime import date
from typing import Any

from django.utils import timezone

from ullage.answers.chain_things import Chain
from ullage.answers.outlook import DaySupply
from ullage.answers.plan import DayPlan
from ullage.answers.things import Gas
from ullage.core.errors import UllageError
from ullage.web.days.selectors.answers import day_subject, source_kind
from ullage.web.days.selectors.plan import DayThings, day_things
from ullage.web.machines.selectors import chain_of, machines_of, sources_of
from ullage.web.sites.selectors import Site
from ullage.web.supply.selectors import StoredAnswer
from ullage.web.supply.selectors import sources_of as sources_at
from ullage.web.supply.services import Worked, answers_store

__all__ = ["brief", "day_work"]


def day_work(*, site_pk: int, day: date, only_if_asked: bool = False) -> None:
    """Work out and keep the answers of one day; a plan that cannot be answered says why.

    Asked several times in a row, one round of work answers them all.
    """
    site = Site.objects.filter(pk=site_pk).first()
    if site is None or (only_if_asked and not _is_asked(site, day)):
        return
    now = timezone.now()
    try:
        payload = _answered(site, day_things(site, day, now))
    except UllageError as refusal:
        payload = {"refused": str(refusal), "sources": [], "unfed": [], "unread": []}
    payload["origin"] = now.isoformat()
    payloads = {"day": payload, "board": brief(payload), **_by_source(site, payload)}
    worked = Worked(subject=day_subject(site, day), payloads=payloads)
    answers_store(site=site, worked=worked, at=now)


def _by_source(site: Site, payload: dict[str, Any]) -> dict[str, Any]:
    """The answers of each source apart, for pages that are about one."""
    pks = {one.name: one.pk for one in sources_at(site)}
    told = {one["name"]: one for one in payload["sources"]}
    return {source_kind(pk): told.get(name) for name, pk in pks.items()}


def brief(payload: dict[str, Any]) -> dict[str, Any]:
    """What a board needs of it: no working, no chance of each case, no other answers."""
    return {**payload, "sources": [_brief_source(one) for one in payload["sources"]]}


def _brief_source(told: dict[str, Any]) -> dict[str, Any]:
    """The main answers, and the one that carries the verdict as the main one."""
    kept = {name: told[name] for name in ("name", "kind", "gas", "feeds", "verdict", "reserve_of")}
    for name in ("lasts_until", "lasts", "left", "needed", "left_at_end", "next_reading"):
        kept[name] = _brief_answer(told[name])
    kept["change_overs"] = [_brief_answer(one) for one in told["change_overs"][:1]]
    several = [told["lasts_until"], told["may_begin"], told["if_it_fails"], *told["change_overs"]]
    several += [one["answer"] for one in told["chances"]]
    grave = [one for one in several if one and one["verdict"] == told["verdict"]]
    kept["said_by"] = _brief_answer(grave[0]) if grave else None
    return {**kept, "reading_times_min": [], "chances": []}


def _brief_answer(told: dict[str, Any] | None) -> dict[str, Any] | None:
    left_out = ("steps", "where_from", "reasons", "assumptions", "cautions", "views", "covers")
    return told and {key: value for key, value in told.items() if key not in left_out}


def _is_asked(site: Site, day: date) -> bool:
    """True while something was asked after the work that is kept began."""
    rows = StoredAnswer.objects.filter(subject=day_subject(site, day))
    when = dict(rows.values_list("kind", "worked_out_at"))
    return "day" not in when or when.get("asked", when["day"]) > when["day"]


def _answered(site: Site, found: DayThings) -> dict[str, Any]:
    from ullage.answers.day import day_supply

    supply = day_supply(found.plan)
    answered = supply.as_dict()
    reserve_of = {one.name: one.reserve_of for one in found.plan.sources}
    for told in answered["sources"]:
        told["reserve_of"] = reserve_of.get(told["name"], "")
    answered["unread"] = [
        {"source": one.source, "machines": list(one.machines), "question": one.question}
        for one in found.unread
    ]
    answered["chains"] = _chains(site, found.plan, supply)
    return answered


def _chains(site: Site, plan: DayPlan, supply: DaySupply) -> list[dict[str, Any]]:
    """What each chain comes to that is drawn on today, and every chain of oxygen."""
    drawn = {
        (case.machine, gas)
        for case in plan.cases
        for gas in Gas
        if any(phase.flow_l_min(gas) for phase in case.phases)
    }
    outlooks = {one.name: one for one in supply.sources}
    return [
        {
            "machine": machine.name,
            "source": source.name,
            "parts": _parts(chain_of(machine, source, outlooks.get(source.name))),
        }
        for machine in machines_of(site)
        for source in sources_of(machine)
        if source.reserve_of_id is None
        and source.retired_at is None
        and (source.gas == Gas.OXYGEN or (machine.name, source.gas) in drawn)
    ]


def _parts(chain: Chain) -> list[dict[str, Any]]:
    """Each part but the contents, which the day answers with its times and chances."""
    from ullage.answers.chain import chain_by_part

    found = chain_by_part(chain)
    return [
        {
            "part": name,
            "verdict": one.verdict.value if one.verdict else None,
            "said": one.todo or one.sentence,
            "is_open": bool(one.settles),
        }
        for name, one in found.items()
        if name != "contents"
    ]
