"""May a machine be used: its state, its parts, its checks and its service as one answer."""

from collections.abc import Iterable
from dataclasses import dataclass

from ullage.answers.answer import Answer, Step, Verdict, WhereFrom

__all__ = ["BEGIN_GRAVITY", "Remark", "machine_readiness"]

#: May one begin: the gravest first. What is not finished yet keeps more from beginning than what
#: wants a second look, so it never hides behind it.
BEGIN_GRAVITY = (Verdict.STOP, Verdict.NOT_YET, Verdict.LOOK_AGAIN, Verdict.FINE)
_BEGINS = {
    Verdict.STOP: "may not be used",
    Verdict.NOT_YET: "may not be used yet",
    Verdict.LOOK_AGAIN: "may be used with care",
    Verdict.FINE: "may be used",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Remark:
    """What one side says of a machine: its verdict, a sentence, what to do.

    ``about`` is a word or two on where it comes from, such as ``state`` or ``start of day check``.
    """

    about: str
    verdict: Verdict
    sentence: str
    todo: str = ""


def machine_readiness(name: str, remarks: Iterable[Remark]) -> Answer:
    """May a machine be used, by the gravest of what is said of it.

    Parameters
    ----------
    name : of the machine.
    remarks : what is said of it, in any order; none means that nothing was ever written.

    Returns
    -------
    [1] how many remarks are in order; the sentence begins with what may be done and gives the
    gravest reason.

    >>> stuck = Remark(about="state", verdict=Verdict.STOP, sentence="The bobbin sticks.")
    >>> machine_readiness("Wren", [stuck]).sentence
    'Wren may not be used: The bobbin sticks.'
    """
    said = sorted(remarks, key=lambda one: BEGIN_GRAVITY.index(one.verdict))
    verdict = said[0].verdict if said else Verdict.FINE
    decide = [one for one in said if one.verdict is verdict]
    reasons = tuple(one.sentence for one in decide if one.sentence)
    return Answer(
        question=f"May {name} be used?",
        value=float(sum(one.verdict is Verdict.FINE for one in said)),
        unit=f"of {len(said)} in order",
        sentence=_sentence(name, verdict, reasons),
        reasons=reasons or ("Nothing is written against it.",),
        where_from=(
            WhereFrom(source="entered", how_known="site", text="What people wrote at this site."),
        ),
        verdict=verdict,
        todo=" ".join(dict.fromkeys(one.todo for one in decide if one.todo)),
        steps=tuple(
            Step(what=one.about, result=str(one.verdict), note=one.sentence) for one in said
        ),
        cautions=("Look at the machine yourself before each case.",),
    )


def _sentence(name: str, verdict: Verdict, reasons: tuple[str, ...]) -> str:
    begins = f"{name} {_BEGINS[verdict]}"
    return f"{begins}: {' '.join(reasons)}" if reasons else f"{begins}."
