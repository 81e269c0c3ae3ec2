"""Asking for an answer: the work is queued once the write behind it is safe."""

from django.db import transaction
from django.dispatch import Signal
from django.utils import timezone

from ullage.web.sites.selectors import Site
from ullage.web.supply.models import Cylinder, CylinderState, Source

__all__ = ["cylinder_ask", "site_ask", "source_ask", "supply_changed"]

#: Sent with ``site_pk`` when something was written that answers of a site rest on.
supply_changed = Signal()

#: Cylinders whose answers somebody may look at.
_LIVE = (CylinderState.FULL, CylinderState.IN_USE, CylinderState.PART_USED)


def cylinder_ask(*, cylinder: Cylinder) -> None:
    """Note that this cylinder's answers are out of date and queue new ones."""
    from ullage.web.supply.tasks import work_out_cylinder

    Cylinder.objects.filter(pk=cylinder.pk).update(asked_at=timezone.now())
    transaction.on_commit(lambda: work_out_cylinder.enqueue(cylinder.pk))
    supply_changed.send(sender=Cylinder, site_pk=cylinder.site_id)


def source_ask(*, source: Source) -> None:
    """The same for every cylinder that this source draws from."""
    for cylinder in Cylinder.objects.filter(source=source, state=CylinderState.IN_USE):
        cylinder_ask(cylinder=cylinder)


def site_ask(*, site: Site) -> None:
    """The same for a whole site, after a change of its settings or its plan: one task."""
    from ullage.web.supply.tasks import work_out_site

    Cylinder.objects.filter(site=site, state__in=_LIVE).update(asked_at=timezone.now())
    transaction.on_commit(lambda: work_out_site.enqueue(site.pk))
    supply_changed.send(sender=Site, site_pk=site.pk)
