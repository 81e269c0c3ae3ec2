"""What another flow, dial or system would do to a running case from now on: before and after."""

from collections.abc import Iterator
from dataclasses import replace

from ullage.answers.answer import Answer
from ullage.answers.breathing import system_named
from ullage.answers.case_changes import change_words
from ullage.answers.case_planned import end_fraction
from ullage.answers.case_things import Change, Changed, Changes
from ullage.answers.running_case import level_ahead, waking_answer
from ullage.answers.running_now import Now
from ullage.answers.running_things import CaseNow, SetTo
from ullage.answers.vaporizers import VaporizerKind, kind_for
from ullage.answers.words import minutes_text
from ullage.core.errors import RuleBroken
from ullage.reference import sourced

__all__ = ["changes_now", "usual_changes_now"]

_WORDS = {
    "inspired_ahead": "breathed in, a quarter of an hour on",
    "end_tidal_ahead": "end-tidal, a quarter of an hour on",
    "brain_ahead": "in the brain, a quarter of an hour on",
    "waking": "until it moves again if turned off now",
}


def changes_now(found: CaseNow, change: Change) -> Changes:
    """What one change would do from now on, each figure before and after.

    Parameters
    ----------
    found : the case at a minute, as `case_now` gives it.
    change : what would be turned.

    Raises
    ------
    RuleBroken : a change that changes nothing.
    InvalidQuantity : a flow or dial that cannot be.
    UnknownReference : a system not known.

    >>> from ullage.answers.running_case import case_now
    >>> from ullage.answers.running_things import RunningCase, CaseSubject
    >>> cat = CaseSubject(species="cat", weight_kg=4.0, agent="isoflurane")
    >>> on = SetTo(at_min=0, dial_fraction=0.02, oxygen_l_min=1.0, system="circle")
    >>> found = case_now(RunningCase(subject=cat, settings=(on,)), 20.0)
    >>> changes_now(found, Change(dial_step_fraction=0.01)).words
    'Dial up 1 %'
    """
    now = found.now
    after = _changed(now, change)
    if after == now.led.setting:
        raise RuleBroken("Nothing would change: give a factor of flow, a step of dial or a system.")
    rows = tuple(_rows(now, now.led.setting, after))
    words = change_words(change, f"On a {after.system}")
    told = [
        f"{one.words} {_short(one.after)} in place of {_short(one.before)}"
        for one in rows
        if _short(one.after) != _short(one.before)
    ]
    said = ", ".join(told) or "nothing that is told here changes"
    return Changes(change=change, words=words, sentence=f"{words}: {said}.", rows=rows)


def usual_changes_now(found: CaseNow) -> tuple[Changes, ...]:
    """Flow halved and doubled, dial a step up and down, as far as machine and animal allow.

    Parameters
    ----------
    found : the case at a minute.
    """
    return tuple(changes_now(found, one) for one in _usual(found.now))


def _usual(now: Now) -> Iterator[Change]:
    setting, planned = now.led.setting, now.led.planned
    need = planned.animal["oxygen_demand_l_min"].value
    breath = 0.0 if planned.system.rebreathes else planned.animal["minute_volume_l_min"].value
    least, most = (
        sourced("fresh_gas", f"vaporizer.{end}_l_min").value for end in ("least", "most")
    )
    for factor in (0.5, 2.0):
        flow, oxygen = factor * setting.flow_l_min, factor * setting.oxygen_l_min
        if max(least, breath) <= flow <= most and oxygen >= need:
            yield Change(flow_factor=factor)
    heated = kind_for(planned.given.agent) is VaporizerKind.HEATED
    row = sourced("case", "dial.step_heated_percent" if heated else "dial.step_percent")
    for step in (0.01 * row.value, -0.01 * row.value):
        if _dialled(now, step) != setting.dial_fraction:
            yield Change(dial_step_fraction=step)


def _dialled(now: Now, step_fraction: float) -> float:
    """[1] the dial after a step, between off and its end."""
    most = max(end_fraction(now.led.planned.given), now.led.setting.dial_fraction)
    return min(max(now.led.setting.dial_fraction + step_fraction, 0.0), most)


def _changed(now: Now, change: Change) -> SetTo:
    """The setting of now after a change."""
    setting, factor = now.led.setting, change.flow_factor
    return replace(
        setting,
        dial_fraction=_dialled(now, change.dial_step_fraction),
        oxygen_l_min=factor * setting.oxygen_l_min,
        air_l_min=factor * setting.air_l_min,
        nitrous_oxide_l_min=factor * setting.nitrous_oxide_l_min,
        system=system_named(change.system).value if change.system else setting.system,
    )


def _rows(now: Now, before: SetTo, after: SetTo) -> Iterator[Changed]:
    """Each figure before and after; waking alone takes the flow and system of the change."""
    ahead = now.carried(after)
    both: dict[str, tuple[Answer, Answer]] = {
        f"{name}_ahead": (level_ahead(now, now.ahead, name), level_ahead(now, ahead, name))
        for name in ("inspired", "end_tidal", "brain")
    }
    still = replace(before, dial_fraction=after.dial_fraction)
    if still != after:
        both["waking"] = waking_answer(now, before), waking_answer(now, after)
    for name, (old, new) in both.items():
        yield Changed(name=name, words=_WORDS[name], before=old, after=new)


def _short(answer: Answer) -> str:
    """The number, or that there is none."""
    if answer.value is None:
        return "not within four hours" if answer.unit == "min" else "not known"
    return minutes_text(answer.value) if answer.unit == "min" else answer.number_text
