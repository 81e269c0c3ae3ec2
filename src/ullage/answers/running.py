"""How long a cylinder lasts while a flow runs: the time by all readings, the gravest verdict."""

from dataclasses import replace

from ullage.answers.answer import Answer, Verdict

__all__ = ["lasts_while_running"]

_FIT = "Fit a full one now."


def lasts_while_running(lasts: Answer, reserve_at: Answer) -> Answer:
    """The time until what is kept back is reached, with the verdict of both answers.

    Parameters
    ----------
    lasts : by the last reading alone, with its verdict.
    reserve_at : by all readings and the flow that runs, counted from now.

    Returns
    -------
    [min] of ``reserve_at``; Stop once it is reached, look again while it may be.
    """
    if reserve_at.value is None:
        return lasts
    if reserve_at.value <= 0.0:
        return replace(reserve_at, verdict=Verdict.STOP, todo=_FIT)
    if reserve_at.low is not None and reserve_at.low <= 0.0 and lasts.verdict is not Verdict.STOP:
        return replace(reserve_at, verdict=Verdict.LOOK_AGAIN, todo="Read the gauge now.")
    return replace(reserve_at, verdict=lasts.verdict, todo=lasts.todo)
