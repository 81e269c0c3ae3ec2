"""The cast of the practice world: the places and people of the brief, all invented."""

import itertools
from datetime import date, timedelta

import numpy as np
import pytest

from ullage.answers.chain_links import LINKS
from ullage.core.units import BAR_KPA, PSI_KPA
from ullage.reference import cylinder_size
from ullage.web.demo.cases import TODAY, draws_of, past_cases, today_cases
from ullage.web.demo.cast import FENNEL, FLOWERS, PEOPLE, SADDLE
from ullage.web.demo.looks import look_along
from ullage.web.machines.selectors import ASKED, asked_of
from ullage.web.sites.models import Role

pytestmark = [pytest.mark.web, pytest.mark.django_db]

DAY = 1440
SITES = (FENNEL, SADDLE)
STORIES = [(site, story) for site in SITES for story in site.stories]
BIRDS = [one for site in SITES for one in site.machines]
FIRST = date(2026, 5, 12)


def rng(seed=3):
    return np.random.default_rng(seed)


def named(pair):
    return pair[1].name


def test_there_is_one_person_for_each_role():
    assert {role for role, _, _ in PEOPLE} == set(Role.values)
    assert all(
        "".join(f"{word[0]}." for word in name.split()) == initials for _, name, initials in PEOPLE
    )


def test_the_places_are_those_of_the_brief():
    assert (FENNEL.name, FENNEL.facts["elevation_m"]) == ("Fennel Lane Research Surgery", 60.0)
    assert (SADDLE.name, SADDLE.facts["elevation_m"]) == ("High Saddle Field Station", 1900.0)
    assert {"Theatre 1", "Theatre 2", "Imaging room", "Barn"} <= {one.name for one in FENNEL.rooms}
    assert [one.name for one in FENNEL.rooms if one.is_magnet] == ["Imaging room"]


def test_each_site_thinks_in_its_own_units_and_rounds_its_rules_there():
    assert FENNEL.facts["reserve_kpa"] == pytest.approx(14 * BAR_KPA)
    assert FENNEL.facts["begin_kpa"] == pytest.approx(69 * BAR_KPA)
    assert SADDLE.facts["reserve_kpa"] == pytest.approx(200 * PSI_KPA)
    assert SADDLE.facts["begin_kpa"] == pytest.approx(1000 * PSI_KPA)


@pytest.mark.parametrize("pair", STORIES, ids=named)
def test_every_source_stands_in_a_room_and_feeds_machines_of_its_site(pair):
    site, story = pair

    assert story.room in {one.name for one in site.rooms}
    assert set(story.feeds) <= {one.name for one in site.machines}
    assert story.feeds
    behind = {one.name for one in site.stories[: site.stories.index(story)]}
    assert not story.reserve_of or story.reserve_of in behind


@pytest.mark.parametrize("pair", [one for one in STORIES if one[1].size], ids=named)
def test_every_cylinder_is_of_a_size_that_is_known_in_its_world(pair):
    site, story = pair
    size = cylinder_size(story.size, site.region)

    assert 1.0 < size.water_capacity_l < 60.0
    assert len(story.trees) % story.bank == 0
    assert story.step_kpa < story.change_below_kpa < story.full_scale_kpa


@pytest.mark.parametrize("machine", BIRDS, ids=lambda one: one.name)
def test_every_machine_has_oxygen_and_where_it_needs_one_a_reserve(machine):
    site = next(one for one in SITES if machine in one.machines)
    oxygen = [one for one in site.stories if machine.name in one.feeds and one.gas == "oxygen"]
    assert [one for one in oxygen if not one.reserve_of]
    assert [one for one in oxygen if one.reserve_of]


def test_no_name_stands_for_two_things():
    trees = [tree for _, story in STORIES for tree in story.trees]
    trees += [name for site in SITES for name, *_ in site.stored]
    birds = [one.name for one in BIRDS]
    everything = [*trees, *birds, *FLOWERS]

    assert len(set(everything)) == len(everything)


@pytest.mark.parametrize("machine", BIRDS, ids=lambda one: one.name)
def test_today_has_cases_that_do_not_overlap_on_one_machine(machine):
    cases = sorted(today_cases((machine,), 0, 571.0, rng()), key=lambda one: one.start)

    assert [one.name for one in cases] == [name for _, name, _, _ in TODAY[machine.name]]
    for before, after in itertools.pairwise(cases):
        assert before.end <= after.start


@pytest.mark.parametrize(
    ("now", "state"), [(629.0, "planned"), (630.0, "running"), (739.9, "running"), (740.0, "done")]
)
def test_a_case_of_today_is_where_the_clock_says(now, state):
    """Clover begins at 10:30 and takes 20 + 75 + 15 minutes."""
    wren = next(one for one in BIRDS if one.name == "Wren")
    clover = today_cases((wren,), 0, now, rng())[0]

    assert (clover.name, clover.minutes, clover.end) == ("Clover", 110.0, 740.0)
    assert clover.state == state


def test_a_case_that_has_begun_was_weighed():
    for seed in range(30):
        for one in today_cases(FENNEL.machines, 0, 12 * 60.0, rng(seed)):
            assert one.weight_kg is not None or one.state == "planned"


