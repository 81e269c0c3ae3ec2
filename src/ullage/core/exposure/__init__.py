"""What escapes into the air of a room, and what that comes to.

The course over time stands in `ullage.core.exposure.room_course`: it loads a library of arrays,
which the rest does without.
"""

from ullage.core.exposure.averages import (
    badge_from_task_ppm,
    eight_hour_average_ppm,
    task_from_badge_ppm,
    time_average_ppm,
    vapour_mg_m3,
    vapour_ppm,
)
from ullage.core.exposure.dilution import (
    air_changes_from_decay_per_h,
    fresh_air_from_half_time_m3_h,
    room_air_l_min,
    room_built_up_ppm,
    room_decayed_ppm,
    room_from_steady_m3,
    room_steady_ppm,
    swept_fraction,
    swept_min,
)
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
    "air_changes_from_decay_per_h",
    "badge_from_task_ppm",
    "eight_hour_average_ppm",
    "fresh_air_from_half_time_m3_h",
    "most_leak_share",
    "room_air_l_min",
    "room_built_up_ppm",
    "room_decayed_ppm",
    "room_from_steady_m3",
    "room_limit_min",
    "room_oxygen_after_fraction",
    "room_oxygen_later_fraction",
    "room_oxygen_steady_fraction",
    "room_steady_ppm",
    "smallest_room_m3",
    "swept_fraction",
    "swept_min",
    "task_from_badge_ppm",
    "time_average_ppm",
    "vapour_mg_m3",
    "vapour_ppm",
]
