"""One call of each answer about waste gas, and a case of rats that begins in a chamber."""

from collections.abc import Callable
from functools import cache

from ullage.answers import (
    Answer,
    BadgeRead,
    CasePlan,
    Scavenging,
    WorkRoom,
    against_limit,
    badge,
    badge_agrees,
    case_plan,
    day_average,
    highest_mean,
    purge_time,
    room_level,
    scavenging_rules,
    task_average,
    what_helps_most,
)
from ullage.answers.case_things import CaseInput
from ullage.answers.exposure_things import EscapeKind, chamber_opened, flow_escapes
from ullage.answers.plan import Case, Chamber, Phase

ISO = "isoflurane"
LAB = WorkRoom(name="Lab", room_m3=45.0, air_changes_per_h=12.0)
KNOWN = WorkRoom(name="Lab", room_m3=45.0, air_changes_per_h=12.0, mixing_factor=2.0)
UNKNOWN = WorkRoom(name="Lab")

OPENED = chamber_opened(ISO, 4.0, 0.03, 500.0)
PAST = flow_escapes((EscapeKind.MASK, "past the mask", ISO), (0.0, 0.1, 1.0), 0.02, (505.0, 60.0))
MORNING = (OPENED, PAST)

PHASES = (
    Phase(name="Induction", minutes=6, oxygen_l_min=2.0),
    Phase(name="Procedure", minutes=60, oxygen_l_min=1.0),
    Phase(name="Waking", minutes=5, oxygen_l_min=1.0),
)
RATS = Case(
    name="C-31",
    machine="Siskin",
    start_min=540,
    phases=PHASES,
    species="rat",
    weight_kg=0.3,
    system="nose cone",
    chamber=Chamber(volume_l=4.0),
)


@cache
def rat_plan() -> CasePlan:
    """The plan of the rats, made once."""
    given = CaseInput(case=RATS, agent=ISO, drugs=(), target_mac=1.2)
    return case_plan(given, draws=20)


def _agrees() -> Answer:
    read = BadgeRead(agent=ISO, level_ppm=1.2, worn_min=120.0)
    task = (480.0, 600.0)
    return badge_agrees(
        read, task_average(LAB, MORNING, ISO, task), task_average(LAB, MORNING, ISO, task)
    )


EXPOSURE_EXAMPLES: dict[str, Callable[[], Answer]] = {
    "against_limit": lambda: against_limit(ISO, None, {}),
    "badge": lambda: badge(BadgeRead(agent=ISO, level_ppm=2.0, worn_min=480.0, task_min=45.0)),
    "badge_agrees": _agrees,
    "day_average": lambda: day_average(LAB, MORNING, ISO),
    "highest_mean": lambda: highest_mean(KNOWN, MORNING, ISO),
    "purge_time": lambda: purge_time(4.0, 4.0, 30_000.0, 1500.0),
    "room_level": lambda: room_level(UNKNOWN, MORNING, ISO),
    "scavenging_rules": lambda: scavenging_rules(Scavenging.CHARCOAL),
    "task_average": lambda: task_average(LAB, MORNING, ISO, (480.0, 570.0)),
    "what_helps_most": lambda: what_helps_most(KNOWN, MORNING, ISO),
}