def test_animals_weigh_what_such_animals_weigh():
    bounds = {
        "mouse": (0.015, 0.06), "rabbit": (1.0, 6.0), "cat": (2.0, 8.0), "ferret": (0.5, 2.5),
        "sheep": (30.0, 120.0), "pig": (15.0, 120.0), "goat": (15.0, 90.0), "pony": (100.0, 320.0),
    }  # fmt: skip
    for one in past_cases((*FENNEL.machines, *SADDLE.machines), FIRST, 28, rng()):
        low, high = bounds[one.species]
        assert low <= one.weight_kg <= high


def test_nobody_works_at_a_weekend():
    for one in past_cases(FENNEL.machines, FIRST, 28, rng()):
        day = FIRST + timedelta(days=one.start // DAY)
        assert day.weekday() < 5
        assert one.start % DAY >= 8 * 60


def test_past_cases_of_one_machine_follow_each_other():
    cases = past_cases(FENNEL.machines, FIRST, 28, rng())
    for machine in FENNEL.machines:
        mine = sorted((one for one in cases if one.machine == machine.name), key=lambda c: c.start)
        assert mine
        assert all(a.end + 30 <= b.start for a, b in itertools.pairwise(mine))


def test_as_many_cases_as_the_cast_says():
    """Of 20 workdays each machine sees share × most cases a day, on average over seeds."""
    wren = next(one for one in BIRDS if one.name == "Wren")
    share, most = wren.cases_a_day
    counts = [len(past_cases((wren,), FIRST, 28, rng(seed))) for seed in range(40)]

    assert np.mean(counts) == pytest.approx(20 * share * most, rel=0.05)


def test_what_a_case_draws_is_its_phases_and_the_gas_that_drives_the_bellows():
    """Heron: 6 L/min breathed at 0.4 L of oxygen each draw 2.4 L/min besides, while it works."""
    heron = next(one for one in BIRDS if one.name == "Heron")
    bracken = today_cases((heron,), 0, 0.0, rng())[0]
    oxygen = draws_of([bracken], "oxygen", ("Heron",), {"Heron": 0.4})
    air = draws_of([bracken], "air", ("Heron",), {"Heron": 0.4})

    assert [one.flow_l_min for one in oxygen] == pytest.approx([3.0, 1.0 + 2.4, 3.0])
    assert [(one.start, one.end) for one in oxygen] == [(500, 525), (525, 635), (635, 655)]
    assert [one.is_last for one in oxygen] == [False, False, True]
    assert [(one.start, one.end, one.flow_l_min) for one in air] == [(525, 635, 0.5)]


def test_a_source_gives_only_to_the_machines_it_feeds():
    cases = today_cases(FENNEL.machines, 0, 0.0, rng())
    wanted = draws_of(cases, "oxygen", ("Wren",), {})

    assert {one.machine for one in wanted} == {"Wren"}
    assert draws_of(cases, "oxygen", ("Nobody",), {}) == []


@pytest.mark.parametrize("pair", [one for one in STORIES if not one[1].reserve_of], ids=named)
def test_what_was_looked_at_answers_questions_that_are_asked(pair):
    site, story = pair
    found = look_along(story, site, reserve_kpa=13_600.0)

    assert set(found) <= {one.name for one in LINKS}
    for part, answers in found.items():
        assert set(answers) <= {one.field for one in asked_of(part)} if part in ASKED else answers


@pytest.mark.parametrize(
    ("name", "colour", "connection"),
    [
        # ISO 32 white and the pins 2-5 of oxygen; the valve of a large cylinder has its number.
        ("Portable oxygen on Dunlin", "white", "pins 2-5"),
        ("Barn oxygen", "white", "CGA 540"),
        ("Air outlet, theatre 2", "black and white", "DISS 1160"),
        ("Nitrous oxide on Heron", "blue", "pins 3-5"),
        ("Field theatre oxygen", "green", "CGA 540"),
    ],
)
def test_gas_colour_and_connection_belong_together(name, colour, connection):
    site, story = next(one for one in STORIES if one[1].name == name)
    seen = look_along(story, site, reserve_kpa=None)["identity"]

    assert (seen["label_gas"], seen["colour"], seen["connection"]) == (
        story.gas, colour, connection,
    )  # fmt: skip


def test_without_a_reserve_the_look_says_so():
    site, story = next(one for one in STORIES if one[1].name == "Barn oxygen")

    assert look_along(story, site, reserve_kpa=None)["reserve"] == {"present": False}
    assert look_along(story, site, reserve_kpa=None)["contents"] == {"second_source": False}
    assert look_along(story, site, reserve_kpa=13_600.0)["contents"] == {"second_source": True}


def test_only_the_room_with_a_magnet_is_asked_about_metal():
    asked = {
        story.name: "magnet" in look_along(story, site, reserve_kpa=None) for site, story in STORIES
    }

    assert {name for name, is_asked in asked.items() if is_asked} == {
        "Portable oxygen on Dunlin", "Reserve on Dunlin",
    }  # fmt: skip
