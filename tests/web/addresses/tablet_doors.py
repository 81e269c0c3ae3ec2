"""Addresses of enrolled devices, and one such device."""

import json

from tests.web.addresses.door import Bad, Door, just
from ullage.web.accounts.models import User
from ullage.web.cases.services import tablet_enrol
from ullage.web.machines.models import Machine

__all__ = ["TABLET_DOORS", "tablet_things"]

#: The public key of RFC 7515, A.3.1: an example that everybody knows.
_KEY = {
    "kty": "EC",
    "crv": "P-256",
    "x": "f83OJ3D2xF1Bg8vub9tLe1gHMzV76e8Tus9uPHvRVEU",
    "y": "x_FEzRu9m36HLN_tue659LNpXW6pCyStikYjKIWI5a0",
}


def tablet_things(machine: Machine, by: User) -> dict[str, object]:
    """A device that is enrolled at the site of a machine."""
    key = json.dumps(_KEY)
    return {"tablet": tablet_enrol(site=machine.site, name="Table 1", public_key=key, by=by)}


TABLET_DOORS = (
    Door(name="cases:tablets"),
    Door(
        name="cases:tablet",
        what="manage",
        thing="tablet",
        post=302,
        typed=just(name="Table 2"),
        bad=Bad({"name": ""}, "This field is required"),
    ),
    Door(
        name="cases:tablet_out",
        what="manage",
        thing="tablet",
        get=None,
        post=302,
        typed=just(reason="Lost on the ward."),
        bad=Bad({"reason": " "}, "Say why; lost, broken, handed on."),
    ),
)
