"""Writes about waste gas: each change stands beside what was before, refusals write nothing."""

import random
from datetime import timedelta

import pytest

from ullage.answers.exposure_badges import badge_level_ppm
from ullage.core.errors import InvalidQuantity, RuleBroken, UnknownReference
from ullage.reference.exposure_limits import exposure_limits
from ullage.web.exposure.models import BadgeResult, ExposureChange, LimitChoice, RoomMixing, WorkWay
from ullage.web.exposure.selectors import (
    badges_of,
    changes_about,
    limits_of,
    mixing_of,
    setup_of,
    work_room,
)
from ullage.web.exposure.services import (
    BadgeFacts,
    badge_add,
    badge_withdraw,
    limit_choose,
    mixing_set,
    way_set,
)
from ullage.web.machines.models import Machine
from ullage.web.sites.models import Room

pytestmark = [pytest.mark.web, pytest.mark.django_db]

#: What may be said of the work at a machine, a few values of each.
DRAWN = {
    "scavenging": ["", "active", "charcoal"],
    "mask_escape_share": [None, 0.1, 0.3],
    "purged": [None, True, False],
    "leak_l_min": [None, 0.05, 0.3],
    "hood": [True, False],
    "animals": [1, 4],
}


def replayed(changes, fresh):
    """What a row must hold by its changes, the oldest first."""
    for change in changes:
        assert change.before == {name: fresh[name] for name in change.after}
        assert all(change.before[name] != value for name, value in change.after.items())
        fresh |= change.after
    return fresh


@pytest.mark.parametrize("seed", range(5))
def test_the_changes_of_a_way_tell_how_it_came_to_what_it_is(machine, lead, operator, seed):
    dice = random.Random(seed)
    fresh = {name: getattr(WorkWay(), name) for name in DRAWN}
    written = 0
    for _ in range(25):
        names = dice.sample(sorted(DRAWN), dice.randrange(1, 4))
        facts = {name: dice.choice(DRAWN[name]) for name in names}
        before = WorkWay.objects.filter(machine=machine).values(*DRAWN).first() or fresh
        differs = any(before[name] != value for name, value in facts.items())
        assert way_set(machine=machine, by=dice.choice([lead, operator]), facts=facts) == differs
        written += differs
    told = replayed(ExposureChange.objects.order_by("pk"), dict(fresh))

    assert told == WorkWay.objects.values(*DRAWN).get()
    assert ExposureChange.objects.count() == written


def test_what_is_said_at_one_machine_is_not_said_at_another(site, machine, lead):
    robin = Machine.objects.create(site=site, name="Robin")
    way_set(machine=machine, by=lead, facts={"mask_escape_share": 0.2})

    assert setup_of(machine) != setup_of(robin)
    assert not WorkWay.objects.filter(machine=robin).exists()
    assert changes_about(site, "way", "Robin") == []
    assert [one.by for one in changes_about(site, "way", "Wren")] == [lead]


@pytest.mark.parametrize("seed", range(4))
def test_the_limit_that_a_site_follows_is_its_last_choice_for_each_agent(
    *, site, other_site, lead, seed
):
    dice = random.Random(seed)
    chosen = {}
    for _ in range(15):
        agent = dice.choice(["isoflurane", "nitrous oxide"])
        offered = ["", *(one.key for one in exposure_limits(agent))]
        chosen[agent] = dice.choice(offered)
        limit_choose(site=site, by=lead, agent=agent, limit=chosen[agent])
        assert limits_of(site) == {one: key for one, key in chosen.items() if key}
    assert limits_of(other_site) == {}


def test_a_limit_of_nitrous_oxide_is_none_of_isoflurane(site, lead):
    only = {one.key for one in exposure_limits("nitrous oxide")}
    only -= {one.key for one in exposure_limits("isoflurane")}
    for key in sorted(only):
        with pytest.raises(RuleBroken, match="is no limit of isoflurane: choose another"):
            limit_choose(site=site, by=lead, agent="isoflurane", limit=key)

    assert only
    assert not LimitChoice.objects.exists()


def test_a_limit_that_nobody_published_is_refused(site, lead):
    with pytest.raises(UnknownReference, match="my uncle"):
        limit_choose(site=site, by=lead, agent="isoflurane", limit="my uncle")
    assert not LimitChoice.objects.exists()
    assert not ExposureChange.objects.exists()


