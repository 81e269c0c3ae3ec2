"""Lists get new versions, limits get new choices; nothing is overwritten."""

import json
from collections.abc import Mapping
from hashlib import sha256
from typing import Any

from django.db import transaction
from django.db.models import Max

from ullage.answers.checks import (
    CheckList,
    check_list,
    limit_choices,
    list_from_mapping,
    site_leak_limit,
)
from ullage.answers.checks.kept import list_as_dict
from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.checks.models import LimitChoice, ListVersion
from ullage.web.checks.selectors.lists import shipped_or_own
from ullage.web.sites.selectors import Site, membership_at, role_may

__all__ = ["limit_choose", "limit_write", "list_change", "list_in_use"]


def _digest(data: Mapping[str, Any]) -> str:
    return sha256(json.dumps(data, sort_keys=True).encode()).hexdigest()


def _may_rule(site: Site, by: User) -> None:
    if not role_may(membership_at(by, site).role, "rule"):
        raise RuleBroken("A lead or a veterinarian sets the lists and limits of a site.")


@transaction.atomic
def list_in_use(*, site: Site, key: str) -> ListVersion:
    """The version of a list that counts now; a shipped list is kept on its first use.

    Raises
    ------
    UnknownReference : no such list.
    """
    found, own = shipped_or_own(site, key)
    return own or _kept(site, found, None, "")


def _kept(site: Site, found: CheckList, by: User | None, reason: str) -> ListVersion:
    Site.objects.select_for_update().get(pk=site.pk)
    data = json.loads(json.dumps(list_as_dict(found)))
    digest = _digest(data)
    if by is None:
        same = ListVersion.objects.filter(site=site, key=found.key, digest=digest, by=None).first()
        if same is not None:
            return same
    newest = ListVersion.objects.filter(site=site, key=found.key).aggregate(at=Max("number"))["at"]
    return ListVersion.objects.create(
        site=site,
        key=found.key,
        number=(newest or 0) + 1,
        title=found.title,
        data=data,
        digest=digest,
        reason=reason,
        by=by,
    )


@transaction.atomic
def list_change(
    *, site: Site, key: str, written: Mapping[str, Any], reason: str, by: User
) -> ListVersion:
    """Write a new version of a list; checks that were made keep the version they were made with.

    Raises
    ------
    RuleBroken : a role too small, no reason, a required step left out, or nothing changed.
    UnknownReference : no such list.
    """
    _may_rule(site, by)
    check_list(key)
    if not reason.strip():
        raise RuleBroken("Say why the list changes; it stands beside the new version.")
    found = list_from_mapping({**written, "key": key})
    before, own = shipped_or_own(site, key)
    if found == before:
        raise RuleBroken("Nothing was changed; the list stays as it is.")
    if own is None:
        _kept(site, before, None, "")
    return _kept(site, found, by, reason.strip())


@transaction.atomic
def limit_choose(*, site: Site, name: str, choice: str, by: User, reason: str = "") -> LimitChoice:
    """Hold a measurement against one of the published limits from now on.

    Raises
    ------
    RuleBroken : a role too small, or a limit that is not among those offered.
    UnknownReference : no such measurement.
    """
    _may_rule(site, by)
    if choice not in {one.key for one in limit_choices(name)}:
        raise RuleBroken("Choose one of the limits that stand side by side.")
    return LimitChoice.objects.create(
        site=site, name=name, choice=choice, by=by, reason=reason.strip()
    )


@transaction.atomic
def limit_write(
    *, site: Site, flow_l_min: float, at_kpa: float, by: User, reason: str
) -> LimitChoice:
    """Set a leak limit of the site's own.

    Raises
    ------
    RuleBroken : a role too small, or no reason.
    InvalidQuantity : a flow below 0, or a pressure not above 0.
    """
    _may_rule(site, by)
    if not reason.strip():
        raise RuleBroken("Say where the limit comes from; it stands beside each result.")
    site_leak_limit(flow_l_min, at_kpa)
    own = {"flow_l_min": flow_l_min, "at_kpa": at_kpa}
    return LimitChoice.objects.create(
        site=site, name="leak", choice="site", own=own, by=by, reason=reason.strip()
    )
