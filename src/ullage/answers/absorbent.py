"""Whether absorbent is to be changed: inspired carbon dioxide first, and what others go by."""

from ullage.answers.answer import Answer, Step, Verdict, View
from ullage.answers.lines import lines_of
from ullage.answers.words import figure
from ullage.core.checks import not_negative, within
from ullage.reference import Sourced, sourced

__all__ = ["absorbent_due"]

#: What other texts go by -> the row, and whether it is of colour or of hours.
_OTHERS = (
    ("More than half changed colour", "change.colour_half", "colour"),
    ("50 to 70 % changed colour", "change.colour_range", "colour"),
    ("Two thirds changed colour", "change.colour_two_thirds", "colour"),
    ("About 8 h of use", "change.hours_8", "hours"),
    ("12 h of use", "change.hours_12", "hours"),
    ("14 h of use", "change.hours_14", "hours"),
)
_CAUTIONS = (
    "Colour fades back at rest and misleads at low flow: read it right after use.",
    "Fill the canister two thirds or full as its maker says, without packing; texts disagree.",
    "After every change test the circle for leaks: grains on the seal are a common one.",
)


def absorbent_due(
    inspired_share: float | None = None,
    colour_share: float | None = None,
    hours_h: float | None = None,
) -> Answer:
    """Whether absorbent is to be changed now, by every sign that was looked at.

    Parameters
    ----------
    inspired_share : [1] carbon dioxide breathed in, 0 to 0.1; none where nobody measured.
    colour_share : [1] of the charge that has changed colour, 0 to 1; none where nobody looked.
    hours_h : [h] of use since it was filled, 0 or more; none where nobody noted it.

    Raises
    ------
    InvalidQuantity : a share or time out of range.

    >>> absorbent_due(inspired_share=0.004).verdict.value
    'Stop'
    >>> absorbent_due(inspired_share=0.0, hours_h=9.0).verdict.value
    'Look again'
    """
    looked = _looked(inspired_share, colour_share, hours_h)
    inspired = sourced("breathing", "change.inspired")
    met = [_met(row, looked[kind]) for _, row, kind in _rows()]
    verdict, said, todo = _judged(inspired_share, looked, met)
    return Answer(
        question="Is the absorbent to be changed?",
        value=None if inspired_share is None else 100.0 * inspired_share,
        unit="%",
        sentence=said,
        reasons=(
            "Inspired carbon dioxide above 0 is the surest sign; texts differ on the others.",
        ),
        steps=tuple(
            Step(what=what, result=result) for what, result in _seen(inspired_share, looked)
        ),
        where_from=lines_of(inspired, *(row for _, row, _ in _rows())),
        cautions=_CAUTIONS,
        views=_views(inspired, inspired_share, met),
        settles="" if inspired_share is not None else "Inspired carbon dioxide, measured.",
        verdict=verdict,
        todo=todo,
    )


def _looked(
    inspired: float | None, colour: float | None, hours: float | None
) -> dict[str, float | None]:
    if inspired is not None:
        within("inspired_share", inspired, 0.0, 0.1)
    if colour is not None:
        within("colour_share", colour, 0.0, 1.0)
    if hours is not None:
        not_negative("hours_h", hours)
    return {"colour": colour, "hours": hours}


def _rows() -> tuple[tuple[str, Sourced, str], ...]:
    return tuple((label, sourced("breathing", key), kind) for label, key, kind in _OTHERS)


def _met(row: Sourced, found: float | None) -> bool | None:
    return None if found is None else found >= row.value


def _judged(
    inspired: float | None, looked: dict[str, float | None], met: list[bool | None]
) -> tuple[Verdict, str, str]:
    if inspired is not None and inspired > sourced("breathing", "co2.inspired_share").value:
        said = f"{figure(100 * inspired)} % carbon dioxide is breathed in."
        return Verdict.STOP, said, "Change the absorbent, and look at both valves."
    if any(met):
        said = "Some texts would change it now, by colour or hours."
        return Verdict.LOOK_AGAIN, said, "Change it, or go on by inspired carbon dioxide alone."
    if inspired is None and all(one is None for one in looked.values()):
        return Verdict.NOT_YET, "Nobody has looked at the absorbent.", "Look at it."
    if inspired is None:
        said = "Nothing says that it is used up; inspired carbon dioxide was not measured."
        return Verdict.LOOK_AGAIN, said, "Measure inspired carbon dioxide."
    return Verdict.FINE, "Nothing says that it is used up.", ""


def _seen(inspired: float | None, looked: dict[str, float | None]) -> tuple[tuple[str, str], ...]:
    unseen = "not looked at"
    colour, hours = looked["colour"], looked["hours"]
    return (
        ("inspired carbon dioxide", unseen if inspired is None else f"{figure(100 * inspired)} %"),
        ("changed colour", unseen if colour is None else f"{figure(100 * colour)} %"),
        ("hours of use", unseen if hours is None else f"{figure(hours)} h"),
    )


def _views(
    inspired: Sourced, inspired_share: float | None, met: list[bool | None]
) -> tuple[View, ...]:
    words = {None: "not looked at", True: "change it", False: "not yet"}
    first = None if inspired_share is None else inspired_share > inspired.value
    rows = (
        ("Inspired carbon dioxide above 0", inspired, first),
        *((label, row, said) for (label, row, _), said in zip(_rows(), met, strict=True)),
    )
    return tuple(
        View(
            label=label,
            result=words[said],
            source=row.source,
            how_known=row.how_known.value,
            chosen=row is inspired,
        )
        for label, row, said in rows
    )
