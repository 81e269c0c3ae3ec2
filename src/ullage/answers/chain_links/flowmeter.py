"""Is the flowmeter right for the gas, and for the flows that are planned?"""

from collections.abc import Iterator

from ullage.answers.answer import Answer, Verdict, View
from ullage.answers.chain_links.judge import (
    NOBODY,
    Extras,
    Finding,
    Link,
    common,
    fine,
    judge,
    look_again,
    open_question,
    stop,
)
from ullage.answers.chain_links.rows import row_view, rule, where_from
from ullage.answers.chain_things import Chain, Flowmeter, PlannedFlow
from ullage.answers.words import number
from ullage.reference import Sourced, sourced

__all__ = ["LINK", "flowmeter"]

#: Words of a system through which no gas is breathed again by design.
NON_REBREATHING = ("non-rebreathing", "t-piece", "mapleson", "coaxial", "mask", "nose cone")

RANGE = common("The planned flow lies on the scale of the tube.")
READING = "Read a ball at its centre, a bobbin at its top; the tube upright, the float free."
CAPNOGRAPHY = "Without inspired CO₂ measured, rebreathing at these flows is not seen."


def flowmeter(chain: Chain) -> Answer:
    """Whether the flowmeter is for this gas, sound, and covers the planned flows."""
    flows = chain.flowmeter.flows or ()
    cautions = (READING, *_low_flow(flows))
    if any(_is_non_rebreathing(flow) for flow in flows):
        cautions = (*cautions, CAPNOGRAPHY)
    return judge(
        "Does the flowmeter suit the planned flows?",
        _findings(chain),
        Extras(
            cautions=cautions,
            views=tuple(_views(flows)),
            when_fine=f"The flowmeter is made for {chain.gas} and covers the planned flows.",
        ),
    )


def _findings(chain: Chain) -> Iterator[Finding]:
    found = chain.flowmeter
    yield _tube(chain)
    yield _float(found)
    if found.flows is None:
        yield open_question(found, "flows")
        return
    for flow in found.flows:
        yield from _on_scale(found, flow)
        yield from _enough(flow)
    if not found.flows:
        yield fine("No flow is planned.")


def _tube(chain: Chain) -> Finding:
    gas = chain.flowmeter.gas
    if gas is None:
        return open_question(chain.flowmeter, "gas")
    if gas is chain.gas:
        return fine(f"The tube is made for {gas}.")
    return stop(
        f"The tube is made for {gas} and carries {chain.gas}: it reads wrongly.",
        "Find out how the tubes were mixed; take the flowmeter out of use.",
        common("A tube is calibrated for one gas."),
    )


def _float(found: Flowmeter) -> Finding:
    if found.float_free is None:
        return open_question(found, "float_free")
    if found.float_free:
        return fine("The float moves freely and rests at zero when shut.")
    return stop(
        "The float sticks, or does not rest at zero when shut.",
        "Take the flowmeter out of use and have it cleaned.",
    )


def _on_scale(found: Flowmeter, flow: PlannedFlow) -> Iterator[Finding]:
    said = _said(flow)
    if found.highest_l_min is None:
        yield open_question(found, "highest_l_min")
    elif flow.flow_l_min > found.highest_l_min:
        yield stop(
            f"{said} is planned and the tube ends at {number(found.highest_l_min, 'L/min')}.",
            "Use another flowmeter, or another system that needs less.",
            RANGE,
        )
    if found.lowest_l_min is None:
        yield open_question(found, "lowest_l_min")
    elif flow.flow_l_min < found.lowest_l_min:
        yield look_again(
            f"{said} is planned and the tube begins at {number(found.lowest_l_min, 'L/min')}.",
            "Use a tube that reads this flow.",
            RANGE,
        )


