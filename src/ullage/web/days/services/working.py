"""The answers of a day, worked out from its plan and kept; never on a page."""

from datetime import date
from typing import Any

from django.utils import timezone

from ullage.core.errors import UllageError
from ullage.web.days.selectors.answers import day_subject
from ullage.web.days.selectors.plan import DayThings, day_things
from ullage.web.sites.selectors import Site
from ullage.web.supply.selectors import StoredAnswer
from ullage.web.supply.services import Worked, answers_store

__all__ = ["day_work"]


def day_work(*, site_pk: int, day: date, only_if_asked: bool = False) -> None:
    """Work out and keep the answers of one day; a plan that cannot be answered says why.

    Asked several times in a row, one round of work answers them all.
    """
    site = Site.objects.filter(pk=site_pk).first()
    if site is None or (only_if_asked and not _is_asked(site, day)):
        return
    now = timezone.now()
    try:
        payload = _answered(day_things(site, day, now))
    except UllageError as refusal:
        payload = {"refused": str(refusal), "sources": [], "unfed": [], "unread": []}
    payload["origin"] = now.isoformat()
    worked = Worked(subject=day_subject(site, day), payloads={"day": payload})
    answers_store(site=site, worked=worked, at=now)


def _is_asked(site: Site, day: date) -> bool:
    """True while something was asked after the work that is kept began."""
    rows = StoredAnswer.objects.filter(subject=day_subject(site, day))
    when = dict(rows.values_list("kind", "worked_out_at"))
    return "day" not in when or when.get("asked", when["day"]) > when["day"]


def _answered(found: DayThings) -> dict[str, Any]:
    from ullage.answers import day_supply

    answered: dict[str, Any] = day_supply(found.plan).as_dict()
    reserve_of = {one.name: one.reserve_of for one in found.plan.sources}
    for told in answered["sources"]:
        told["reserve_of"] = reserve_of.get(told["name"], "")
    answered["unread"] = [
        {"source": one.source, "machines": list(one.machines), "question": one.question}
        for one in found.unread
    ]
    return answered
