"""Whether the needle of a closed cylinder is being watched, and what came of it."""

from ullage.web.supply.models import Cylinder, CylinderEvent

__all__ = ["last_watch", "open_watch"]

_KINDS = ("watch begun", "watch ended")


def last_watch(cylinder: Cylinder) -> CylinderEvent | None:
    """The last line about watching the needle, begun or ended."""
    said = CylinderEvent.objects.filter(cylinder=cylinder, kind__in=_KINDS)
    return said.order_by("-pk").select_related("by").first()


def open_watch(cylinder: Cylinder) -> CylinderEvent | None:
    """The mark of the watch that runs now, or None; one read too early runs on."""
    lines = CylinderEvent.objects.filter(cylinder=cylinder, kind__in=_KINDS).order_by("-pk")[:20]
    for line in lines:
        if line.kind == "watch begun":
            return line
        if line.details.get("verdict") != "Not yet":
            return None
    return None
