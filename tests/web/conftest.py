"""What every web test starts from: two sites, a person in each role, a stranger, clients."""

from collections.abc import Callable

import pytest
from django.test import Client

from ullage.web.accounts.models import User
from ullage.web.machines.models import Machine
from ullage.web.sites.models import Membership, Role, Room, Site


@pytest.fixture
def site(db) -> Site:
    """A site low above the sea that reads bar and ISO 32 colours."""
    return Site.objects.create(name="Fennel Lane", elevation_m=60.0)


@pytest.fixture
def other_site(db) -> Site:
    """A site in the hills, where people of the first site have no business."""
    return Site.objects.create(
        name="High Saddle", elevation_m=1900.0, pressure_unit="psi", gas_colours="us"
    )


@pytest.fixture
def room(site) -> Room:
    return Room.objects.create(site=site, name="Theatre 1", volume_m3=60.0, air_changes_per_h=15.0)


@pytest.fixture
def machine(site, room) -> Machine:
    return Machine.objects.create(site=site, room=room, name="Wren", system="T-piece")


@pytest.fixture
def person(db) -> Callable[..., User]:
    """Make a person, with a role at a site where one is given."""

    def make(name: str, site: Site | None = None, role: str = "viewer") -> User:
        user = User.objects.create_user(
            username=name.partition(" ")[0].lower(), password="a long enough word", full_name=name
        )
        if site is not None:
            Membership.objects.create(user=user, site=site, role=role)
        return user

    return make


@pytest.fixture
def viewer(person, site) -> User:
    return person("Vera Looks", site, Role.VIEWER)


@pytest.fixture
def operator(person, site) -> User:
    return person("Otto Reads", site, Role.OPERATOR)


@pytest.fixture
def lead(person, site) -> User:
    return person("Lena Leads", site, Role.LEAD)


@pytest.fixture
def veterinarian(person, site) -> User:
    return person("Viktor Rules", site, Role.VETERINARIAN)


@pytest.fixture
def stranger(person, other_site) -> User:
    """A lead, but of another site."""
    return person("Bob Stranger", other_site, Role.LEAD)


@pytest.fixture
def client_of(db) -> Callable[[User], Client]:
    """A browser in which a person is signed in."""

    def make(user: User) -> Client:
        client = Client()
        client.force_login(user)
        return client

    return make


@pytest.fixture
def as_viewer(client_of, viewer) -> Client:
    return client_of(viewer)


@pytest.fixture
def as_operator(client_of, operator) -> Client:
    return client_of(operator)


@pytest.fixture
def as_lead(client_of, lead) -> Client:
    return client_of(lead)


@pytest.fixture
def as_veterinarian(client_of, veterinarian) -> Client:
    return client_of(veterinarian)


@pytest.fixture
def as_stranger(client_of, stranger) -> Client:
    return client_of(stranger)
