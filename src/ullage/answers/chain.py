"""The chain from source to flowmeter: an answer for each part, and one for the whole."""

from collections.abc import Iterable, Mapping
from functools import lru_cache

from ullage.answers.answer import Answer, Step, Verdict, WhereFrom
from ullage.answers.chain_links import LINKS
from ullage.answers.chain_things import Chain

__all__ = ["chain_by_part", "chain_links", "chain_verdict"]


def chain_by_part(chain: Chain) -> dict[str, Answer]:
    """The answer for each part that this chain has, by the name of the part, in order.

    >>> from ullage.answers.chain_things import Chain
    >>> list(chain_by_part(Chain()))[:3]
    ['identity', 'secured', 'contents']
    """
    return dict(_by_part(chain))


@lru_cache(maxsize=128)
def _by_part(chain: Chain) -> tuple[tuple[str, Answer], ...]:
    """Kept, since a page asks for the parts and for the whole, and bands cost many draws."""
    return tuple((link.name, link.answer(chain)) for link in LINKS if link.applies(chain))


def chain_links(chain: Chain) -> tuple[Answer, ...]:
    """The answer for each part that this chain has, in the order in which gas meets them."""
    return tuple(chain_by_part(chain).values())


def chain_verdict(chain: Chain) -> Answer:
    """Whether the chain may be used: stop, not yet while a question is open, look again, fine.

    Parameters
    ----------
    chain : as a person found it; what nobody has answered stays open.

    Returns
    -------
    [1] how many parts are in order, a range while questions are open; the steps are the parts.

    >>> from ullage.answers.chain_things import Chain
    >>> chain_verdict(Chain()).verdict.value
    'Not yet'
    """
    found = chain_by_part(chain)
    verdict = _verdict(tuple(found.values()))
    titles = {link.name: link.title for link in LINKS}
    in_order = sum(one.verdict is Verdict.FINE for one in found.values())
    still_open = sum(one.verdict is Verdict.NOT_YET for one in found.values())
    settles = next((_first(one.settles) for one in found.values() if one.settles), "")
    return Answer(
        question="May this chain be used?",
        value=None if settles else float(in_order),
        low=float(in_order) if settles else None,
        high=float(in_order + still_open) if settles else None,
        unit=f"of {len(found)} parts in order",
        covers="what the open questions may turn out to be" if settles else "",
        sentence=_sentence(verdict, [titles[name] for name in _deciding(found, verdict)]),
        reasons=_reasons(found, verdict),
        todo=" ".join(dict.fromkeys(one.todo for one in found.values() if _acts(one, verdict))),
        settles=settles,
        verdict=verdict,
        steps=tuple(
            Step(what=titles[name], result=str(one.verdict), note=one.sentence)
            for name, one in found.items()
        ),
        where_from=_where_from(found.values()),
        cautions=("A chain is as good as its weakest part; look at it yourself before each case.",),
    )


def _verdict(answers: Iterable[Answer]) -> Verdict:
    """An open question comes before a second look: it may still turn into a stop."""
    said = {one.verdict for one in answers}
    if Verdict.STOP in said:
        return Verdict.STOP
    if any(one.settles for one in answers):
        return Verdict.NOT_YET
    return Verdict.LOOK_AGAIN if Verdict.LOOK_AGAIN in said else Verdict.FINE


def _deciding(found: Mapping[str, Answer], verdict: Verdict) -> list[str]:
    """The parts that make the verdict what it is."""
    if verdict is Verdict.NOT_YET:
        return [name for name, one in found.items() if one.settles]
    return [name for name, one in found.items() if one.verdict is verdict]


def _sentence(verdict: Verdict, parts: list[str]) -> str:
    named = ", ".join(part[0].lower() + part[1:] for part in parts)
    return {
        Verdict.STOP: f"Do not use this chain: {named}.",
        Verdict.NOT_YET: f"Not everything is answered: {named}.",
        Verdict.LOOK_AGAIN: f"Look again before you begin: {named}.",
        Verdict.FINE: "Every part of this chain is in order.",
    }[verdict]


def _reasons(found: Mapping[str, Answer], verdict: Verdict) -> tuple[str, ...]:
    """What was found at the parts that decide; all that is grave when nothing decides alone."""
    names = _deciding(found, verdict)
    return tuple(dict.fromkeys(found[name].sentence for name in names))


def _first(questions: str) -> str:
    """The first of several questions: one at a time gets answered."""
    return questions.partition("?")[0] + "?"


def _acts(one: Answer, verdict: Verdict) -> bool:
    return bool(one.todo) and (verdict is not Verdict.STOP or one.verdict is Verdict.STOP)


def _where_from(answers: Iterable[Answer]) -> tuple[WhereFrom, ...]:
    graver = (one for one in answers if one.verdict is not Verdict.NOT_YET)
    return tuple(dict.fromkeys(line for one in graver for line in one.where_from)) or (
        WhereFrom(source="reading", how_known="seen", text="Nobody has answered yet."),
    )