def _enough(flow: PlannedFlow) -> Iterator[Finding]:
    """The floor of common practice: below it a second look, never a stop."""
    if not flow.system:
        yield Finding(
            verdict=Verdict.NOT_YET,
            says=NOBODY,
            asks=f"Through which breathing system does {_said(flow)} run?",
        )
        return
    if not _is_non_rebreathing(flow):
        yield fine(f"{_said(flow)} runs through {flow.system}.")
        return
    floor = sourced("rules", "CP-15")
    if _is_below(flow, floor.inside("flow")):
        yield look_again(
            f"{_said(flow)} is below the {floor.value:g} {floor.unit} of common practice.",
            "Raise the flow, or measure inspired CO₂ and say why less is enough.",
            rule("CP-15"),
        )
        return
    by_weight = sourced("fresh_gas", "non_rebreathing.cat_ml_min_kg")
    wanted_l_min = _by_weight_l_min(by_weight, flow)
    if wanted_l_min is not None and _is_below(flow, wanted_l_min):
        yield look_again(
            f"{_said(flow)} is below the {number(wanted_l_min, 'L/min')} that "
            f"{by_weight.value:g} {by_weight.unit} gives.",
            "Raise the flow, or measure inspired CO₂ and say why less is enough.",
            where_from(by_weight),
            rule("CP-15"),
        )
        return
    yield fine(f"{_said(flow)} is at or above the common floor.", rule("CP-15"))


def _is_non_rebreathing(flow: PlannedFlow) -> bool:
    return any(word in flow.system.lower() for word in NON_REBREATHING)


def _is_below(flow: PlannedFlow, wanted_l_min: float) -> bool:
    """Whether each place gets less; what only rounding makes less is enough."""
    return flow.flow_l_min / flow.places < wanted_l_min * (1.0 - 1e-9)


def _by_weight_l_min(row: Sourced, flow: PlannedFlow) -> float | None:
    per_kg = row.inside("flow per weight")
    return None if flow.weight_kg is None else per_kg * flow.weight_kg


def _said(flow: PlannedFlow) -> str:
    words = number(flow.flow_l_min, "L/min")
    if flow.places > 1:
        words = f"{words} over {flow.places} places"
    return f"{flow.label}: {words}" if flow.label else words


def _low_flow(flows: tuple[PlannedFlow, ...]) -> tuple[str, ...]:
    row = sourced("supply", "flow_low_error_share")
    if any(flow.flow_l_min < 1.0 for flow in flows):
        return (f"Below 1 L/min a flowmeter may be off by {100 * row.value:g} % or more.",)
    return ()


def _views(flows: tuple[PlannedFlow, ...]) -> Iterator[View]:
    """The floor beside the other rules, where a mouse or a heavier animal makes them differ."""
    others = [view for flow in flows if _is_non_rebreathing(flow) for view in _other_rules(flow)]
    if others:
        floor = sourced("rules", "CP-15")
        label = "Common floor of any non-rebreathing system"
        yield row_view(label, floor, f"{floor.value:g} {floor.unit}", chosen=True)
    yield from dict.fromkeys(others)


def _other_rules(flow: PlannedFlow) -> Iterator[View]:
    above = sourced("fresh_gas", "non_rebreathing.floor_above_kg").value
    if flow.species.lower() == "mouse":
        row = sourced("fresh_gas", "mask.mouse_l_min")
        yield row_view("Mouse at a mask, each", row, f"{row.low:g} to {row.high:g} {row.unit}")
    if flow.weight_kg is not None and flow.weight_kg > above:
        yield from _weight_views(flow)


def _weight_views(flow: PlannedFlow) -> Iterator[View]:
    kg = flow.weight_kg or 0.0
    for key in ("cat_ml_min_kg", "safe_ml_min_kg", "full_ml_min_kg", "common_ml_min_kg"):
        row = sourced("fresh_gas", f"non_rebreathing.{key}")
        low, high = (row.value if one is None else one for one in (row.low, row.high))
        figures = f"{low:g}" if low == high else f"{low:g} to {high:g}"
        result = number(low * kg / 1000.0, "L/min")
        if low != high:
            result = f"{low * kg / 1000.0:.3g} to {number(high * kg / 1000.0, 'L/min')}"
        yield row_view(f"{figures} mL/kg/min at {kg:g} kg", row, result)


LINK = Link(name="flowmeter", title="Flowmeter", answer=flowmeter)
