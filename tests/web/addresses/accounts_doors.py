"""Addresses of people, of their sign-in and of their sessions."""

from types import SimpleNamespace
from typing import Any

from tests.web.addresses.door import Bad, Door, just

__all__ = ["ACCOUNTS_DOORS"]


def _user(made: SimpleNamespace) -> dict[str, Any]:
    return {"username": made.person.username}


_PERSON = {"full_name": "Nia New", "username": "nia", "initials": "", "role": "operator"}
_PIN = {"pin": "730419", "pin_again": "730419", "password": "a long enough word"}

ACCOUNTS_DOORS = (
    Door(name="accounts:people"),
    Door(
        name="accounts:person_add",
        what="manage",
        post=200,
        typed=just(**_PERSON),
        bad=Bad({**_PERSON, "username": "not a name!"}, "Enter a valid username"),
    ),
    Door(
        name="accounts:me",
        post=302,
        typed=just(full_name="Vera Anew", initials="V.A."),
        bad=Bad({"full_name": "", "initials": "V.A."}, "This field is required"),
    ),
    Door(name="accounts:safety"),
    Door(
        name="accounts:pin",
        post=302,
        typed=just(**_PIN),
        bad=Bad({"pin": "123456"}, "This field is required", dropped=("123456",)),
    ),
    Door(name="accounts:held", get=302, post=302),
    Door(name="accounts:end_others", get=None, post=302),
    Door(
        name="accounts:person",
        what="manage",
        about=_user,
        post=302,
        typed=just(role="operator"),
        bad=Bad({"role": "emperor"}, "Select a valid choice", dropped=("emperor",)),
    ),
    Door(name="accounts:renew", what="manage", about=_user, get=None, post=200),
    Door(name="accounts:factors", what="manage", about=_user, get=None, post=302),
    Door(name="accounts:let_in", what="manage", about=_user, get=None, post=302),
    Door(name="accounts:remove", what="manage", about=_user, get=None, post=302),
)
