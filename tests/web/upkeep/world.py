"""A site with records, built through the services in a process of its own.

As a script it does what a list of words on standard input says, and answers in JSON.
"""

import json
import sys
from datetime import datetime
from typing import Any
from uuid import uuid4

__all__ = ["an_entry", "grow", "main", "open_record"]


def open_record(name: str = "Clover"):
    """A running record at a site of its own, and its operator."""
    from ullage.web.accounts.models import User
    from ullage.web.cases.models import CaseState
    from ullage.web.cases.services import Opening, record_open, state_write
    from ullage.web.machines.models import Machine
    from ullage.web.sites.models import Membership, Role, Site

    site, _ = Site.objects.get_or_create(name="Fennel Lane")
    user, is_new = User.objects.get_or_create(username="otto", full_name="Otto Reads")
    if is_new:
        Membership.objects.create(user=user, site=site, role=Role.OPERATOR)
    machine, _ = Machine.objects.get_or_create(site=site, name="Wren", system="T-piece")
    opened = record_open(
        site=site, by=user, opening=Opening(machine=machine, name=name, species="cat")
    )
    return state_write(record=opened, to=CaseState.RUNNING, by=user), user


def an_entry(user, typed: str = "120", code: str = "", at: datetime | None = None):
    """One heart rate as a tablet would send it; sent again, it says when it was seen as before."""
    from django.utils import timezone

    from ullage.answers.record.things import EntryKind, EntryText, Times
    from ullage.web.cases.services import Sent, typed_reading

    read, at = typed_reading("heart_rate", typed), at or timezone.now()
    line = EntryText(
        id=code or str(uuid4()),
        record="",
        order=1,
        author="",
        times=Times(observed=at, written=at, received=at),
        kind=EntryKind.VITAL,
        what="heart_rate",
        typed=typed,
        number=read.number,
        unit=read.unit,
    )
    return Sent(line=line, user=user)


def grow(records: int, entries: int) -> list[str]:
    """Records with entries; their codes."""
    from ullage.web.cases.services import lines_take

    made = []
    for number in range(records):
        record, user = open_record(f"Clover {number}")
        for one in range(entries):
            lines_take(record=record, sent=[an_entry(user, str(80 + one % 80))], by=user)
        made.append(str(record.code))
    return made


def step(words: list[str]) -> Any:
    """One thing that is done or asked; what came of it."""
    from click.testing import CliRunner

    from ullage.cli.house import root
    from ullage.web.cases.models import Record
    from ullage.web.cases.services import epoch_now
    from ullage.web.upkeep.selectors import backups_there

    match words:
        case ["grow", records, entries]:
            return grow(int(records), int(entries))
        case ["counts"]:
            return {str(one.code): one.lines.count() for one in Record.objects.all()}
        case ["epoch"]:
            return str(epoch_now())
        case _:
            newest = next((str(one.path) for one in backups_there()), "")
            done = CliRunner().invoke(root, [newest if one == "NEWEST" else one for one in words])
            return [done.exit_code, done.stdout, done.stderr]


def main() -> None:
    """Do what standard input lists, in one process, and say what came of each."""
    from ullage.cli.site import open_site, prepare_site

    open_site()
    prepare_site()
    sys.stdout.write(json.dumps([step(one) for one in json.load(sys.stdin)]))


if __name__ == "__main__":
    main()
