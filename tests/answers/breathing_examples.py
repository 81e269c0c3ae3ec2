"""One call per answer about breathing systems, for the test of every answer."""

from ullage.answers import (
    BreathingSystem,
    FlowPhase,
    absorbent_lasts,
    animal,
    bag_size,
    chamber_fills,
    equipment_dead_space,
    flow_left_on,
    fresh_gas_flow,
    system_follows,
    system_suits,
    ventilator_start,
)

CAT, PIG = animal("cat", 4.0), animal("pig", 30.0)

BREATHING_EXAMPLES = {
    "absorbent_lasts": lambda: absorbent_lasts(PIG, 1.0),
    "bag_size": lambda: bag_size(CAT),
    "chamber_fills": lambda: chamber_fills(4.0, 2.0, 0.05),
    "equipment_dead_space": lambda: equipment_dead_space(CAT, 0.010),
    "flow_left_on": lambda: flow_left_on(60.0),
    "fresh_gas_flow": lambda: fresh_gas_flow(CAT, BreathingSystem.CIRCLE, FlowPhase.HOLD, 0.3),
    "system_follows": lambda: system_follows(BreathingSystem.CIRCLE, 30.0, 1.0),
    "system_suits": lambda: system_suits(CAT, BreathingSystem.CIRCLE),
    "ventilator_start": lambda: ventilator_start(PIG),
}
