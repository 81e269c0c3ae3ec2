"""Steps that are answered by yes or no, alone or several beside each other."""

from collections.abc import Iterator

from ullage.answers.answer import Answer, WhereFrom
from ullage.answers.chain_links.judge import Extras, Finding, fine, judge
from ullage.answers.checks.asked import GRAVEST, Asked
from ullage.answers.checks.fields import GOOD

__all__ = ["coaxial", "one_way_valves", "yes_no"]

_NO_LEAKS = (
    "In one survey all of 89 circles passed a two-bag test while 31 % of circles leaked: do both."
)
_SURVEY = tuple(
    WhereFrom(
        source=key,
        how_known="seen",
        text="All of 89 circles passed, 31 % leaked. Survey of 100 machines, 2023.",
    )
    for key in ("machine_S74", "machine_S75")
)


def yes_no(found: Asked) -> Answer:
    """A step that is as described, or is not."""
    good = found.yes(GOOD)
    return judge(
        f"Is this as it should be: {found.step.title[:1].lower()}{found.step.title[1:]}?",
        tuple(_one(found, good)),
        _extras([] if good is None else [good], 1),
        GRAVEST,
    )


def _one(found: Asked, good: bool | None) -> Iterator[Finding]:
    if good is None:
        yield from found.missing()
    elif good:
        yield fine(f"As described: {found.step.good}")
    else:
        yield found.failed(f"Not as described: {found.step.good}")


def one_way_valves(found: Asked) -> Answer:
    """Both valves move, gas goes round, resistance is normal: four entries, none for another."""
    said = [(one.question, found.yes(one.name)) for one in found.step.fields]
    findings = [
        *found.missing(),
        *(found.failed(f"{_told(question)}: no.") for question, good in said if good is False),
        *(fine(f"{_told(question)}: yes.") for question, good in said if good),
    ]
    extras = _extras(
        [good for _, good in said if good is not None], len(said), (_NO_LEAKS,), _SURVEY
    )
    return judge("Does gas go round through both one-way valves?", findings, extras, GRAVEST)


def _told(question: str) -> str:
    return question.removesuffix("?")


def coaxial(found: Asked) -> Answer:
    """The float dips, or the bag empties: the inner tube is where it belongs."""
    good, way = found.yes("as_expected"), found.values.get("way")
    findings = list(found.missing())
    if good is not None and way is not None:
        seen = f"Tried by {way}: {'as expected' if good else 'not as expected'}."
        findings.append(fine(seen) if good else found.failed(seen))
    return judge(
        "Is the inner tube whole and connected?",
        findings,
        _extras([] if good is None else [good], 1),
        GRAVEST,
    )


def _extras(
    said: list[bool],
    asks: int,
    cautions: tuple[str, ...] = (),
    rests_on: tuple[WhereFrom, ...] = (),
) -> Extras:
    return Extras(
        value=float(sum(said)) if len(said) == asks else None,
        low=float(sum(said)) if len(said) < asks else None,
        high=float(sum(said) + asks - len(said)) if len(said) < asks else None,
        covers="what is not entered yet" if len(said) < asks else "",
        unit=f"of {asks} as it should be",
        cautions=cautions,
        rests_on=rests_on,
    )
