"""Two plans of one case side by side, with what is different in words."""

from collections.abc import Iterator
from dataclasses import dataclass

from ullage.answers import Answer, CasePlan
from ullage.web.days.selectors.case_plan import CasePanel

__all__ = ["Pair", "pairs_of", "title_of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """One question answered for both plans; one of the answers may be missing."""

    group: str
    title: str
    first: Answer | None
    second: Answer | None

    @property
    def is_same(self) -> bool:
        """True where both say the same."""
        first, second = self.first, self.second
        return (
            first is not None
            and second is not None
            and (first.text, first.sentence, first.verdict)
            == (second.text, second.sentence, second.verdict)
        )

    @property
    def words(self) -> str:
        """What is different, in words."""
        if self.first is None or self.second is None:
            return "only in the first" if self.second is None else "only in the second"
        if self.is_same:
            return "the same"
        said = (_number(self.first, self.second), _verdicts(self.first, self.second))
        return "; ".join(one for one in said if one) or "different"


def _number(first: Answer, second: Answer) -> str:
    if first.value is None or second.value is None or first.text == second.text:
        return ""
    if first.value == second.value:
        return "the same number, another range"
    return "more in the second" if second.value > first.value else "less in the second"


def _verdicts(first: Answer, second: Answer) -> str:
    if first.verdict == second.verdict:
        return ""
    return f"{_verdict(first)} in the first, {_verdict(second)} in the second"


def _verdict(answer: Answer) -> str:
    return answer.verdict.value if answer.verdict else "no verdict"


def pairs_of(first: CasePanel, second: CasePanel) -> list[Pair]:
    """The answers of both plans in the order in which one sets up, what is different first said."""
    ours, theirs = _by_place(first), _by_place(second)
    found = [
        Pair(group=group, title=title, first=answer, second=theirs.get((group, title), (None,))[0])
        for (group, title), (answer,) in ours.items()
    ]
    found += [
        Pair(group=group, title=title, first=None, second=answer)
        for (group, title), (answer,) in theirs.items()
        if (group, title) not in ours
    ]
    return found


def _by_place(panel: CasePanel) -> dict[tuple[str, str], tuple[Answer]]:
    """Every answer by its group and a title that does not depend on the numbers."""
    return {(group, title): (answer,) for group, title, answer in _titled(panel)}


def _titled(panel: CasePanel) -> Iterator[tuple[str, str, Answer]]:
    if panel.supply is not None:
        yield "Oxygen", "Will the oxygen last?", panel.supply.answer
    if panel.plan is None:
        return
    seen: dict[str, int] = {}
    for group in panel.groups:
        for name, answer in group.answers:
            seen[name] = seen.get(name, 0) + 1
            yield group.title, _title(name, seen[name], panel.plan), answer


_TITLES = {
    "system": "Breathing system",
    "follows": "How fast the circle follows",
    "chamber": "Filling the chamber",
    "bag": "Bag",
    "dead_space": "Dead space of equipment",
    "ventilator": "Ventilator",
    "inspired_oxygen": "Oxygen breathed in",
    "mac": "One MAC",
    "dial": "Dial",
    "start_level": "Level when the first dial ends",
    "reach": "Time to reach the level",
    "lose": "Time to lose movement",
    "inspired": "Level breathed in at the end",
    "end_tidal": "Level at the end of a breath, at the end",
    "brain": "Level in the brain at the end",
    "regain": "Time to move again",
    "agent": "Liquid agent",
    "absorbent": "Absorbent used up",
    "absorbent_lasts": "Absorbent lasts",
    "oxygen": "Oxygen",
    "nitrous_oxide": "Nitrous oxide",
}


def _title(name: str, number: int, plan: CasePlan) -> str:
    if name == "flows":
        words = ("Flow to begin with", "Flow to hold", "Flow for waking")
        return words[number - 1] if number <= len(words) else f"Flow, {number}"
    if name == "dials":
        return f"Dial, step {number} of {len(plan.dials)}"
    return title_of(name)


def title_of(name: str) -> str:
    """The short title of an answer of a plan."""
    return _TITLES.get(name, name.replace("_", " ").capitalize())
