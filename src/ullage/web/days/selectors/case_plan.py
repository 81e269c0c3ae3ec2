"""The plan of one case as its page shows it: what was found, in the order in which one sets up."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from ullage.answers import Answer, CaseInput, CasePlan, FlowPhase, Verdict, case_plan, drugs_studied
from ullage.answers import plan as things
from ullage.answers.case_supply import CaseSupply, case_supply
from ullage.answers.case_things import Changes
from ullage.answers.chain_links.judge import GRAVITY
from ullage.answers.flow_sides import FlowSides, flow_sides
from ullage.answers.weights import weight_text
from ullage.core.errors import UllageError
from ullage.web.days.selectors.case_said import CaseSaid, case_input
from ullage.web.sites.selectors import Site

__all__ = ["CareLine", "CasePanel", "Group", "case_panel", "changes_of", "plan_of", "supply_of"]

#: Answers in the order in which one sets up; what is not named here follows after them.
_ORDER = (
    (
        "Breathing system",
        ("system", "follows", "chamber", "chamber_holds", "bag", "dead_space", "ventilator"),
    ),
    ("Flow", ("flows", "inspired_oxygen", "carbon_dioxide")),
    ("Dial", ("mac", "dial", "dials")),
    (
        "Levels",
        (
            "reach",
            "start_level",
            "lose",
            "inspired",
            "end_tidal",
            "brain",
            "nitrous_level",
            "second_gas",
        ),
    ),
    ("Waking", ("regain", "diffusion")),
    ("What it takes", ("agent", "absorbent", "absorbent_lasts", "oxygen", "nitrous_oxide")),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class CareLine:
    """One line of the summary: what would be unsafe, or that something is fine."""

    verdict: Verdict
    lead: str
    more: str = ""
    how_known: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Answers that belong together, each with the name under which it is kept."""

    title: str
    answers: tuple[tuple[str, Answer], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CasePanel:
    """Everything the page says about a case; without a plan it says why there is none."""

    name: str
    machine: str
    facts: tuple[str, ...] = ()
    plan: CasePlan | None = None
    sides: FlowSides | None = None
    supply: CaseSupply | None = None
    no_supply: str = ""
    refused: str = ""
    studied: tuple[str, ...] = ()

    @property
    def lines(self) -> list[CareLine]:
        """What speaks against beginning, the gravest first; then what is fine."""
        found = list(_lines(self))
        return sorted(found, key=lambda one: GRAVITY.index(one.verdict))

    @property
    def verdict(self) -> Verdict:
        """The gravest of all."""
        return self.lines[0].verdict if self.lines else Verdict.NOT_YET

    @property
    def counts(self) -> tuple[int, int, int, int]:
        """How many are at stop, open, to look at, fine."""
        said = [one.verdict for one in self.lines]
        stop, wait = said.count(Verdict.STOP), said.count(Verdict.NOT_YET)
        return stop, wait, said.count(Verdict.LOOK_AGAIN), said.count(Verdict.FINE)

    @property
    def groups(self) -> list[Group]:
        """Every answer of the plan, once, in the order in which one sets up."""
        return list(_groups(self.plan)) if self.plan else []

    @property
    def next(self) -> str:
        """The one thing to do next."""
        first = next((one for one in self.lines if one.verdict is not Verdict.FINE), None)
        if first is None:
            return "Check the machine, then begin"
        is_open = first.verdict is Verdict.NOT_YET
        return first.lead if is_open else first.more or first.lead

    @property
    def short(self) -> str:
        """What stays in sight on a small screen."""
        if self.supply is not None and self.supply.answer.value is not None:
            return f"Oxygen {self.supply.answer.text}"
        return self.next

    @property
    def spoken(self) -> str:
        """The plan in one sentence, for who hears the page."""
        if self.plan is None:
            return self.refused
        dials = self.plan.dials
        dial = f" {dials[0].sentence}" if dials else ""
        lasts = f" Oxygen: {self.supply.answer.text}." if self.supply else ""
        return f"{self.verdict.value}.{dial}{lasts}"


class _Asked:
    """A case to be worked out, told apart by everything that was said of it."""

    def __init__(self, given: CaseInput) -> None:
        self.given = given
        self.key = repr(given)

    def __hash__(self) -> int:
        return hash(self.key)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Asked) and other.key == self.key


def plan_of(given: CaseInput) -> CasePlan:
    """The plan of a case; the same case is worked out once, whoever asks next."""
    found = _worked_out(_Asked(_nameless(given)))
    name, start_min = given.case.name, given.case.start_min
    return replace(found, given=given, case=replace(found.case, name=name, start_min=start_min))


def changes_of(given: CaseInput) -> tuple[Changes, ...]:
    """What another flow, dial or system would do to a case; worked out once, like its plan."""
    return _worked_out(_Asked(_nameless(given))).changes


def _nameless(given: CaseInput) -> CaseInput:
    """The case without its name and time, which change no answer."""
    return replace(given, case=replace(given.case, name="", start_min=0.0))


