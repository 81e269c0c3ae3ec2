"""A change of cylinder as a list of steps: done, next, still to do."""

from dataclasses import dataclass

from ullage.web.supply.models import CylinderChange, CylinderEvent

__all__ = ["ChangeLine", "change_lines", "step_title"]

#: Step -> what is to be done, and why or how in a small line.
_TITLES = {
    "animal": ("Other gas for the animal first", "No animal waits on an empty hose."),
    "flows": (
        "Flow controls off, flush untouched",
        "An open control lets the full cylinder surge through the flowmeter.",
    ),
    "check": (
        "Scan the full one and look at it",
        "Gas, label, size, contents; outlet clean, new seal in hand.",
    ),
    "old": (
        "Close the old valve, let the line run down",
        "Flow on until both gauges stand at 0, then off. Tag it.",
    ),
    "seal": (
        "A new seal, exactly one; fit the full one",
        "Never grease, oil or tape. Hand-tight, pins in their holes.",
    ),
    "open": ("Open slowly, read the gauge", "Stand aside, listen at the seal."),
    "watch": (
        "Close the valve, flow off, watch the needle",
        "Little gas is trapped, so a small leak shows.",
    ),
    "reopen": ("Open the valve again, tag it ‘in use’", ""),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeLine:
    """One step: its words, whether it is done, next or to do, and what was noted."""

    step: str
    title: str
    help: str
    state: str
    done: CylinderEvent | None

    @property
    def noted(self) -> str:
        """What was noted when it was done."""
        if self.done is None:
            return ""
        found = self.done.details
        words = {
            "how": found.get("how"),
            "label_gas": found.get("label_gas") and f"label says {found['label_gas']}",
            "contents": found.get("contents") and f"tag says {found['contents']}",
            "tag": found.get("tag") and f"tagged {found['tag']}",
            "seal": found.get("seal") and f"{found['seal']} seal",
            "reason": found.get("reason"),
            "gauge": found.get("gauge"),
            "verdict": found.get("verdict"),
        }
        return ", ".join(str(one) for one in words.values() if one)


def change_lines(change: CylinderChange) -> list[ChangeLine]:
    """The steps of a change in their order; one query."""
    events = CylinderEvent.objects.filter(change=change, kind__startswith="step ")
    done = {
        one.kind.removeprefix("step "): one
        for one in events.select_related("by", "cylinder").order_by("pk")
    }
    order = [step for step in _TITLES if not (step == "old" and change.old_id is None)]
    at = order.index(change.step) if change.step in order else len(order)
    running = change.finished_at is None and change.given_up_at is None
    lines = []
    for place, step in enumerate(order):
        state = "done" if place < at else "on" if place == at and running else "todo"
        title, help_text = _TITLES[step]
        lines.append(
            ChangeLine(
                step=step,
                title=title,
                help=help_text,
                state=state,
                done=done.get(step) if state == "done" else None,
            )
        )
    return lines


def step_title(step: str) -> str:
    """What is to be done in a step, in words."""
    return _TITLES[step][0] if step in _TITLES else step