def test_a_mixing_factor_is_of_one_room(site, room, lead):
    other = Room.objects.create(site=site, name="Lab", volume_m3=30.0, air_changes_per_h=6.0)
    mixing_set(room=room, by=lead, mixing_factor=3.0)

    assert mixing_of(room) == work_room(room).mixing_factor == 3.0
    assert mixing_of(other) is None
    assert mixing_set(room=room, by=lead, mixing_factor=3.0) is False
    assert RoomMixing.objects.count() == 1


# --- badges --------------------------------------------------------------------------------------


@pytest.fixture
def badge(site, room, operator, at):
    def make(by=operator, **changes):
        known = {
            "room": room,
            "agent": "isoflurane",
            "who": "M.O.",
            "worn_from": at(9) - timedelta(days=1),
            "worn_to": at(11) - timedelta(days=1),
            "level": 1.6,
        }
        return badge_add(site=site, by=by, facts=BadgeFacts(**{**known, **changes}))

    return make


# mg/m3 = ppm x molar mass / molar volume; 24.45 L/mol at 25 °C and 101.325 kPa (the volume on
# which workplace limits are printed), molar masses from IUPAC atomic weights: isoflurane
# C3H2ClF5O 184.49, sevoflurane C4H3F7O 200.05, nitrous oxide N2O 44.01 g/mol.
@pytest.mark.parametrize(
    ("agent", "mass"), [("isoflurane", 184.49), ("sevoflurane", 200.05), ("nitrous oxide", 44.01)]
)
def test_milligrams_are_turned_by_molar_mass_and_the_volume_of_a_mole_at_25(badge, agent, mass):
    kept = badge(agent=agent, level=10.0, unit="mg/m³", celsius=25.0)

    assert kept.level_ppm == pytest.approx(10.0 * 24.45 / mass, rel=2e-3)
    assert (kept.level, kept.unit) == (10.0, "mg/m³")


def test_a_warmer_laboratory_counts_more_parts_in_the_same_milligrams():
    cold, warm = (badge_level_ppm(10.0, "mg/m³", "isoflurane", one) for one in (20.0, 25.0))

    assert warm / cold == pytest.approx(298.15 / 293.15)


@pytest.mark.parametrize(
    ("changes", "raised", "words"),
    [
        ({"level": -0.1}, InvalidQuantity, "level"),
        ({"level": float("nan")}, InvalidQuantity, "level"),
        ({"level": float("inf")}, InvalidQuantity, "level"),
        ({"agent": "ether of old"}, UnknownReference, "ether of old"),
        ({"agent": "ether of old", "unit": "mg/m³"}, UnknownReference, "ether of old"),
        ({"task_min": -1.0}, InvalidQuantity, "task_min"),
        ({"task_min": 121.0}, InvalidQuantity, "task_min"),
    ],
)
def test_a_badge_that_cannot_be_is_not_kept(badge, changes, raised, words):
    with pytest.raises(raised, match=words):
        badge(**changes)
    assert not BadgeResult.objects.exists()


def test_a_badge_worn_backwards_is_not_kept(badge, at):
    with pytest.raises(InvalidQuantity, match="worn_min"):
        badge(worn_from=at(11) - timedelta(days=1), worn_to=at(9) - timedelta(days=1))
    assert not BadgeResult.objects.exists()


def test_no_badge_is_ever_changed_and_a_withdrawal_is_said_once(badge, site, lead):
    kept = badge()
    row = BadgeResult.objects.values().get()
    badge_withdraw(badge=kept, by=lead, reason="It lay in a drawer.")
    with pytest.raises(RuleBroken, match="This badge was withdrawn already"):
        badge_withdraw(badge=kept, by=lead, reason="Again.")

    assert BadgeResult.objects.values().get() == row
    (shown,) = badges_of(site)
    assert (shown.withdrawal.by, shown.withdrawal.reason) == (lead, "It lay in a drawer.")


def test_badges_stand_the_latest_first_and_cost_one_query(
    badge, site, at, lead, django_assert_num_queries
):
    for days in (3, 1, 2):
        shift = timedelta(days=days)
        badge(worn_from=at(9) - shift, worn_to=at(11) - shift, who=f"{days}")
    badge_withdraw(badge=BadgeResult.objects.get(who="2"), by=lead, reason="Lost.")
    with django_assert_num_queries(1):
        shown = badges_of(site)
        told = [(one.who, one.room.name, hasattr(one, "withdrawal")) for one in shown]

    room = "Theatre 1"
    assert told == [("1", room, False), ("2", room, True), ("3", room, False)]