@lru_cache(maxsize=64)
def _worked_out(asked: _Asked) -> CasePlan:
    return case_plan(asked.given)


def case_panel(site: Site, said: CaseSaid, day: things.DayPlan | None = None) -> CasePanel:
    """What the page says about a case; a refusal is a sentence.

    ``day`` is the plan of its day without the case itself; None leaves the supply out.
    """
    known: dict[str, Any] = {"name": said.name, "machine": said.machine, "facts": _facts(said)}
    try:
        given = case_input(site, said)
        plan, sides = plan_of(given), flow_sides(given)
    except UllageError as refusal:
        return CasePanel(**known, refused=str(refusal), studied=_studied(said))
    supply, why_not = supply_of(plan, day)
    return CasePanel(
        **known, plan=plan, sides=sides, supply=supply, no_supply=why_not, studied=_studied(said)
    )


def _facts(said: CaseSaid) -> tuple[str, ...]:
    """Species, weight, system and agent, as far as they are known."""
    weight = weight_text(said.weight_kg) if said.weight_kg else ""
    return tuple(
        one for one in (said.species, weight, said.system, said.agent, said.machine) if one
    )


def _studied(said: CaseSaid) -> tuple[str, ...]:
    """The drugs of which somebody measured what they do to MAC in this species."""
    if not said.species or not said.agent:
        return ()
    return tuple(dict.fromkeys(one.name for one in drugs_studied(said.species, said.agent)))


def supply_of(plan: CasePlan, day: things.DayPlan | None) -> tuple[CaseSupply | None, str]:
    """Whether the oxygen lasts, by the day with this case in it; or why nothing is said."""
    case = plan.case
    if day is None or not case.machine:
        return None, "Choose a machine: the oxygen is that of its source."
    if case.machine not in {one.name for one in day.machines}:
        return None, f"{case.machine} is not in use today."
    try:
        whole = replace(day, cases=(*day.cases, case))
        flow = max((one.high or 0.0 for one in plan.flows), default=None)
        found = case_supply(whole, case, highest_l_min=flow, draws=1024)
    except UllageError as refusal:
        return None, str(refusal)
    if found is None:
        return None, (
            f"No source with a reading feeds oxygen to {case.machine}: fit one and read its gauge."
        )
    return found, ""


def _lines(panel: CasePanel) -> Iterator[CareLine]:
    if panel.plan is None:
        yield CareLine(verdict=Verdict.NOT_YET, lead=panel.refused)
        return
    for care in panel.plan.cares:
        yield CareLine(
            verdict=care.verdict,
            lead=care.sentence,
            more=care.todo,
            how_known=care.where_from.how_known,
            source=care.where_from.source,
        )
    told = {care.sentence for care in panel.plan.cares}
    answers = [*panel.plan.all_answers, *([panel.supply.answer] if panel.supply else [])]
    grave = (Verdict.STOP, Verdict.LOOK_AGAIN, Verdict.NOT_YET)
    for one in answers:
        if one.verdict in grave and one.sentence not in told:
            told.add(one.sentence)
            yield CareLine(verdict=one.verdict, lead=one.settles or one.sentence, more=_more(one))
    if panel.no_supply:
        yield CareLine(verdict=Verdict.NOT_YET, lead="Will the oxygen last?", more=panel.no_supply)
    yield from _fine(answers)


def _more(answer: Answer) -> str:
    return f"{answer.sentence} {answer.todo}" if answer.settles else answer.todo


def _fine(answers: Sequence[Answer]) -> Iterator[CareLine]:
    for one in answers:
        if one.verdict is Verdict.FINE:
            yield CareLine(verdict=Verdict.FINE, lead=one.sentence)


def _groups(plan: CasePlan) -> Iterator[Group]:
    left = dict(plan.answers)
    lists = {"flows": _flows(plan.flows), "dials": plan.dials}
    for title, names in _ORDER:
        found: list[tuple[str, Answer]] = []
        for name in names:
            found += [(name, one) for one in lists.get(name, ())]
            if name in left:
                found.append((name, _shown(name, left.pop(name))))
        if found:
            yield Group(title=title, answers=tuple(found))
    if left:
        yield Group(title="Besides", answers=tuple(left.items()))


def _shown(name: str, answer: Answer) -> Answer:
    """The system is said in words: its share of the advice stands in the working."""
    return replace(answer, value=None) if name == "system" else answer


def _flows(flows: Sequence[Answer]) -> list[Answer]:
    """The flows of the phases; phases with the same flow by the same rules are told once."""
    found: list[Answer] = []
    for one in flows:
        last = found[-1] if found else None
        if last is None or (last.value, last.views) != (one.value, one.views):
            found.append(one)
            continue
        also = next((w.words for w in FlowPhase if one.question.endswith(f"{w.words}?")), "")
        found[-1] = replace(last, question=f"{last.question.rstrip('?')}, {also}?")
    return found
