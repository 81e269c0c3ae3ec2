"""Whether the interval was kept: the longest time without a written observation."""

from dataclasses import replace
from datetime import datetime
from itertools import pairwise

from ullage.answers.answer import Answer, Step, Verdict
from ullage.answers.record.pace import began_of
from ullage.answers.record.printed import clock_text
from ullage.answers.record.seen import CaseSeen
from ullage.answers.record.things import EntryKind
from ullage.answers.words import minutes_text

__all__ = ["interval_kept", "longest_gap"]

_OBSERVED = (EntryKind.VITAL, EntryKind.GAS, EntryKind.DEPTH)
#: Seconds of a minute that is written down do not count [min].
_WITHIN_MIN = 0.5


def longest_gap(seen: CaseSeen) -> tuple[datetime, datetime] | None:
    """The longest time under anaesthesia in which no observation was written, by when it was seen.

    Parameters
    ----------
    seen : the lines of one record as they stand.

    Returns
    -------
    Its beginning and its end; None before gas is given. From the first gas on, to the end of
    anaesthesia where it was entered, else to the last observation.

    >>> longest_gap(CaseSeen(facts={}, entries=())) is None
    True
    """
    began, ended = began_of(seen), seen.event("anaesthesia ended")
    if began is None:
        return None
    moments = sorted({one.times.observed for one in seen.kinds(*_OBSERVED)})
    under = [at for at in moments if at >= began and (ended is None or at <= ended)]
    marks = [began, *under, *([ended] if ended is not None and ended > began else [])]
    return max(pairwise(marks), key=lambda pair: pair[1] - pair[0], default=None)


def interval_kept(seen: CaseSeen, rule: Answer) -> Answer:
    """The rule of the interval, with how it was kept.

    Parameters
    ----------
    seen : the lines of one record as they stand.
    rule : as `interval_rule` gave it.

    Returns
    -------
    [min] The rule as it is. Fine: never longer than the rule. Look again: the longest time without
    an observation is longer; when it was is said, and nothing is filled in.
    """
    gap = longest_gap(seen)
    if gap is None or rule.value is None:
        return rule
    minutes = (gap[1] - gap[0]).total_seconds() / 60.0
    is_kept = minutes <= rule.value + _WITHIN_MIN
    times = f"{clock_text(gap[0], seen.zone)} to {clock_text(gap[1], seen.zone)}"
    said = f"{minutes_text(minutes)}, from {times}"
    so_far = "" if seen.event("anaesthesia ended") else " so far"
    told = f"kept{so_far}" if is_kept else f"not kept: {said}, without an observation"
    return replace(
        rule,
        verdict=Verdict.FINE if is_kept else Verdict.LOOK_AGAIN,
        sentence=f"{rule.sentence} It was {told}.",
        steps=(*rule.steps, Step(what="Longest time without an observation", result=said)),
    )
