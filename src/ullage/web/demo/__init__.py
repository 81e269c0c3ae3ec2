"""The practice world: two invented sites with weeks of history, built from a seed.

No person, place, animal or cylinder in it exists; no brand is named.
"""

from ullage.web.demo.build import World, build_world, demo_zone, work_out
from ullage.web.demo.records_told import records_of_the_world

__all__ = ["World", "build_world", "demo_zone", "records_of_the_world", "work_out"]
