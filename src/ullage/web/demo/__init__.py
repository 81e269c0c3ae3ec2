"""The practice world: two invented sites with weeks of history, built from a seed.

No person, place, animal or cylinder in it exists; no brand is named.
"""

from ullage.web.demo.build import World, build_world, demo_zone, work_out

__all__ = ["World", "build_world", "demo_zone", "work_out"]
