"""People come, go and change their roles in drawn order: a site is never left without a hand."""

import random

import pytest

from ullage.core.errors import RuleBroken
from ullage.web.sites.models import Membership, Role, SiteChange
from ullage.web.sites.selectors import changes_of, people_of
from ullage.web.sites.services import member_add, member_remove, member_role_set, site_change

pytestmark = pytest.mark.web

MANAGE = {Role.LEAD, Role.VETERINARIAN}


def step(roles, dice, site, people):
    """One drawn change of one person; what must not be is refused and changes nothing."""
    person, role = dice.choice(people), dice.choice(list(Role))
    held = Membership.objects.filter(site=site, user=person).first()
    managing = [one for one, has in roles.items() if has in MANAGE]
    is_last = managing == [person.pk]
    if held is None:
        member_add(site=site, user=person, role=role)
        roles[person.pk] = role
    elif dice.random() < 0.3:
        if is_last:
            refused(member_remove, membership=held)
        else:
            member_remove(membership=held)
            del roles[person.pk]
    elif is_last and role not in MANAGE:
        refused(member_role_set, membership=held, role=role)
    else:
        member_role_set(membership=held, role=role)
        roles[person.pk] = role


def refused(deed, **said):
    with pytest.raises(RuleBroken, match="is the last who may manage"):
        deed(**said)


@pytest.mark.parametrize("seed", range(6))
def test_roles_are_as_they_were_given_and_somebody_may_always_manage(site, lead, person, seed):
    dice = random.Random(seed)
    people = [lead, *(person(f"P{number} Drawn") for number in range(3))]
    roles = {lead.pk: Role.LEAD}
    for _ in range(50):
        step(roles, dice, site, people)
        assert {one.user_id: one.role for one in people_of(site)} == roles
        assert MANAGE & set(roles.values())


def test_a_person_joins_once(site, lead):
    with pytest.raises(RuleBroken, match="is at Fennel Lane already; change the role"):
        member_add(site=site, user=lead, role=Role.VIEWER)
    assert Membership.objects.get(user=lead, site=site).role == Role.LEAD


@pytest.mark.parametrize("seed", range(4))
def test_the_log_of_settings_leads_from_the_first_value_to_the_last(site, lead, veterinarian, seed):
    dice = random.Random(seed)
    drawn = {
        "elevation_m": [60.0, 900.0, 1900.0],
        "pressure_unit": ["bar", "psi", "kPa"],
        "gas_colours": ["iso", "us"],
    }
    first = {name: getattr(site, name) for name in drawn}
    for _ in range(30):
        names = dice.sample(sorted(drawn), 2)
        facts = {name: dice.choice(drawn[name]) for name in names}
        site_change(site=site, by=dice.choice([lead, veterinarian]), section="air", facts=facts)
        site.refresh_from_db()
    now = dict(first)
    for change in SiteChange.objects.order_by("pk"):
        assert change.before == {name: now[name] for name in change.after}
        assert all(change.before[name] != value for name, value in change.after.items())
        now |= change.after

    assert now == {name: getattr(site, name) for name in drawn}
    assert changes_of(site, "air")[0].pk == SiteChange.objects.order_by("-pk")[0].pk
