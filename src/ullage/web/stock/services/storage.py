"""Places of storage: named, and looked at."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from ullage.answers.chain_links.storage import CODES
from ullage.answers.storage import KEPT, Kept
from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.sites.selectors import Room, Site
from ullage.web.stock.models import StorageArea, StorageLook
from ullage.web.stock.services.log import change_write, come

__all__ = ["area_add", "area_change", "area_look"]


@transaction.atomic
def area_add(*, site: Site, room: Room, name: str = "", by: User) -> StorageArea:
    """Call a room a place of storage; one that is one already is handed back."""
    if room.site_id != site.pk:
        raise RuleBroken(f"{room} is no room of {site}.")
    before = StorageArea.objects.filter(room=room).first()
    if before is not None:
        return before
    return StorageArea.objects.create(
        site=site, room=room, name=name.strip() or room.name, added_at=timezone.now()
    )


@transaction.atomic
def area_change(
    *, area: StorageArea, name: str, storage_code: str, enclosed: str, by: User
) -> StorageArea:
    """Change what is written of a place; a code of its own goes before that of the site.

    Raises
    ------
    RuleBroken : no name, a code or a word that does not exist.
    """
    if not name.strip():
        raise RuleBroken("Give the place a name.")
    if storage_code and storage_code not in CODES:
        raise RuleBroken("This code is not in the list; choose none and keep to your own.")
    if enclosed not in {"yes", "no", "unknown"}:
        raise RuleBroken("Say yes, no or not known.")
    facts = {"name": name.strip(), "storage_code": storage_code, "enclosed": enclosed}
    change_write(site=area.site, subject=f"area:{area.pk}", thing=area, facts=facts, by=by)
    return area


@transaction.atomic
def area_look(
    *,
    area: StorageArea,
    facts: Mapping[str, Any],
    by: User,
    at: datetime | None = None,
    note: str = "",
    code: UUID | None = None,
) -> StorageLook:
    """Keep how cylinders stood; earlier looks stay as they are.

    Raises
    ------
    RuleBroken : nothing was looked at, or a time that has not come.
    InvalidQuantity : a temperature that cannot be.
    """
    if code is not None:
        before = StorageLook.objects.filter(code=code, area=area).first()
        if before is not None:
            return before
    names = (*KEPT, "hottest_k")
    kept = {name: facts[name] for name in names if facts.get(name) is not None}
    if not kept:
        raise RuleBroken("Nothing was looked at: answer at least one question.")
    Kept(**kept)
    own = {"code": code} if code else {}
    return StorageLook.objects.create(
        area=area, facts=kept, at=come(at), note=note.strip(), by=by, **own
    )
