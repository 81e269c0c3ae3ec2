"""Worlds from many seeds: which cylinder the readings accuse of a leak, and the time to build one.

The truth (which cylinder leaks) stays in the generator; what answers see is what people wrote
down: readings, and the flows that were meant to run.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from time import perf_counter

from benchmarks.django_site import temporary_site
from benchmarks.frame import Figure

__all__ = ["SEEDS", "Accused", "accused_in", "figures"]

SEEDS = tuple(range(1, 21))


@dataclass(frozen=True, slots=True)
class Accused:
    """One world: which cylinder leaks, which are said to, and how long it took to build."""

    seed: int
    leaking: str
    named: frozenset[str]
    asked_about: frozenset[str]
    build_s: float

    @property
    def is_right(self) -> bool:
        """The leaking one is named."""
        return self.leaking in self.named

    @property
    def wrongly(self) -> frozenset[str]:
        """Cylinders that are accused and do not leak."""
        return self.named - {self.leaking}


def accused_in(seed: int) -> Accused:
    """Build one world, work out its answers, and take it down again; Django is set up."""
    from django.db import transaction
    from django.utils import timezone

    from ullage.answers import Verdict
    from ullage.web.demo import build_world, work_out
    from ullage.web.supply.selectors import Cylinder, CylinderState, kept_by_cylinder

    with transaction.atomic():
        began = perf_counter()
        world = build_world(seed, timezone.now())
        work_out(world)
        took = perf_counter() - began
        fitted = list(Cylinder.objects.filter(state=CylinderState.IN_USE))
        kept = kept_by_cylinder(fitted, ("leak",))
        said = {one.name: kept[one.pk].leak for one in fitted}
        transaction.set_rollback(True)
    accusing = {Verdict.LOOK_AGAIN, Verdict.STOP}
    return Accused(
        seed=seed,
        leaking=world.leaking,
        named=frozenset(name for name, one in said.items() if one and one.verdict in accusing),
        asked_about=frozenset(
            name for name, one in said.items() if one and one.verdict is Verdict.NOT_YET
        ),
        build_s=took,
    )


def figures() -> Iterator[Figure]:
    """How many worlds name the leak, how many cylinders are wrongly accused, the slowest build."""
    with temporary_site():
        found = [accused_in(seed) for seed in SEEDS]
    missed = [one.seed for one in found if not one.is_right]
    wrongly = sorted({name for one in found for name in one.wrongly})
    asked = sum(len(one.asked_about - {one.leaking}) for one in found)
    yield Figure(
        name="demo worlds that name the leaking cylinder",
        value=sum(one.is_right for one in found),
        limit=19,
        comparison=">=",
        n=len(found),
        seed=SEEDS[0],
        note=f"seeds 1 to 20; missed in {missed or 'none'}",
    )
    yield Figure(
        name="demo worlds, other cylinders accused",
        value=sum(len(one.wrongly) for one in found),
        limit=0,
        comparison="<=",
        n=len(found),
        seed=SEEDS[0],
        note=f"accused: {', '.join(wrongly) or 'none'}; only asked about: {asked}",
    )
    yield Figure(
        name="demo world, built and worked out",
        value=max(one.build_s for one in found),
        limit=15.0,
        comparison="<=",
        n=len(found),
        seed=SEEDS[0],
        unit="s",
        note="the slowest",
    )
