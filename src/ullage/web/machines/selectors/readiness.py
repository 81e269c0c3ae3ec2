"""May each machine be used: its state, its parts, and what other rooms say of it."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import datetime

from ullage.answers import Answer, Verdict
from ullage.answers.readiness import Remark, machine_readiness
from ullage.web.machines.models import Machine, UseState
from ullage.web.machines.selectors.states import Fitness, fitness_of

__all__ = ["Speaker", "doubted", "readiness_from", "readiness_of", "refusal_of", "taken_out"]

#: By machine, what one room says of it; asked for all machines at once.
type Speaker = Callable[[Sequence[Machine], datetime], Mapping[int, Iterable[Remark]]]

_SPEAKERS: list[Speaker] = []
_VERDICTS = {
    UseState.OUT: Verdict.STOP,
    UseState.IN_DOUBT: Verdict.LOOK_AGAIN,
    UseState.IN_USE: Verdict.FINE,
}
_TODO = {
    UseState.OUT: "Mend it and bring it back into use, or take another machine.",
    UseState.IN_DOUBT: "Settle the doubt before an animal is connected.",
    UseState.IN_USE: "",
}


def readiness_from(speaker: Speaker) -> None:
    """Let a room speak on the readiness of machines; called when its app is ready."""
    if speaker not in _SPEAKERS:
        _SPEAKERS.append(speaker)


def readiness_of(machines: Iterable[Machine], now: datetime) -> dict[int, Answer]:
    """By machine: may it be used, and why; as many queries for one machine as for all."""
    asked = list(machines)
    fit = fitness_of(asked)
    remarks = {one.pk: [_of_state(fit[one.pk])] for one in asked}
    for speaker in _SPEAKERS:
        for key, said in speaker(asked, now).items():
            remarks[key].extend(said)
    return {one.pk: machine_readiness(one.name, remarks[one.pk]) for one in asked}


def _of_state(fit: Fitness) -> Remark:
    return Remark(
        about=fit.state.label,
        verdict=_VERDICTS[fit.state],
        sentence=fit.why,
        todo=_TODO[fit.state],
    )


def doubted(answer: Answer) -> bool:
    """True where its state, or that of a part, puts the machine in doubt."""
    return any(one.what == UseState.IN_DOUBT.label for one in answer.steps)


def taken_out(answer: Answer) -> bool:
    """True where its state, or that of a part, has taken the machine out of use."""
    return any(one.what == UseState.OUT.label for one in answer.steps)


def refusal_of(machine: Machine) -> str:
    """Why nothing may be planned or begun on a machine; empty where something may."""
    fit = fitness_of([machine])[machine.pk]
    return f"{machine} is out of use: {fit.why}" if fit.is_out else ""
