"""A planned case as the data of one printed page."""

from collections.abc import Iterator
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from ullage.answers import Answer, Verdict
from ullage.answers.words import minutes_text
from ullage.reference import HowKnown
from ullage.web.days.drawing_case import (
    dial_steps,
    dial_svg,
    label_of,
    levels_svg,
    on_paper,
    supply_svg,
)
from ullage.web.days.selectors import CasePanel, title_of
from ullage.web.sites.selectors import Site

__all__ = ["sheet_data"]

#: As many lines as a page holds; what is left out is counted.
_MOST_CARES = 7
_MOST_CAUTIONS = 4
_MOST_KNOWN = 14


def sheet_data(site: Site, panel: CasePanel, day: date, now: datetime) -> dict[str, Any]:
    """What the printed plan holds; its shape is that of `shared.print`."""
    stop, wait, look, fine = panel.counts
    return {
        "title": f"Plan of {panel.name}",
        "site": site.name,
        "date": f"{day:%A} {day.day} {day:%B %Y}",
        "worked_out": f"{now.astimezone(ZoneInfo(site.time_zone)):%H:%M}",
        "paper": "us-letter" if site.country == "US" else "a4",
        "note": "Invented demo data." if site.is_demo else "",
        "facts": list(panel.facts),
        "verdict": panel.verdict.value,
        "counts": f"{stop} stop, {wait} open, {look} to look at, {fine} fine",
        "cares": list(_cares(panel)),
        "flows": [_row(_named(one), one) for one in _of(panel, "flows")],
        "dials": _dials(panel),
        "no_dial": next((one.settles for one in _of(panel, "dial")), panel.refused),
        "rows": list(_rows(panel)),
        "charts": list(_charts(panel)),
        "take_care": list(_once(panel, "cautions"))[:_MOST_CAUTIONS],
        "known": _known(panel),
        "answers": list(_answers(panel)),
    }


def _answers(panel: CasePanel) -> Iterator[Answer]:
    if panel.supply is not None:
        yield panel.supply.answer
    if panel.plan is not None:
        yield from panel.plan.all_answers


def _of(panel: CasePanel, name: str) -> list[Answer]:
    return [one for group in panel.groups for key, one in group.answers if key == name]


def _cares(panel: CasePanel) -> Iterator[dict[str, str]]:
    open_lines = [one for one in panel.lines if one.verdict is not Verdict.FINE]
    for one in open_lines[:_MOST_CARES]:
        yield {"verdict": one.verdict.value, "lead": one.lead, "more": one.more}
    if len(open_lines) > _MOST_CARES:
        more = len(open_lines) - _MOST_CARES
        yield {"verdict": "", "lead": f"And {more} more on the page of this case.", "more": ""}


def _row(name: str, answer: Answer) -> dict[str, str]:
    number = answer.number_text or answer.settles
    return {"name": name, "number_text": number, "range_text": answer.range_text}


def _named(flow: Answer) -> str:
    """The phase of a flow: the last words of its question."""
    return flow.question.rstrip("?").removeprefix("How much fresh gas on a ")


def _dials(panel: CasePanel) -> list[dict[str, str]]:
    if panel.plan is None:
        return []
    steps = zip(dial_steps(panel.plan), panel.plan.dials, strict=False)
    return [
        _row(f"{step.name}, {minutes_text(step.start_min)} to {minutes_text(step.end_min)}", dial)
        for step, dial in steps
    ]


def _rows(panel: CasePanel) -> Iterator[dict[str, str]]:
    """Everything that is neither flow nor dial; what changes if is on the page alone."""
    if panel.supply is not None:
        yield _row("Will the oxygen last?", panel.supply.answer)
    for group in panel.groups:
        for name, answer in group.answers:
            if name in {"flows", "dial", "dials"}:
                continue
            yield _row(title_of(name), answer) if name != "system" else _system(answer)


def _system(answer: Answer) -> dict[str, str]:
    """The system in words: its share of the advice means little on paper."""
    return {"name": title_of("system"), "number_text": answer.sentence, "range_text": ""}


def _charts(panel: CasePanel) -> Iterator[dict[str, str]]:
    if panel.plan is None:
        return
    drawn = [("Dial", dial_svg(panel.plan)), ("Expected levels", levels_svg(panel.plan))]
    if panel.supply is not None:
        title = f"Oxygen, {panel.supply.source}"
        drawn.append((title, supply_svg(panel.supply, panel.name)))
    for title, both in drawn:
        if svg := on_paper(both):
            yield {"title": title, "svg": svg, "alt": label_of(both)}


def _once(panel: CasePanel, name: str) -> Iterator[str]:
    yield from dict.fromkeys(line for one in _answers(panel) for line in getattr(one, name))


def _known(panel: CasePanel) -> list[dict[str, str]]:
    """Where values come from, each source once with the weakest way in which it is known."""
    found = dict.fromkeys(
        (one.text.rstrip("."), HowKnown(one.how_known).words)
        for answer in _answers(panel)
        for one in answer.where_from
    )
    return [{"text": text, "how": how} for text, how in list(found)[:_MOST_KNOWN]]
