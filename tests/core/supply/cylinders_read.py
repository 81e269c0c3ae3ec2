"""Cylinders whose truth is known, read by a perfect person with a coarse gauge."""

from dataclasses import replace

from ullage.core.gas import Gas, contents_l, gauge_kpa_from_contents
from ullage.core.supply.estimate import Estimate, LeakRule, estimate
from ullage.core.supply.history import Beliefs, Draw, History, Instrument, Sighting

PSI = 6.894757
ROOM_K = 293.15
WATER_L = 4.76

#: Written out here once more: the tests do not lean on the product's own table.
BELIEFS = Beliefs(
    leak_share=0.25,
    leak_low_l_min=0.01,
    leak_high_l_min=3.0,
    late_leak_share=0.3,
    flush_share=0.5,
    flush_l=8.0,
    flush_sd_l=4.0,
    jump_share=0.02,
    misread_share=0.005,
    cold_share=0.2,
    cold_drop_k=4.0,
    cold_sd_k=1.5,
    night_sd_k=1.0,
    warming_min=90.0,
    reading_sd_k=1.0,
    setting_sd_share=0.02,
    span_sd_share=0.005,
    bend_sd_share=0.003,
)
#: Nothing but the three unknowns: contents, flow scale, leak.
PLAIN = replace(
    BELIEFS,
    late_leak_share=0.0,
    flush_share=0.0,
    jump_share=0.0,
    misread_share=0.0,
    cold_share=0.0,
    night_sd_k=0.0,
    setting_sd_share=0.0,
    span_sd_share=0.0,
    bend_sd_share=0.0,
)
RULE = LeakRule(above_l_min=0.02, chance=0.5)
GAUGE = Instrument(full_scale_kpa=3000 * PSI, gauge_limit_kpa=75 * PSI, gauge_step_kpa=50 * PSI)


def held_l(psi: float, temperature_k: float = ROOM_K) -> float:
    return contents_l(Gas.OXYGEN, WATER_L, psi * PSI, temperature_k)


def reading(at_min: float, litres: float, *, is_open: bool | None = True) -> Sighting:
    kpa = gauge_kpa_from_contents(Gas.OXYGEN, WATER_L, litres, ROOM_K)
    step = GAUGE.gauge_step_kpa
    return Sighting(
        at_min=at_min,
        temperature_k=ROOM_K,
        gauge_kpa=step * round(kpa / step),
        is_open=is_open,
    )


def draw(start_min: float, end_min: float, flow_l_min: float = 1.0) -> Draw:
    return Draw(start_min=start_min, end_min=end_min, flow_l_min=flow_l_min, error_share=0.1)


def book(
    sightings: list[Sighting], draws: tuple[Draw, ...] = (), now_min: float | None = None
) -> History:
    return History(
        gas=Gas.OXYGEN,
        water_capacity_l=WATER_L,
        ambient_kpa=101.325,
        sightings=tuple(sightings),
        draws=draws,
        now_min=sightings[-1].at_min if now_min is None else now_min,
        instrument=GAUGE,
    )


def case(*, leak_l_min: float = 0.0, scale: float = 1.0, hours: int = 3) -> History:
    """A case at 1 L/min from 1900 psi, read every half hour."""
    start = held_l(1900)
    marks = [30.0 * i for i in range(2 * hours + 1)]
    seen = [reading(at, start - (scale + leak_l_min) * at) for at in marks]
    return book(seen, (draw(0.0, 60.0 * hours),))


def night(*, leak_l_min: float, is_open: bool | None = True, hours: float = 14.0) -> History:
    """A case of two hours, then a night that the leak empties if the valve was open."""
    start, morning = held_l(1900), 120.0 + 60.0 * hours
    seen = [reading(at, start - (1.0 + leak_l_min) * at) for at in (0.0, 30.0, 60.0, 90.0, 120.0)]
    lost = leak_l_min * (morning - 120.0)
    seen.append(reading(morning, start - (1.0 + leak_l_min) * 120.0 - lost, is_open=is_open))
    return book(seen, (draw(0.0, 120.0),))


def told(history: History, beliefs: Beliefs = BELIEFS) -> Estimate:
    return estimate(history, beliefs, RULE)
