"""One call per answer about breathing systems, for the test of every answer."""

from ullage.answers import (
    Breathed,
    BreathingSystem,
    FlowPhase,
    absorbent_due,
    absorbent_lasts,
    animal,
    bag_size,
    carbon_dioxide,
    chamber_fills,
    equipment_dead_space,
    flow_left_on,
    fresh_gas_flow,
    manifold_flow,
    system_follows,
    system_suits,
    ventilator_start,
)

CAT, PIG = animal("cat", 4.0), animal("pig", 30.0)

BREATHING_EXAMPLES = {
    "absorbent_due": lambda: absorbent_due(inspired_share=0.0, colour_share=0.6, hours_h=9.0),
    "absorbent_lasts": lambda: absorbent_lasts(PIG, 1.0),
    "bag_size": lambda: bag_size(CAT),
    "carbon_dioxide": lambda: carbon_dioxide(
        CAT, BreathingSystem.T_PIECE, Breathed(fresh_gas_l_min=0.8)
    ),
    "chamber_fills": lambda: chamber_fills(4.0, 2.0, 0.05),
    "equipment_dead_space": lambda: equipment_dead_space(CAT, 0.010),
    "flow_left_on": lambda: flow_left_on(60.0),
    "fresh_gas_flow": lambda: fresh_gas_flow(CAT, BreathingSystem.CIRCLE, FlowPhase.HOLD, 0.3),
    "manifold_flow": lambda: manifold_flow("mouse", 4, animals=3, given_l_min=1.0),
    "system_follows": lambda: system_follows(BreathingSystem.CIRCLE, 30.0, 1.0),
    "system_suits": lambda: system_suits(CAT, BreathingSystem.CIRCLE),
    "ventilator_start": lambda: ventilator_start(PIG),
}
