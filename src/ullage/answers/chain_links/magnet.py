"""In a room marked "magnet": no steel cylinder, no unmarked regulator."""

from collections.abc import Iterator

from ullage.answers.answer import Answer
from ullage.answers.chain_links.judge import (
    Extras,
    Finding,
    Link,
    common,
    fine,
    judge,
    look_again,
    open_question,
    stop,
)
from ullage.answers.chain_things import Chain, CylinderMaterial

__all__ = ["LINK", "magnet"]

STEEL = common("No steel cylinder enters a room that holds a magnet.")
UNMARKED = common("Only a regulator marked for it enters a room that holds a magnet.")
ALWAYS_ON = "The magnet is on at all times; ask whoever answers for it before bringing anything in."


def magnet(chain: Chain) -> Answer:
    """Whether cylinder and regulator may be in this room."""
    marked = chain.magnet.room_marked
    extras = Extras(
        cautions=(ALWAYS_ON,) if marked else (),
        when_fine="What stands here may be near the magnet." if marked else "",
    )
    return judge("May this cylinder and regulator be near the magnet?", _findings(chain), extras)


def _findings(chain: Chain) -> Iterator[Finding]:
    found = chain.magnet
    if found.room_marked is None:
        yield open_question(found, "room_marked")
    elif not found.room_marked:
        yield fine("The room is not marked as holding a magnet.")
    else:
        if chain.source.has_cylinders:
            yield _material(chain)
        yield _regulator(chain)


def _material(chain: Chain) -> Finding:
    material = chain.magnet.cylinder_material
    if material is None:
        return open_question(chain.magnet, "cylinder_material")
    if material is CylinderMaterial.STEEL:
        return stop(
            "A steel cylinder in a room with a magnet becomes a missile.",
            "Keep it out. If it is inside, touch nothing and call whoever answers for the magnet.",
            STEEL,
        )
    if material is CylinderMaterial.OTHER:
        return look_again(
            "The cylinder is neither plainly steel nor aluminium; it may hold steel.",
            "Keep it out until its maker or label says that no part of it is magnetic.",
            STEEL,
        )
    return fine("The cylinder is of aluminium.", STEEL)


def _regulator(chain: Chain) -> Finding:
    marked = chain.magnet.regulator_marked
    if marked is None:
        return open_question(chain.magnet, "regulator_marked")
    if marked:
        return fine("The regulator is marked for use near the magnet.", UNMARKED)
    return stop(
        "The regulator is not marked for use near a magnet.",
        "Keep it out, and use one that is marked.",
        UNMARKED,
    )


LINK = Link(name="magnet", title="Magnet room", answer=magnet)
