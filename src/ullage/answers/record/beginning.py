"""May a case begin: the machine, the gas, and who answers for beginning without one of them."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ullage.answers.answer import Answer, Step, Verdict, WhereFrom
from ullage.answers.readiness import BEGIN_GRAVITY
from ullage.reference import fact
from ullage.reference.record import species_in

__all__ = ["Override", "group_allowed", "may_case_begin", "override_lacks"]

#: What keeps a case from beginning unless somebody answers for it.
_KEEPS = (Verdict.STOP, Verdict.NOT_YET)
_ENTERED = WhereFrom(source="entered", how_known="site", text="What people wrote at this site.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Override:
    """Who answers for going on although something is missing, and why."""

    by: str = ""
    reason: str = ""


def override_lacks(override: Override | None) -> str:
    """What an override lacks to be one, in a sentence; empty where it names who and why.

    >>> override_lacks(Override(by="Anneke Vray"))
    'Say why it cannot wait.'
    """
    if override is None or not override.by.strip():
        return "Name who answers for it."
    return "" if override.reason.strip() else "Say why it cannot wait."


def may_case_begin(
    machine: Answer | None,
    supply: Sequence[Answer],
    *,
    is_out: bool = False,
    override: Override | None = None,
) -> Answer:
    """Whether a case may begin now, and without what.

    Parameters
    ----------
    machine : may it be used, by its state, its checks and its service; None: nobody knows.
    supply : how long each source lasts that it draws from; empty: nobody has worked it out.
    is_out : the machine, or a part of it, is out of use: nobody may override that.
    override : who answers for beginning all the same, and why.

    Returns
    -------
    [1] what stands against it. Stop: the machine is out of use. Not yet: something is missing, and
    nobody answers for it. Look again: it may begin, with care or without something.

    >>> may_case_begin(None, []).sentence
    'The case may not begin yet: the check of the machine is not known; the gas is not known.'
    """
    found = [_of("check of the machine", machine), *_supplies(supply)]
    against = [one for one in found if one.verdict in _KEEPS]
    lacks = override_lacks(override)
    verdict = _verdict(found, is_out, answered=not lacks)
    return Answer(
        question="May this case begin?",
        value=float(len(against)),
        unit="thing stands against it" if len(against) == 1 else "things stand against it",
        verdict=verdict,
        sentence=_sentence(verdict, machine, against, override),
        todo=_todo(verdict, against, lacks),
        settles=lacks if verdict is Verdict.NOT_YET else "",
        reasons=tuple(one.sentence for one in found if one.verdict is not Verdict.FINE)
        or ("Nothing is written against it.",),
        steps=tuple(
            Step(what=one.about, result=one.verdict.value, note=one.sentence) for one in found
        ),
        where_from=(_ENTERED,),
        cautions=(
            "Look at machine, gas and animal yourself before gas flows.",
            "Who is named takes it on; what was missing stands in the record.",
        ),
    )


@dataclass(frozen=True, slots=True)
class _Said:
    about: str
    missing: str
    verdict: Verdict
    sentence: str
    todo: str = ""


def _of(about: str, answer: Answer | None) -> _Said:
    if answer is None:
        return _Said(about, f"the {about} is not known", Verdict.NOT_YET, f"No {about} is known.")
    verdict = answer.verdict or Verdict.NOT_YET
    return _Said(about, f"{about}: {verdict.value}", verdict, answer.sentence, answer.todo)


def _supplies(supply: Sequence[Answer]) -> Iterator[_Said]:
    if not supply:
        why = "Nobody has worked out how long the gas lasts."
        yield _Said("gas", "the gas is not known", Verdict.NOT_YET, why)
    for one in supply:
        yield _of("gas", one)


def _verdict(found: list[_Said], is_out: bool, *, answered: bool) -> Verdict:
    if is_out:
        return Verdict.STOP
    worst = min((one.verdict for one in found), key=BEGIN_GRAVITY.index)
    if worst in _KEEPS:
        return Verdict.LOOK_AGAIN if answered else Verdict.NOT_YET
    return worst


def _sentence(
    verdict: Verdict, machine: Answer | None, against: list[_Said], override: Override | None
) -> str:
    if verdict is Verdict.STOP:
        return f"The case may not begin: {machine.sentence if machine else 'out of use.'}"
    named = "; ".join(dict.fromkeys(one.missing for one in against))
    if verdict is Verdict.NOT_YET:
        return f"The case may not begin yet: {named}."
    if against and override is not None:
        return f"It begins although something is missing ({named}); {override.by} answers for it."
    return "The case may begin." if verdict is Verdict.FINE else "The case may begin with care."


def _todo(verdict: Verdict, against: list[_Said], lacks: str) -> str:
    if verdict is Verdict.STOP:
        return "Take another machine."
    if verdict is Verdict.NOT_YET:
        do = " ".join(dict.fromkeys(one.todo for one in against if one.todo))
        return f"{do} If it cannot wait: {lacks[:1].lower()}{lacks[1:]}".strip()
    return ""


#: Rows of the facts that speak of records of a group.
_GROUPS = ("REC-025", "REC-034")


def group_allowed(species: str, *, by_site: bool) -> Answer:
    """Whether several animals on one bench may share one record.

    Parameters
    ----------
    species : of the animals.
    by_site : whether the rule of the site lets groups of rodents share a record.

    Returns
    -------
    [1] how many of the two conditions hold. Fine: they may, with a line for each animal. Stop:
    each has its own.

    >>> group_allowed("sheep", by_site=True).sentence
    'Each sheep has a record of its own: groups were seen for rodents alone.'
    """
    name = species.strip().lower()
    rodents = species_in(name, "rodents")
    may = rodents and by_site
    if may:
        told = "They may share a record where all are treated alike, with a line for each."
    elif rodents:
        told = "Each has a record of its own: the site has not allowed groups."
    else:
        told = f"Each {name or 'animal'} has a record of its own: groups were seen for rodents"
        told += " alone."
    return Answer(
        question=f"May several animals share one record ({name or 'species not said'})?",
        value=float(rodents + by_site),
        unit="of 2 conditions hold",
        verdict=Verdict.FINE if may else Verdict.STOP,
        sentence=told,
        reasons=("Records of a group were seen for animals that are treated alike.",),
        steps=(
            Step(what="rodents", result="yes" if rodents else "no"),
            Step(what="allowed by the site", result="yes" if by_site else "no"),
        ),
        where_from=tuple(_row(key) for key in _GROUPS),
        cautions=(
            "Under US rules a covered species that is no rodent has its own record.",
            "Each line still needs weight, times, recovery and initials.",
        ),
    )


def _row(key: str) -> WhereFrom:
    row = fact("records_standards", key)
    known = row.how_known.value if row.how_known else "memory"
    return WhereFrom(
        source="records_standards",
        how_known=known,
        text=f"{row.key}: {row.quantity}. {row.source}.",
    )
