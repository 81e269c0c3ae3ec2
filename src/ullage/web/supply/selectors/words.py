"""Cylinders in words: gas with its colour, size, where it is, what comes next."""

from ullage.core.errors import UnknownReference
from ullage.reference import stated
from ullage.web.sites.selectors import Site
from ullage.web.supply.models import Cylinder, CylinderState

__all__ = ["gas_words", "kind_words", "size_words"]

_SCHEMES = {"iso32": ("iso", "ISO 32"), "us": ("us", "US")}


def gas_words(gas: str, site: Site) -> str:
    """The gas with its shoulder colour in the scheme of the site."""
    scheme, words = _SCHEMES.get(site.gas_colours, ("iso", "ISO 32"))
    name = gas.capitalize()
    try:
        colour = stated("gas_colours", f"{scheme}.{gas.replace(' ', '_')}").text
    except UnknownReference:
        return name
    return f"{name} ({colour} shoulder, {words})"


def size_words(cylinder: Cylinder) -> str:
    """Size and water capacity: ``size E, 4.7 L``."""
    letter = cylinder.size.partition(" (")[0]
    capacity = f"{cylinder.water_capacity_l:.3g} L"
    return f"size {letter}, {capacity}" if letter else f"{capacity} of water"


def kind_words(cylinder: Cylinder) -> str:
    """What the tag says above the name: where it is, or what it is marked."""
    if cylinder.state == CylinderState.IN_USE and cylinder.source is not None:
        source = cylinder.source
        where = (
            f", {source.room.name}" if source.room and source.room.name not in source.name else ""
        )
        return f"Cylinder on {source.name}{where}"
    said = f"Cylinder, {CylinderState(cylinder.state).label.lower()}"
    return f"{said} · {cylinder.room.name}" if cylinder.room is not None else said
