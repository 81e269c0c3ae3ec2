"""Lines of a running case for the tests, by minute; invented, of no real animal."""

from tests.answers.record.cases import opened, times
from ullage.answers.record.seen import case_seen
from ullage.answers.record.things import Amendment, EntryKind, EntryText
from ullage.answers.record.words import read_reading
from ullage.reference.record import variable_rows

CAT = {"species": "cat", "weight": "4 kg", "agent": "isoflurane", "system": "T-piece"}


def value(minute, key, typed, order=0, **more):
    """A reading or setting."""
    read = read_reading(key, typed)
    return EntryText(
        id=more.pop("id", f"r1-{minute}-{key}"),
        record="r1",
        order=order or 2,
        author="S. Vale (vale)",
        times=times(minute),
        kind=EntryKind(variable_rows()[key].kind),
        what=key,
        typed=typed,
        number=read.number,
        unit=read.unit,
        **more,
    )


def word(minute, what, typed="", kind=EntryKind.EVENT, **more):
    """An event, a drug or a fluid."""
    return EntryText(
        id=f"r1-{minute}-{what}",
        record="r1",
        order=more.pop("order", 2),
        author="S. Vale (vale)",
        times=times(minute),
        kind=kind,
        what=what,
        typed=typed,
        **more,
    )


def fluid(minute, **details):
    return word(minute, "lactated Ringer's", kind=EntryKind.FLUID, details=details)


def amends(of, key="", typed="", **more):
    read = read_reading(key, typed) if key else None
    return Amendment(
        id=f"a-{of.id}",
        record="r1",
        order=99,
        author="S. Vale (vale)",
        times=times(90),
        of=of.id,
        reason="finger slipped",
        typed=typed,
        number=read.number if read else "",
        unit=read.unit if read else "",
        **more,
    )


def case(*entries, facts=CAT):
    return [opened(facts=facts), *entries]


def seen(*entries, facts=CAT, animal=""):
    return case_seen(case(*entries, facts=facts), animal)
