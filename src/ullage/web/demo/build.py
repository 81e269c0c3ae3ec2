"""Build the world: sites, people, machines, sources, and weeks that lead up to now."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from django.db import transaction

from ullage.core.units import BAR_KPA
from ullage.web.accounts.selectors import User
from ullage.web.days.services import cases_write, day_work
from ullage.web.demo.cases import CaseRow, draws_of, past_cases, today_cases
from ullage.web.demo.cast import FENNEL, PEOPLE, SADDLE, MachineCast, RoomCast, SiteCast, Story
from ullage.web.demo.checks import checks_of_the_world
from ullage.web.demo.equipment import equipment_of, spare_parts
from ullage.web.demo.exposure import Worn, waste_of_the_world
from ullage.web.demo.looks import look_along
from ullage.web.demo.rows import SiteRows, case_rows, stored_rows, supply_rows
from ullage.web.demo.service import tell_service
from ullage.web.demo.stock import stock_of_the_world
from ullage.web.demo.stories import StoryTime, tell
from ullage.web.machines.selectors import Machine
from ullage.web.machines.services import chain_record_add, machine_add, parts_write
from ullage.web.sites.selectors import Role, Room, Site
from ullage.web.sites.services import member_add, room_add, site_add
from ullage.web.supply.selectors import Source
from ullage.web.supply.services import SourceFacts, history_write, site_work, source_add

__all__ = ["World", "build_world", "demo_zone", "work_out"]

#: Weeks of history before today.
_WEEKS = 4
#: When somebody looked along the chains today, and what a full reserve read then.
_LOOKED_AT = 8 * 60 + 50
#: When the checks of the morning begin.
_CHECKED_AT = 7 * 60 + 40
_FULL_KPA = 136.0 * BAR_KPA
#: The hour at which the story is seen, wherever the viewer is.
_HOUR = 9


@dataclass(frozen=True, slots=True, kw_only=True)
class World:
    """What was built: the sites, the people by role, and the time it is there."""

    sites: tuple[Site, ...]
    people: dict[str, User]
    now: datetime
    leaking: str

    @property
    def local_now(self) -> datetime:
        """Now on the clock of the sites."""
        return self.now.astimezone(ZoneInfo(self.sites[0].time_zone))


def demo_zone(now: datetime) -> str:
    """The whole-hour zone in which it is between nine and ten in the morning now.

    The demo's sites keep their own time, so that its day is always under way.
    """
    east = (_HOUR - now.astimezone(ZoneInfo("UTC")).hour) % 24
    east = east if east <= 14 else east - 24  # zones end at 14 hours east
    # The names of these zones count the other way round: GMT-3 is three hours east.
    return "Etc/GMT" if east == 0 else f"Etc/GMT{-east:+d}"


@transaction.atomic
def build_world(seed: int, now: datetime, password: str | None = None) -> World:
    """Build the whole world in an empty database; the same seed and time build the same.

    Without a password nobody can sign in, which is enough for tests.
    """
    rng = np.random.default_rng(seed)
    people = {
        role: User.objects.create_user(
            username=role, password=password, full_name=name, initials=initials
        )
        for role, name, initials in PEOPLE
    }
    sites = tuple(_site(cast, people, now, rng) for cast in (FENNEL, SADDLE))
    leaking = next(one.trees[-1] for one in FENNEL.stories if one.leak_l_min)
    return World(sites=sites, people=people, now=now, leaking=leaking)


def work_out(world: World) -> None:
    """Work out every answer of the world, as the worker would."""
    for site in world.sites:
        site_work(site_pk=site.pk)
        day_work(site_pk=site.pk, day=world.local_now.date())


def _site(cast: SiteCast, people: dict[str, User], now: datetime, rng: np.random.Generator) -> Site:
    zone = ZoneInfo(demo_zone(now))
    site = site_add(name=cast.name, time_zone=zone.key, is_demo=True, **cast.facts)
    for role, user in people.items():
        member_add(site=site, user=user, role=Role(role))
    first = now.astimezone(zone).date() - timedelta(days=7 * _WEEKS)
    origin = datetime.combine(first, time(), zone)
    days = 7 * _WEEKS + 1
    when = StoryTime(days, _workdays(first, days), int((now - origin) / timedelta(minutes=1)))
    rooms = {one.name: _room(site, one) for one in cast.rooms}
    world = SiteRows(
        site=site,
        cast=cast,
        rooms=rooms,
        machines={one.name: _machine(site, one, rooms) for one in cast.machines},
        people=list(people.values()),
        origin=origin,
        rng=rng,
    )
    cases = past_cases(cast.machines, first, days - 1, rng)
    cases += today_cases(cast.machines, when.midnight, when.now, rng)
    cases_write(cases=case_rows(cases, world))
    _equip(world, now.astimezone(zone).date())
    _write(world, cases, when)
    morning = world.at(when.midnight + _CHECKED_AT)
    checks_of_the_world(site, world.machines, world.people, morning)
    waste_of_the_world(site, world.machines, rooms, world.people, _worn(world, cases, when))
    stock_of_the_world(world, when.midnight)
    return site


def _worn(world: SiteRows, cases: list[CaseRow], when: StoryTime) -> list[Worn]:
    """The last cases before today that began in a chamber, the latest first."""
    boxed = [one for one in cases if one.extras.get("chamber_l") and one.end < when.midnight]
    last = sorted(boxed, key=lambda one: -one.start)[:3]
    return [Worn(starts=world.at(one.start), minutes=one.minutes) for one in last]


def _equip(world: SiteRows, today: date) -> None:
    """The parts of every machine, and what lies in store; they came before the story begins."""
    parts = [
        part
        for cast in world.cast.machines
        for part in equipment_of(cast, world.machines[cast.name], today)
    ]
    parts += spare_parts(world.site, today)
    parts_write(parts=parts, by=world.people[0], at=world.origin)
    tell_service(world, parts, today)


def _workdays(first: date, days: int) -> tuple[int, ...]:
    """Every weekday, and today whatever day it is."""
    found = [one for one in range(days) if (first + timedelta(days=one)).weekday() < 5]  # Saturday
    return tuple(sorted({*found, days - 1}))


def _room(site: Site, cast: RoomCast) -> Room:
    return room_add(
        site=site,
        name=cast.name,
        volume_m3=cast.volume_m3,
        air_changes_per_h=cast.air_changes_per_h,
        temperature_k=cast.climate.day_k,
        is_magnet=cast.is_magnet,
    )


def _machine(site: Site, cast: MachineCast, rooms: dict[str, Room]) -> Machine:
    return machine_add(
        site=site, name=cast.name, room=rooms[cast.room], system=cast.system, **cast.facts
    )


def _write(world: SiteRows, cases: list[CaseRow], when: StoryTime) -> None:
    """The sources with all that happened at them, and what stands in store."""
    drive = {
        one.name: float(str(one.facts.get("drive_gas_factor", 0.0))) for one in world.cast.machines
    }
    made: dict[str, Source] = {}
    for story in world.cast.stories:
        source = made[story.name] = _source(world, story, made)
        draws = [] if story.reserve_of else draws_of(cases, story.gas, story.feeds, drive)
        told = tell(story, world.cast, draws, when, world.rng)
        rows = supply_rows(told, source, world)
        history_write(
            cylinders=rows.cylinders, readings=rows.readings, events=rows.events, flows=rows.flows
        )
    _looks(world, made, when)
    rows = stored_rows(world)
    history_write(cylinders=rows.cylinders, events=rows.events)


def _looks(world: SiteRows, made: dict[str, Source], when: StoryTime) -> None:
    """Somebody looked along every main chain this morning, after the first reading."""
    at = world.at(when.midnight + _LOOKED_AT)
    for story in world.cast.stories:
        if story.reserve_of:
            continue
        for name in story.feeds:
            # The oxygen that stands behind the machine, whatever gas the chain is of.
            has_reserve = any(
                name in one.feeds and one.reserve_of and one.gas == "oxygen"
                for one in world.cast.stories
            )
            found = look_along(story, world.cast, reserve_kpa=_FULL_KPA if has_reserve else None)
            chain_record_add(
                machine=world.machines[name],
                by=world.people[1],
                source_code=made[story.name].code,
                found=found,
                at=at,
            )


def _source(world: SiteRows, story: Story, made: dict[str, Source]) -> Source:
    facts = SourceFacts(
        name=story.name,
        kind=story.kind,
        gas=story.gas,
        room=world.rooms[story.room],
        reserve_of=made.get(story.reserve_of),
        **story.facts,
    )
    machines = [world.machines[one] for one in story.feeds]
    return source_add(site=world.site, facts=facts, by=world.people[0], machines=machines)
