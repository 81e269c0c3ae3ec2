"""Waste gas against the limit that a site has chosen, with those of others beside it."""

from collections.abc import Mapping, Sequence

from ullage.answers.answer import Answer, Step, Verdict, View, WhereFrom
from ullage.answers.exposure import day_average, highest_mean, task_average
from ullage.answers.exposure_air import Zone
from ullage.answers.exposure_things import Escape, WorkRoom, last_end_min
from ullage.answers.lines import line_of
from ullage.answers.words import figure
from ullage.core.units import celsius
from ullage.reference.exposure_limits import (
    ExposureLimit,
    LimitKind,
    exposure_limit,
    exposure_limits,
    no_limit_words,
)

__all__ = ["LimitKind", "against_limit", "measured", "measures_of"]

_WHICH = "Which limit does this site follow?"

#: A ceiling is held by the shortest sample that is taken in practice.
_CEILING_MIN = 15

_MISSING = {
    LimitKind.CEILING: "A mean over a long time says nothing of a ceiling: sample 15 to 60 min.",
    LimitKind.SHORT: "A mean over a long time says nothing of 15 minutes: sample that long.",
    LimitKind.TASK: "How long was the agent given?",
    LimitKind.DAY: "How long was the day?",
}


def measures_of(
    room: WorkRoom, escapes: Sequence[Escape], agent: str, zone: Zone = Zone.WORK
) -> Mapping[LimitKind, Answer]:
    """What each kind of limit speaks of, reckoned for a day.

    Parameters
    ----------
    room : with its volume and air changes, where they are known.
    escapes : what escapes into it.
    agent : whose level is asked for.
    zone : at the work, or in the whole room.
    """
    short = highest_mean(room, escapes, agent, _CEILING_MIN, zone)
    found = {
        LimitKind.CEILING: short,
        LimitKind.SHORT: short,
        LimitKind.DAY: day_average(room, escapes, agent, zone),
    }
    told = [one for one in escapes if one.agent == agent]
    if told:
        start, end = min(one.start_min for one in told), last_end_min(told)
        task = (start, max(end, start + _CEILING_MIN))
        found[LimitKind.TASK] = task_average(room, escapes, agent, task, zone)
    return found


def measured(kind: LimitKind, level_ppm: float, words: str) -> Answer:
    """A level that somebody measured, to be held against a limit of its kind.

    Parameters
    ----------
    kind : of limit that the sample speaks of.
    level_ppm : [ppm] mean of the sample.
    words : what was measured, as a sentence.

    >>> measured(LimitKind.DAY, 1.3, "Badge of the whole day.").number_text
    '1.3 ppm'
    """
    return Answer(
        question=f"What was measured as {kind.words}?",
        value=level_ppm,
        unit="ppm",
        sentence=words,
        reasons=("It was measured.",),
        where_from=(WhereFrom(source="entered", how_known="site", text="Measured here."),),
    )


def against_limit(
    agent: str,
    chosen: str | None,
    measures: Mapping[LimitKind, Answer],
    country: str = "",
) -> Answer:
    """A day against the limit of the site; until it has chosen one, all stand side by side.

    Parameters
    ----------
    agent : whose limit.
    chosen : key of the limit that the site follows; None until somebody chooses.
    measures : what each kind of limit speaks of.
    country : two letters; its limits stand first.

    Raises
    ------
    UnknownReference : a limit that is not in the tables, or not for this agent.

    >>> against_limit("isoflurane", None, {}).verdict.value
    'Not yet'
    """
    offered = exposure_limits(agent, country)
    question = f"Is {agent} within the limit?"
    if not offered:
        return _open(question, agent, f"No limit of {agent} is in the tables.", ())
    if chosen is None:
        said = f"{len(offered)} limits stand side by side; the site has chosen none."
        return _open(question, agent, said, _views(offered, agent, None))
    limit = exposure_limit(chosen)
    if agent not in limit.agents:
        said = f"{limit.words} is not for {agent}: choose another."
        return _open(question, agent, said, _views(offered, agent, None))
    found = measures.get(limit.kind)
    views = _views(offered, agent, chosen)
    if found is None or (found.high is None and found.value is None):
        settles = found.settles if found else _MISSING[limit.kind]
        return _open(
            question, agent, f"Nothing yet to hold against it: {limit.words}.", views, settles
        )
    return _judged(question, limit, agent, found, views)


def _open(
    question: str, agent: str, said: str, views: tuple[View, ...], settles: str = _WHICH
) -> Answer:
    """No verdict yet, with all choices."""
    words = no_limit_words()
    return Answer(
        question=question,
        unit="ppm",
        sentence=said,
        reasons=("Limits differ by body, country, year and kind; the site says which it follows.",),
        where_from=_where(views, agent),
        assumptions=tuple(one.text for one in words),
        settles=settles,
        verdict=Verdict.NOT_YET,
        todo="Choose a limit, with local law and whoever looks after safety." if views else "",
        views=views,
    )


def _where(views: tuple[View, ...], agent: str) -> tuple[WhereFrom, ...]:
    rows = [line_of(one.row) for one in exposure_limits(agent)] if views else []
    told = WhereFrom(source="site_rule", how_known="site", text="The limit is chosen by the site.")
    return tuple(dict.fromkeys((told, *rows)))


def _judged(
    question: str, limit: ExposureLimit, agent: str, found: Answer, views: tuple[View, ...]
) -> Answer:
    """Fine below, stop above, look again where the band lies across."""
    level = limit.level_ppm(agent)
    low = found.low if found.low is not None else found.value or 0.0
    high = found.high if found.high is not None else found.value or 0.0
    verdict, said, todo = _verdict(low, high, level)
    return Answer(
        question=question,
        value=found.value,
        unit="ppm",
        low=found.low,
        high=found.high,
        covers=found.covers,
        sentence=f"{found.text} {said} {figure(level)} ppm, {limit.words}.",
        reasons=(_both_units(limit, agent), *found.reasons),
        steps=(
            Step(what=limit.words, result=f"{figure(level)} ppm"),
            Step(what=found.question.rstrip("?"), result=found.text),
        ),
        where_from=tuple(dict.fromkeys((line_of(limit.row, "limit"), *found.where_from))),
        assumptions=found.assumptions,
        cautions=tuple(
            dict.fromkeys(
                (
                    *found.cautions,
                    *((limit.row.note,) if limit.row.note else ()),
                    "Below a limit is not without harm: keep it as low as can be done.",
                )
            )
        ),
        views=views,
        verdict=verdict,
        todo=todo,
    )


def _both_units(limit: ExposureLimit, agent: str) -> str:
    mass = f"{figure(limit.mass_mg_m3(agent))} mg/m³ at {celsius(limit.reference_k):g} °C"
    return f"The limit is {figure(limit.level_ppm(agent))} ppm, {mass}."


def _verdict(low: float, high: float, level: float) -> tuple[Verdict, str, str]:
    if high <= level:
        return Verdict.FINE, "stays within", ""
    if low > level:
        return Verdict.STOP, "is above", "Change how it is done before the next case."
    return Verdict.LOOK_AGAIN, "may pass", "Measure with a badge, and do what helps most."


def _views(offered: Sequence[ExposureLimit], agent: str, chosen: str | None) -> tuple[View, ...]:
    return tuple(
        View(
            label=one.words,
            result=f"{figure(one.level_ppm(agent))} ppm, {figure(one.mass_mg_m3(agent))} mg/m³",
            source=one.row.source,
            how_known=one.row.how_known.value,
            chosen=one.key == chosen,
        )
        for one in offered
    )
