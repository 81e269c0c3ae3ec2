"""A site with running cases and an operator at each; run as a process of its own.

``python -m benchmarks.queue_site build 8`` prints one line of JSON: a cookie, a record and a ticket
for each operator. ``... count`` prints how many entries stand, and how many chains are whole.
"""

import json
import sys
from typing import Any

__all__ = ["build", "count", "main"]


def build(operators: int) -> list[dict[str, str]]:
    """An empty database made ready, with a running case for each operator."""
    from django.core.management import call_command

    from ullage.web.machines.services import machine_add
    from ullage.web.sites.services import room_add, site_add

    call_command("migrate", verbosity=0, interactive=False)
    call_command("collectstatic", verbosity=0, interactive=False)
    site = site_add(name="Bench", elevation_m=60.0, is_demo=True)
    room = room_add(site=site, name="Theatre")
    machine = machine_add(site=site, name="Wren", room=room, system="T-piece")
    return [_operator(site, machine, number) for number in range(operators)]


def _operator(site: Any, machine: Any, number: int) -> dict[str, str]:
    from ullage.web.accounts.selectors import User
    from ullage.web.cases.selectors import CaseState
    from ullage.web.cases.services import Opening, record_open, state_write, ticket_new
    from ullage.web.sites.selectors import Role
    from ullage.web.sites.services import member_add

    user = User.objects.create_user(username=f"op{number}", full_name=f"Operator {number}")
    member_add(site=site, user=user, role=Role.OPERATOR)
    opening = Opening(machine=machine, name=f"Case {number}", species="cat")
    record = record_open(site=site, opening=opening, by=user)
    state_write(record=record, to=CaseState.RUNNING, by=user)
    cookie = f"sessionid={_session(user)}; csrftoken={_TOKEN}"
    ticket, _ = ticket_new(user=user, tablet=None)
    return {"cookie": cookie, "token": _TOKEN, "record": str(record.code), "ticket": ticket}


_TOKEN = "b" * 32


def _session(user: Any) -> str:
    from django.test import Client

    client = Client()
    client.force_login(user)
    client.get("/api/epoch/")
    return client.cookies["sessionid"].value


def count() -> dict[str, int]:
    """Entries that stand, those kept aside, and records whose chain is whole."""
    from ullage.answers.record.chained import START, link
    from ullage.web.cases.selectors import NotTaken, Record, chain_of

    entries = whole = 0
    for record in Record.objects.all():
        before = START
        links = chain_of(record)
        for one in links:
            before = link(before, one.text) if before is not None else before
            entries += '"line":"entry"' in one.text
        whole += before == record.head and len(links) == record.count
    return {"entries": entries, "whole": whole, "aside": NotTaken.objects.count()}


def main(words: list[str]) -> int:
    """Build or count, and say in one line what was found."""
    import os

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "ullage.web.settings")
    import django

    django.setup()
    print(json.dumps(build(int(words[1])) if words[0] == "build" else count()))
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
