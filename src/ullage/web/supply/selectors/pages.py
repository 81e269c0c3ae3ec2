"""Everything that the page of one cylinder shows, read at once; nothing is worked out here."""

from dataclasses import dataclass, replace
from datetime import timedelta

from django.utils import timezone

from ullage.answers import Answer, Verdict
from ullage.web.supply.models import Cylinder, CylinderChange, CylinderEvent, CylinderState, Reading
from ullage.web.supply.selectors.find import open_change_of
from ullage.web.supply.selectors.flows import flows_running
from ullage.web.supply.selectors.readings import latest_reading, valve_said, waiting
from ullage.web.supply.selectors.stored import Kept, kept_answers
from ullage.web.supply.selectors.today import ByPlan, by_plan
from ullage.web.supply.selectors.watches import last_watch, open_watch

__all__ = ["CylinderPage", "Expected", "cylinder_page", "expected_at"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """What the gauge was expected to show when it was read, and what it showed."""

    low_kpa: float
    middle_kpa: float
    high_kpa: float
    read_kpa: float

    @property
    def is_inside(self) -> bool:
        """True when the reading lies in the likely range."""
        return self.low_kpa <= self.read_kpa <= self.high_kpa

    @property
    def verdict(self) -> Verdict:
        """Look again where the reading lies outside the likely range."""
        return Verdict.FINE if self.is_inside else Verdict.LOOK_AGAIN

    @property
    def gap_kpa(self) -> float:
        """[kPa] how far the reading is from what was expected."""
        return abs(self.read_kpa - self.middle_kpa)

    @property
    def is_lower(self) -> bool:
        """True when less was read than expected."""
        return self.read_kpa < self.middle_kpa


@dataclass(frozen=True, slots=True, kw_only=True)
class CylinderPage:
    """One cylinder as it stands."""

    cylinder: Cylinder
    kept: Kept
    reading: Reading | None
    asked: Reading | None
    change: CylinderChange | None
    watch: CylinderEvent | None
    watched: CylinderEvent | None
    expected: Expected | None
    flow_l_min: float | None
    valve: str
    plan: ByPlan | None

    @property
    def headline(self) -> Answer | None:
        """What is left, with the verdict and the remedy of how long it lasts.

        What nobody has looked at for long is never fine.
        """
        contents, lasts = self.kept.contents, self.kept.lasts
        if contents is None or contents.verdict is not None or lasts is None:
            return contents
        verdict, todo = lasts.answer.verdict, lasts.answer.todo
        if self.is_old and verdict is not Verdict.STOP:
            verdict, todo = Verdict.LOOK_AGAIN, "Read it again before you rely on it."
        return replace(contents, verdict=verdict, todo=todo)

    @property
    def leak_says_low(self) -> bool:
        """True when the answer about a leak already says how far below the reading was."""
        leak = self.kept.leak
        return leak is not None and "lower than expected" in leak.sentence

    @property
    def valve_question(self) -> dict[str, str]:
        """The question about the valve that would tell more; an answer given can be changed."""
        found: dict[str, str] = self.kept.notes.get("question", {})
        if found or self.reading is None or self.valve not in {"open", "closed"}:
            return found
        return {
            "text": f"{self.cylinder.name}’s valve before the last reading:",
            "help": "Touch another one if this is not so.",
            "reading": str(self.reading.code),
        }

    @property
    def is_old(self) -> bool:
        """True when the last reading is older than the site allows."""
        limit = timedelta(hours=self.cylinder.site.reading_stale_h)
        return self.reading is not None and timezone.now() - self.reading.at > limit

    @property
    def is_fitted(self) -> bool:
        """True while it is on a source."""
        return self.cylinder.state == CylinderState.IN_USE

    @property
    def next_step(self) -> str:
        """The one thing to do next, in words."""
        if self.asked is not None:
            return "Answer the question about the last reading"
        if self.change is not None:
            return "Go on with the change of cylinder"
        if self.watch is not None:
            return "Read the needle again, then open the valve"
        by_state = {
            CylinderState.QUARANTINE: "Leave it alone until somebody has looked at it",
            CylinderState.EMPTY: "Send it back",
            CylinderState.RETURNED: "It was handed back; its record stays here",
        }
        if self.cylinder.state in by_state:
            return by_state[CylinderState(self.cylinder.state)]
        return self._by_reading()

    def _by_reading(self) -> str:
        if self.reading is None or self.is_old:
            return "Weigh it" if self.weighed else "Read the gauge"
        if todo := self._gravest_todo():
            return todo
        if not self.is_fitted:
            return "Connect it when needed"
        return f"{'Weigh it' if self.weighed else 'Read the gauge'} before the next case"

    def _gravest_todo(self) -> str:
        """What the answers ask for: stop before look again, today's plan before the rest."""
        planned = self.plan.lasts_until if self.plan is not None else None
        said = [one for one in (planned, self.headline, self.kept.leak) if one is not None]
        for verdict in (Verdict.STOP, Verdict.LOOK_AGAIN):
            found = [one.todo for one in said if one.verdict is verdict and one.todo]
            if found:
                return found[0]
        return ""

    @property
    def weighed(self) -> bool:
        """True for a gas whose gauge cannot tell while liquid remains."""
        return self.cylinder.gas in {"nitrous oxide", "carbon dioxide"}


def cylinder_page(cylinder: Cylinder) -> CylinderPage:
    """Read all that the page of a cylinder shows; the number of queries is constant."""
    reading, kept = latest_reading(cylinder), kept_answers(cylinder)
    running = flows_running(cylinder.source) if cylinder.source is not None else []
    said = valve_said(cylinder)
    return CylinderPage(
        cylinder=cylinder,
        kept=kept,
        reading=reading,
        asked=waiting(cylinder),
        change=open_change_of(cylinder),
        watch=open_watch(cylinder),
        watched=last_watch(cylinder),
        expected=expected_at(kept, reading),
        flow_l_min=sum(one.flow_l_min for one in running) or None,
        valve=_valve(reading, said),
        plan=by_plan(cylinder),
    )


def _valve(reading: Reading | None, said: dict[str, str]) -> str:
    """What was said about the valve before the last reading; empty where nobody spoke."""
    if reading is None:
        return ""
    told = "" if reading.valve_before == "unknown" else reading.valve_before
    return said.get(str(reading.code), told)


def expected_at(kept: Kept, reading: Reading | None) -> Expected | None:
    """What was expected at the last reading, as it was stored; None while nothing is."""
    found = kept.notes.get("expected")
    if reading is None or reading.gauge_kpa is None or not found or kept.is_stale:
        return None
    low, middle, high = found
    return Expected(low_kpa=low, middle_kpa=middle, high_kpa=high, read_kpa=reading.gauge_kpa)
