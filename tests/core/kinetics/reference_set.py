"""The parameter set of the published reference solutions (uptake.md, section 3), for tests.

Rows of `body.csv` and `partition.csv`; the shipped engine takes its values from the reference
data through the answers.
"""

import numpy as np

from ullage.core.kinetics import FA, STATES, Body, Solubility

#: Mass and flow fractions: brain, viscera, kidney, muscle, vessel-poor, fat.
SHARES = {
    "human": ([0.020, 0.045, 0.0044, 0.40, 0.18, 0.21], [0.130, 0.420, 0.190, 0.133, 0.072, 0.055]),
    "mouse": ([0.0165, 0.115, 0.0167, 0.384, 0.26, 0.08], [0.035, 0.44, 0.091, 0.25, 0.124, 0.06]),
}
#: Blood/gas, six tissue/blood, hepatic extraction.
GASES = {
    "desflurane": (0.45, [1.29, 1.30, 0.95, 2.02, 1.5, 27.2], 0.0),
    "sevoflurane": (0.65, [1.70, 1.82, 1.15, 3.13, 2.0, 47.5], 0.02),
    "isoflurane": (1.43, [1.57, 1.70, 1.05, 2.92, 2.0, 44.9], 0.0),
    "halothane": (2.54, [1.94, 2.05, 1.20, 3.38, 2.2, 51.1], 0.25),
    "nitrous oxide": (0.46, [1.1, 1.0, 1.0, 1.2, 1.0, 2.3], 0.0),
    "nitrogen": (0.0148, [1.1, 1.1, 1.0, 1.0, 1.0, 5.0], 0.0),
    "oxygen": (0.0, [1.0, 1.0, 1.0, 1.0, 1.0, 1.0], 0.0),
}


def reference_body(kg, species="human", count=1):
    masses, flows = (list(one) for one in SHARES[species])
    tissue = [*masses[:5], 0.92 * masses[5], 0.08 * masses[5]]
    shares = [flows[0], flows[1] - 0.03, *flows[2:], 0.03]
    scale = kg**0.75
    ones = np.ones(count)
    return Body(
        weight_kg=kg * ones,
        cardiac_output_l_min=0.207 * scale * ones,
        alveolar_l_min=0.174 * scale * ones,
        minute_volume_l_min=0.174 * scale / 0.70 * ones,
        lung_l=0.0181 * kg**1.13 * ones,
        lung_tissue_l=0.009 * kg * ones,
        arterial_l=0.075 * 0.20 * kg * ones,
        venous_l=0.075 * 0.70 * kg * ones,
        oxygen_use_l_min=0.010 * scale * ones,
        co2_output_l_min=0.008 * scale * ones,
        shunt_fraction=0.03 * ones,
        dead_alveolar_fraction=0.10 * ones,
        tissue_l=np.tile(np.array(tissue) * kg, (count, 1)),
        flow_fraction=np.tile(np.array(shares), (count, 1)),
    )


def reference_gas(name, count=1, *, metabolised=True):
    blood, tissue, extraction = GASES[name]
    return Solubility(
        blood_gas=np.full(count, blood),
        tissue_blood=np.tile([*tissue, tissue[-1]], (count, 1)),
        extraction_fraction=np.full(count, extraction if metabolised else 0.0),
    )


def gases(names, count=1):
    """Without what the liver destroys, as in the multi-gas runs of uptake.md section 2.4."""
    return {name: reference_gas(name, count, metabolised=False) for name in names}


def on_air(names, count=1):
    """Lung, blood and tissues as after breathing air (uptake.md section 2.4)."""
    state = np.zeros((count, len(names), STATES))
    oxygen, nitrogen = names.index("oxygen"), names.index("nitrogen")
    state[:, oxygen, FA], state[:, oxygen, :2] = 0.15, 0.21
    state[:, nitrogen, 2:], state[:, nitrogen, :2] = 0.80, 0.79
    return state
