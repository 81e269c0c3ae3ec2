"""Every formula on offer, by group and module: the one list that is kept by hand."""

from collections.abc import Mapping

__all__ = ["FORMULAS", "QUESTIONS"]

_GAS = "ullage.core.gas."
_SUPPLY = "ullage.core.supply."
_AGENTS = "ullage.core.agents."
_ANIMALS = "ullage.core.animals."
_STOCK = "ullage.core.stock."

#: Group -> module of the core -> its functions that return one number, or a range.
FORMULAS: Mapping[str, Mapping[str, tuple[str, ...]]] = {
    "Contents of a cylinder": {
        f"{_GAS}contents": (
            "contents_l",
            "deliverable_l",
            "gauge_kpa_from_contents",
            "gauge_at_temperature_kpa",
            "ideal_contents_l",
            "volume_at_condition_l",
        ),
        f"{_GAS}density": (
            "density_kg_m3",
            "free_density_kg_m3",
            "z_factor",
            "litres_per_kg",
            "mass_kg",
        ),
        f"{_GAS}atmosphere": ("standard_atmosphere_kpa", "standard_elevation_m"),
    },
    "Liquefied gases": {
        f"{_GAS}liquefied": (
            "liquefied_contents_l",
            "vapour_contents_l",
            "liquid_remaining_range_l",
            "liquid_gone_l",
            "saturation_kpa",
            "saturation_temperature_k",
            "saturated_liquid_kg_m3",
            "saturated_vapour_kg_m3",
            "critical_temperature_k",
            "most_fill_kg",
            "filled_gauge_kpa",
            "liquid_full_temperature_k",
        ),
        f"{_GAS}liquid_oxygen": (
            "liquid_oxygen_gas_l",
            "liquid_oxygen_kg",
            "liquid_to_gas_ratio",
            "liquid_oxygen_left_kg",
            "liquid_oxygen_lasts_min",
        ),
    },
    "Supply and demand": {
        f"{_SUPPLY}sources": (
            "endurance_min",
            "usable_l",
            "liquid_loss_l_min",
            "concentrator_shortfall_l_min",
        ),
        f"{_SUPPLY}reserve": ("kept_back_l", "reserve_from_minutes_l"),
        f"{_SUPPLY}demand": (
            "stretch_l",
            "drive_gas_l_min",
            "flush_l",
            "chamber_l",
            "leak_lost_l",
            "whistle_l",
            "concurrent_peak_l_min",
        ),
        f"{_SUPPLY}runout": ("chance_before",),
        f"{_SUPPLY}linear_rule": (
            "linear_rule_min",
            "linear_rule_l",
            "linear_rule_factor_l_kpa",
            "linear_rule_error_share",
        ),
    },
    "Flowmeters": {
        f"{_GAS}flowmeters": (
            "standard_flow_l_min",
            "standard_flow_factor",
            "ambient_flow_factor",
            "wrong_gas_factor",
            "low_flow_gas_factor",
        ),
    },
    "Leaks": {
        f"{_GAS}leaks": (
            "orifice_flow_l_min",
            "pressure_decay_leak_l_min",
            "contents_leak_l_min",
            "critical_pressure_ratio",
            "choking_gauge_kpa",
            "heat_capacity_ratio",
            "adiabatic_temperature_k",
            "droop_share",
            "creep_kpa_min",
        ),
        "ullage.core.breathing.leak_tests": (
            "fall_leak_l_min",
            "leak_in_step_l_min",
            "leak_through_hole_l_min",
            "pressure_in_step_mean_kpa",
            "pressure_hole_mean_kpa",
            "measured_compliance_l_kpa",
            "gas_compliance_l_kpa",
            "parts_compliance_l_kpa",
            "filling_min",
            "filling_flow_l_min",
        ),
    },
    "Air of the room": {
        "ullage.core.exposure.room_oxygen": (
            "room_oxygen_after_fraction",
            "room_oxygen_steady_fraction",
            "room_oxygen_later_fraction",
            "room_limit_min",
            "smallest_room_m3",
            "most_leak_share",
        ),
    },
    "Waste gas": {
        "ullage.core.exposure.dilution": (
            "room_air_l_min",
            "room_steady_ppm",
            "room_built_up_ppm",
            "room_decayed_ppm",
            "room_from_steady_m3",
            "swept_fraction",
            "swept_min",
            "air_changes_from_decay_per_h",
            "fresh_air_from_half_time_m3_h",
        ),
        "ullage.core.exposure.averages": (
            "time_average_ppm",
            "eight_hour_average_ppm",
            "task_from_badge_ppm",
            "badge_from_task_ppm",
            "vapour_mg_m3",
            "vapour_ppm",
        ),
        "ullage.core.exposure.room_course": ("near_steady_ppm",),
    },
    "The animal": {
        f"{_ANIMALS}allometry": ("power_of_weight", "exponent_between", "respiration_l_min"),
        f"{_ANIMALS}breath": (
            "alveolar_ventilation_l_min",
            "minute_volume_from_alveolar_l_min",
            "dead_space_share",
            "most_dead_space_l",
            "co2_output_l_min",
        ),
        f"{_ANIMALS}depth": (
            "ventilation_exponential_factor",
            "ventilation_linear_factor",
            "output_factor",
            "pressure_factor",
            "oxygen_use_factor",
        ),
        f"{_ANIMALS}warmth": ("body_temperature_after_k", "cooling_min"),
    },
    "Closed circles and bands": {
        "ullage.core.kinetics.closed": (
            "unit_dose_l",
            "prime_dose_l",
            "square_root_uptake_l",
            "square_root_uptake_l_min",
            "oxygen_in_circle_fraction",
        ),
        "ullage.core.kinetics.band": ("even_half_width_share",),
        "ullage.core.kinetics.narrowing": ("reading_chance", "effective_draws"),
    },
    "Breathing systems": {
        "ullage.core.breathing.fresh_gas": (
            "flow_by_weight_l_min",
            "flow_by_minute_volume_l_min",
            "peak_inspiratory_flow_l_min",
            "manifold_flow_l_min",
        ),
        "ullage.core.breathing.sizing": (
            "bag_volume_l",
            "next_size_l",
            "hose_volume_l",
            "time_constant_min",
            "minutes_to_share_min",
            "chamber_fraction",
        ),
        "ullage.core.breathing.suitability": ("suitability_fraction",),
        "ullage.core.breathing.evaporation": (
            "evaporated_fraction",
            "liquid_for_level_ml",
        ),
        "ullage.core.breathing.rebreathing": (
            "co2_floor_fraction",
            "co2_mixed_expired_fraction",
            "co2_completely_mixed_fraction",
            "fresh_gas_without_rebreathing_l_min",
        ),
        "ullage.core.breathing.absorbent": (
            "absorbent_capacity_l",
            "absorbed_from_weight_l",
            "absorbent_life_h",
            "vented_fraction",
        ),
    },
    "Agents and vaporizers": {
        f"{_AGENTS}vapour": (
            "vapour_pressure_kpa",
            "boiling_point_k",
            "molar_volume_l_mol",
            "vapour_per_liquid_l_l",
        ),
        f"{_AGENTS}vaporizers": (
            "saturation_ratio",
            "splitting_output_fraction",
            "splitting_share",
            "bypass_per_chamber",
            "partial_pressure_output_fraction",
            "splitting_pressure_output_fraction",
            "heated_dial_fraction",
            "measured_flow_fraction",
            "wrong_agent_fraction",
        ),
        f"{_AGENTS}mixtures": (
            "liquid_mole_fraction",
            "mixture_vapour_kpa",
            "mixture_output_fraction",
        ),
        f"{_AGENTS}use": (
            "vapour_in_outlet_l_min",
            "vapour_in_carrier_l_min",
            "liquid_use_ml_h",
            "liquid_lasts_min",
            "liquid_price",
            "vapour_mass_kg_h",
            "climate_kg_h",
        ),
    },
    "Potency": {
        f"{_AGENTS}potency": (
            "mac_at_age_fraction",
            "mac_at_temperature_fraction",
            "mac_with_nitrous_oxide_fraction",
            "mac_reduced_fraction",
            "mac_emax_fraction",
            "mac_at_pressure_fraction",
            "anaesthetic_depth",
        ),
    },
    "Reference equations of state": {
        f"{_GAS}properties": (
            "density_reference_kg_m3",
            "pressure_reference_kpa",
            "saturation_reference_kpa",
            "saturated_liquid_reference_kg_m3",
            "saturated_vapour_reference_kg_m3",
            "vapour_density_reference_kg_m3",
            "heat_capacity_ratio_reference",
            "viscosity_reference_pa_s",
        ),
    },
    "Units and guards": {
        "ullage.core.units": ("convert", "read_quantity", "kelvin", "celsius"),
        "ullage.core.checks": ("positive", "not_negative", "within"),
    },
    "Stock": {
        f"{_STOCK}reorder": (
            "reorder_point",
            "order_up_to",
            "cycle_service_share",
            "fill_rate_share",
            "mean_stock",
        ),
        f"{_STOCK}use": (
            "used_mean",
            "used_sd",
            "used_more_chance",
            "shelf_mean",
            "used_up_after_days",
        ),
    },
}

