"""One call per answer about animals and agents, for the test of every answer."""

from ullage.answers import (
    Carrier,
    Delivery,
    EndPoint,
    Fill,
    MacToday,
    Vaporizer,
    agent_climate,
    agent_cost,
    agent_end_point,
    agent_mac,
    agent_solubility,
    agent_used,
    agent_vapour_pressure,
    alerts_proposed,
    animal,
    animal_cools,
    animal_value,
    body_tissues,
    breathing_at_depth,
    circulation_at_depth,
    measured_flow_output,
    mixed_agents,
    nitrous_oxide_spares,
    vaporizer_lasts,
    vaporizer_output,
    wrong_agent,
)
from ullage.answers.things import Place

MOUSE, CAT, SHEEP = animal("mouse", 0.025), animal("cat", 4.0), animal("sheep", 50.0)
FLOW = Delivery(agent="sevoflurane", fraction=0.025, fresh_gas_l_min=2.0)
HIGH = Place(barometric_kpa=80.5)
MISFILLED = Fill(made_for="sevoflurane", holds="isoflurane", dial_fraction=0.02)
HALF = Fill(
    made_for="sevoflurane", holds="isoflurane", dial_fraction=0.02, left_ml=40.0, added_ml=60.0
)
TODAY = MacToday(
    temperature_k=309.15,
    nitrous_fraction=0.5,
    pregnant=True,
    drugs=("dexmedetomidine",),
    barometric_kpa=80.5,
)

ANIMAL_EXAMPLES = {
    "agent_climate": lambda: agent_climate(FLOW),
    "agent_cost": lambda: agent_cost(FLOW, 250.0, 60.0, "EUR"),
    "agent_end_point": lambda: agent_end_point("rat", "desflurane", EndPoint.AWAKE),
    "agent_mac": lambda: agent_mac("dog", "sevoflurane", TODAY),
    "agent_solubility": lambda: agent_solubility("isoflurane", "pig"),
    "agent_used": lambda: agent_used(FLOW),
    "agent_vapour_pressure": lambda: agent_vapour_pressure("desflurane"),
    "alerts_proposed": lambda: alerts_proposed(CAT),
    "animal_cools": lambda: animal_cools(MOUSE, 30.0),
    "animal_value": lambda: animal_value(SHEEP, "cardiac_output_l_min"),
    "body_tissues": lambda: body_tissues(CAT),
    "breathing_at_depth": lambda: breathing_at_depth(CAT, "isoflurane", 1.5),
    "circulation_at_depth": lambda: circulation_at_depth(CAT, "isoflurane", 1.5),
    "measured_flow_output": lambda: measured_flow_output("halothane", 0.1, 5.0),
    "mixed_agents": lambda: mixed_agents(HALF, "guinea pig"),
    "nitrous_oxide_spares": lambda: nitrous_oxide_spares("pig", 0.5),
    "vaporizer_lasts": lambda: vaporizer_lasts(FLOW, 150.0),
    "vaporizer_output": lambda: vaporizer_output(
        Vaporizer(agent="isoflurane", dial_fraction=0.06, fresh_gas_l_min=0.1), HIGH
    ),
    "wrong_agent": lambda: wrong_agent(MISFILLED, "ferret"),
}

#: More calls of the same, in corners where an answer has other parts.
MORE_EXAMPLES = {
    "an agent that boils": lambda: wrong_agent(
        Fill(made_for="isoflurane", holds="desflurane", dial_fraction=0.01), "cat"
    ),
    "a heated vaporizer": lambda: vaporizer_output(
        Vaporizer(agent="desflurane", dial_fraction=0.06, back_kpa=2.0), HIGH
    ),
    "a recalled potency": lambda: agent_mac("macaque", "halothane"),
    "a borrowed potency": lambda: agent_mac("pony", "nitrous oxide"),
    "a site's potency": lambda: agent_mac("chicken", "desflurane", MacToday(site_fraction=0.08)),
    "a site's value": lambda: animal_value(animal("cat", 4.0, {"tidal_l": 0.05}), "tidal_l"),
    "a borrowed set of tissues": lambda: body_tissues(SHEEP),
    "nitrous oxide that carries": lambda: vaporizer_output(
        Vaporizer(agent="isoflurane", dial_fraction=0.02, carrier=Carrier.NITROUS_OXIDE)
    ),
    "a low dial in oxygen": lambda: vaporizer_output(
        Vaporizer(agent="isoflurane", dial_fraction=0.01)
    ),
    "a known wick": lambda: vaporizer_lasts(FLOW, 150.0, kept_ml=60.0),
    "two gases that warm": lambda: agent_climate(
        Delivery(agent="isoflurane", fraction=0.02, fresh_gas_l_min=3.0, nitrous_oxide_l_min=1.5)
    ),
}
