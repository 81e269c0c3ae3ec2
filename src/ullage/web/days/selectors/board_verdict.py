"""May a machine begin: the gravest of what was found about it, and what it rests on."""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from ullage.answers import Verdict
from ullage.answers.readiness import BEGIN_GRAVITY
from ullage.answers.words import minutes_text
from ullage.web.days.models import CaseState, PlannedCase
from ullage.web.days.selectors.answers import ChainSaid, Outlook, said_by
from ullage.web.days.selectors.board_lines import BoardSaid, BoardSeen, SourceLine
from ullage.web.shared.display import day_and_clock
from ullage.web.supply.selectors import BoardCylinder

__all__ = ["STOPPED", "May", "may_begin", "opening"]

#: As many letters as stand well beside a verdict.
_ROOM = 110

#: What stands in bold beside a machine that is stopped: by a state, or by what else was found.
STOPPED = ("Out of use.", "May not be used.")

#: The verdict, what it rests on in bold, and what else there is to say.
type May = tuple[Verdict, str, str]


def may_begin(
    seen: BoardSeen,
    lines: Sequence[SourceLine],
    said: BoardSaid,
    cases: Sequence[PlannedCase],
) -> May:
    """The verdict of a machine; with nothing against it, what the machine does."""
    if seen.ready.verdict is Verdict.STOP:
        return Verdict.STOP, STOPPED[0 if seen.is_out else 1], " ".join(seen.ready.reasons)
    if not lines:
        return Verdict.NOT_YET, "No source feeds it yet.", "Add its source on the page of supplies."
    found = [*_of_lines(seen, lines), *_of_sources(lines, said)]
    if found and seen.ready.verdict in {Verdict.LOOK_AGAIN, Verdict.NOT_YET}:
        found.append((seen.ready.verdict, seen.ready.todo, " ".join(seen.ready.reasons)))
    if not found:
        return Verdict.NOT_YET, "", "The answers of today are being worked out."
    ordered = sorted(found, key=lambda one: BEGIN_GRAVITY.index(one[0]))
    worst = ordered[0]
    if worst[0] is Verdict.FINE:
        return Verdict.FINE, "", _in_use(seen, cases)
    return worst[0], worst[1], f"{opening(worst[2])} {_besides(ordered)}".strip()


def _besides(ordered: Sequence[May]) -> str:
    """What else wants a second look, where something that is not finished stands before it."""
    if ordered[0][0] is not Verdict.NOT_YET:
        return ""
    first = next((one for one in ordered if one[0] is Verdict.LOOK_AGAIN), None)
    said = f"{first[1]} {opening(first[2])}".strip() if first else ""
    return f"Look again, too: {said}" if said else ""


def opening(words: str) -> str:
    """The first sentences, as many as a board has room for; the rest stands on the page."""
    sentences = f"{words[:1].upper()}{words[1:]}".split(". ")
    told = sentences[0]
    for one in sentences[1:]:
        if len(told) + len(one) > _ROOM:
            break
        told = f"{told}. {one}"
    return told if told.endswith(".") or not told else f"{told}."


def _of_lines(seen: BoardSeen, lines: Sequence[SourceLine]) -> Iterator[May]:
    for line in lines:
        if line.question:
            yield Verdict.LOOK_AGAIN, line.question, ""
        elif line.is_estimate and not line.is_reserve:
            yield Verdict.LOOK_AGAIN, "Read the gauge before use.", _age(line, seen.now)
        if line.row.verdict in {Verdict.STOP, Verdict.LOOK_AGAIN}:
            yield line.row.verdict, *_of_row(line)


def _of_sources(lines: Sequence[SourceLine], said: BoardSaid) -> Iterator[May]:
    """The outlook of every main source, and the chain from it to the machine."""
    names = {line.row.source.name for line in lines if not line.is_reserve}
    for name in names & said.outlooks.keys():
        yield said.outlooks[name].verdict, *_of_outlook(said.outlooks[name])
    for chain in said.chains:
        if chain.source in names:
            yield _of_chain(chain)


def _of_chain(chain: ChainSaid) -> May:
    """What the chain asks for; while questions are open, how many parts wait."""
    if chain.verdict is Verdict.NOT_YET:
        waits = f"{chain.open_count} parts wait for an answer."
        return Verdict.NOT_YET, f"Look along the chain from {chain.source}.", waits
    return chain.verdict, chain.said, f"Chain from {chain.source}." if chain.said else ""


def _of_outlook(outlook: Outlook) -> tuple[str, str]:
    """What to do and why, from the answer that carries the verdict of a source."""
    said = said_by(outlook)
    return said.todo or said.sentence, said.sentence if said.todo else ""


def _of_row(line: SourceLine) -> tuple[str, str]:
    row = line.row
    if row.change is not None:
        return f"A change of cylinder at {row.source.name} is not finished.", ""
    for one in row.cylinders:
        said = _of_cylinder(one, row.verdict)
        if said is not None:
            return said
    return "", ""


def _of_cylinder(one: BoardCylinder, verdict: Verdict) -> tuple[str, str] | None:
    """What one cylinder adds to a verdict: a question that waits, a leak, its contents."""
    if one.is_waiting:
        return f"A question about the last reading of {one.cylinder.name} waits.", ""
    leak, contents = one.kept.leak, one.kept.contents
    if leak is not None and leak.verdict == verdict:
        return leak.todo or leak.sentence, f"{one.cylinder.name} seems to leak: {leak.text}."
    if contents is not None and contents.verdict == verdict:
        return contents.todo or contents.sentence, contents.sentence
    return None


def _age(line: SourceLine, now: datetime) -> str:
    read = [one.reading for one in line.row.cylinders if one.reading is not None]
    if not read:
        return "Nobody has read it yet."
    latest = max(read, key=lambda one: one.at)
    return f"No gauge reading since {day_and_clock(latest.at, now)}."


def _in_use(seen: BoardSeen, cases: Sequence[PlannedCase]) -> str:
    """What the machine is doing: the running case, the next one, or nothing today."""
    for case in cases:
        if case.state == CaseState.RUNNING:
            passed = (seen.now - case.starts) / timedelta(minutes=1)
            return f"In use: {case.name}, {minutes_text(max(0.0, passed))}."
    coming = [one for one in cases if one.state == CaseState.PLANNED]
    if coming:
        zone = ZoneInfo(seen.site.time_zone)
        return f"Next: {coming[0].name} at {coming[0].starts.astimezone(zone):%H:%M}."
    return "Nothing more today." if cases else "Free today."
