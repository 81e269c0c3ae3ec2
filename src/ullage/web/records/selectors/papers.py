"""What a record is on paper, from its lines alone, so that the same lines are the same bytes."""

from collections.abc import Sequence
from dataclasses import replace
from zoneinfo import ZoneInfo

from ullage.answers import Answer, Step
from ullage.answers.record.closing import AnimalEnd, animals_in
from ullage.answers.record.gaps import interval_kept
from ullage.answers.record.intervals import Phase, interval_rule
from ullage.answers.record.printed import local_time
from ullage.answers.record.things import AnyLine, CaseOpened, SignatureText
from ullage.answers.record.used import used_in
from ullage.core.errors import UllageError
from ullage.web.cases.selectors import CaseState, Life, Record, rules_of
from ullage.web.records.models import SignedPaper
from ullage.web.records.paper import RecordPaper, record_pdf
from ullage.web.records.selectors.chains import record_read

__all__ = ["about_paper", "interval_of", "life_at", "paper_at", "papers_due", "papers_of", "pdf_of"]

_CLOSED = {CaseState.CLOSED.value, CaseState.AMENDED.value}


def life_at(record: Record, lines: Sequence[AnyLine]) -> Life:
    """A record as it stood after some of its lines."""
    return Life(record=record, lines=tuple(lines), rules=rules_of(record.site))


def about_paper(life: Life, size: str = "") -> RecordPaper:
    """What a print needs besides the lines; ``size`` is a4 or letter, else that of the country."""
    record, site = life.record, life.record.site
    country = {"a4": "", "letter": "US"}.get(size, site.country)
    return RecordPaper(
        number=record.number,
        site=site.name,
        country=country,
        time_zone=site.time_zone,
        is_demo=site.is_demo,
        state=_state(life),
        used=used_in(life.seen),
        recovery=_recovery(life.ends),
        interval=interval_of(life),
        retention=life.kept,
        animals=animals_in(life.lines),
        late_after_min=life.rules.late_after_min,
    )


def _state(life: Life) -> str:
    """How far it is: the last state that a line says, when and by whom."""
    said = [one for one in life.standing.opened if "state" in one.facts]
    if not said:
        return ""
    last = said[-1]
    at = local_time(last.times.received, ZoneInfo(life.record.site.time_zone))
    name = last.author.partition(" (")[0]
    return f"{last.facts['state']} {at.day} {at:%B %Y %H:%M} by {name}"


def _recovery(ends: Sequence[AnimalEnd]) -> Answer | None:
    """The recovery of one animal, or of all of a group in one."""
    if len(ends) < 2:
        return ends[0].answer if ends else None
    steps = tuple(
        Step(what=f"{one.animal}: {step.what}", result=step.result, note=step.note)
        for one in ends
        for step in one.answer.steps
    )
    sentence = " ".join(
        f"{one.animal} {one.died}." if one.died else f"{one.animal}: {one.answer.sentence}"
        for one in ends
    )
    return replace(ends[0].answer, sentence=sentence, steps=steps, todo="")


def interval_of(life: Life) -> Answer | None:
    """How often it was to be written down, and whether it was; None where no rule speaks of it."""
    species = life.facts.get("species") or life.record.species
    protocol = life.facts.get("protocol", "")
    choice = life.rules.interval(species, Phase.ANAESTHESIA, protocol)
    try:
        rule = interval_rule(species, Phase.ANAESTHESIA, group=life.record.is_group, choice=choice)
    except UllageError:
        return None
    return interval_kept(life.seen, rule)


def pdf_of(record: Record, count: int | None = None, size: str = "") -> bytes:
    """A record as a PDF, as it stands or as it stood at a line."""
    lines, chain = record_read(record, count)
    return record_pdf(lines, chain, about_paper(life_at(record, lines), size), is_read=True)


def papers_due(lines: Sequence[AnyLine]) -> dict[int, str]:
    """At which lines a paper is kept, and why: closed, amended, signed."""
    due: dict[int, str] = {}
    for one in lines:
        if isinstance(one, SignatureText):
            due[one.order] = f"signed by {one.printed_name}"
        elif isinstance(one, CaseOpened) and one.facts.get("state") in _CLOSED:
            due[one.order] = one.facts["state"]
    return due


def papers_of(record: Record) -> list[SignedPaper]:
    """The papers that are kept of a record, without their bytes."""
    rows = SignedPaper.objects.filter(record=record).order_by("-count")
    return list(rows.select_related("by").defer("content"))


def paper_at(record: Record, count: int) -> SignedPaper | None:
    """The paper that was kept at a line; None where there is none."""
    return SignedPaper.objects.filter(record=record, count=count).first()
