"""What lets the pressure out: the relief valve, and the scavenging behind it."""

from ullage.answers.answer import Answer
from ullage.answers.chain_links.judge import Extras, Finding, fine, judge
from ullage.answers.checks.asked import GRAVEST, Asked, printed_limit
from ullage.answers.checks.limits import cmh2o, limit_views, passes
from ullage.answers.checks.things import Limit
from ullage.core.units import convert
from ullage.reference import sourced

__all__ = ["relief_valve", "scavenging"]


def _shown(kpa: float | None) -> float | None:
    return None if kpa is None else convert(kpa, "kPa", "pressure", "cmH2O")


def relief_valve(found: Asked) -> Answer:
    """Whether the valve lets go at once, and stays low at high flow."""
    limit, high = found.limit("relief"), found.number("open_kpa")
    findings = [*found.missing()]
    fell = found.yes("fell_at_once")
    if fell is not None:
        findings.append(
            fine("Opened under pressure, the needle fell at once.")
            if fell
            else found.failed("Opened under pressure, the needle did not fall at once.")
        )
    if high is not None and limit is not None:
        most = cmh2o(limit.high or 0.0)
        said = f"Open at high flow it reads {cmh2o(high)}; below {most} is wanted."
        findings.append((fine if passes(limit, high) else found.failed)(said, limit.where_from))
    extras = Extras(value=_shown(high), unit="cmH2O", views=limit_views("relief", limit))
    return judge("Does the relief valve let go and stay low?", findings, extras, GRAVEST)


def scavenging(found: Asked) -> Answer:
    """The pressure with no flow and on flush, relief valve open and patient end plugged."""
    limit = found.limit("scavenging")
    still, flushed = found.number("still_kpa"), found.number("flush_kpa")
    findings = [*found.missing()]
    if limit is not None and still is not None:
        findings.append(_still(found, still, limit))
    if limit is not None and flushed is not None:
        said = f"On flush it reads {cmh2o(flushed)}; below {cmh2o(limit.high or 0.0)} is wanted."
        good = limit.high is None or flushed < limit.high * (1.0 - 1e-9)
        findings.append((fine if good else found.failed)(said, limit.where_from))
    extras = Extras(value=_shown(flushed), unit="cmH2O", views=limit_views("scavenging", limit))
    return judge("Does the scavenging neither hold back nor suck?", findings, extras, GRAVEST)


def _still(found: Asked, still: float, limit: Limit) -> Finding:
    near = sourced("check_limits", "relief.still_cmh2o")
    said = f"With no flow it reads {cmh2o(still)}"
    if still < (limit.low or 0.0) * (1.0 + 1e-9):
        return found.failed(
            f"{said}, below {cmh2o(limit.low or 0.0)}: the suction is too strong.", limit.where_from
        )
    if still > near.inside("pressure") * (1.0 + 1e-9):
        return found.failed(
            f"{said}: something holds the gas back.", printed_limit("relief.still_cmh2o")
        )
    return fine(f"{said}.", printed_limit("relief.still_cmh2o"))