_ANSWERS = "ullage.answers."

#: Group -> module of the answers -> its questions, each with the unit of what comes back.
QUESTIONS: Mapping[str, Mapping[str, Mapping[str, str]]] = {
    "Ask about an animal": {
        f"{_ANSWERS}animal_answers": {"animal_value": "that of the value", "animal_cools": "°C"},
        f"{_ANSWERS}alerts": {"alerts_proposed": "/min"},
        f"{_ANSWERS}tissues": {"body_tissues": "%"},
        f"{_ANSWERS}depth": {"breathing_at_depth": "%", "circulation_at_depth": "%"},
    },
    "Ask about an agent": {
        f"{_ANSWERS}agents": {"agent_vapour_pressure": "kPa", "agent_solubility": "1"},
        f"{_ANSWERS}mac_answers": {"agent_mac": "%", "agent_end_point": "%"},
        f"{_ANSWERS}nitrous": {"nitrous_oxide_spares": "%"},
        f"{_ANSWERS}vaporizers": {"vaporizer_output": "%", "measured_flow_output": "%"},
        f"{_ANSWERS}misfills": {"wrong_agent": "%", "mixed_agents": "x MAC"},
        f"{_ANSWERS}agent_use": {
            "agent_used": "mL",
            "vaporizer_lasts": "min",
            "agent_cost": "money",
            "agent_climate": "kg CO2e",
        },
    },
    "Ask about a breathing system": {
        f"{_ANSWERS}breathing": {"system_suits": "% of the advice", "fresh_gas_flow": "L/min"},
        f"{_ANSWERS}manifold": {"manifold_flow": "L/min"},
        f"{_ANSWERS}rebreathing": {"carbon_dioxide": "mmHg"},
        f"{_ANSWERS}breathing_parts": {
            "bag_size": "L",
            "equipment_dead_space": "mL",
            "ventilator_start": "mL",
            "system_follows": "min",
            "chamber_fills": "min",
            "absorbent_lasts": "h",
            "flow_left_on": "h",
        },
        f"{_ANSWERS}absorbent": {"absorbent_due": "%"},
    },
}
