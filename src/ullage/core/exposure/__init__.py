"""What escapes into the air of a room, and what that comes to."""

from ullage.core.exposure.room_oxygen import (
    AIR_OXYGEN_FRACTION,
    Mixing,
    Released,
    most_leak_share,
    room_limit_min,
    room_oxygen_after_fraction,
    room_oxygen_later_fraction,
    room_oxygen_steady_fraction,
    smallest_room_m3,
)

__all__ = [
    "AIR_OXYGEN_FRACTION",
    "Mixing",
    "Released",
    "most_leak_share",
    "room_limit_min",
    "room_oxygen_after_fraction",
    "room_oxygen_later_fraction",
    "room_oxygen_steady_fraction",
    "smallest_room_m3",
]
