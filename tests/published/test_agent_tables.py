"""The tables of the text on agents against the rows that answers read."""

import pytest

from ullage.answers.agents import liquid_of
from ullage.answers.mac import mac_of
from ullage.reference import HowKnown, conflict, sourced
from ullage.reference.potency import Confidence, mac_default
from ullage.reference.sparing import sparing_of

# Agents section 3.1: isoflurane, sevoflurane, desflurane, halothane, nitrous oxide in vol% with the
# letter of confidence (H, M, L, E); a dash where the table has none.
DEFAULTS = {
    "mouse": "1.41M 2.5L 6.6L 0.95L -",
    "rat": "1.40M 2.4M 6.5L 1.1L 221M",
    "guinea pig": "1.15L 2.0E - 1.01L -",
    "hamster": "1.62H 2.31H 7.48H 1.15H -",
    "rabbit": "2.05H 3.7L 8.9L 1.42M -",
    "ferret": "1.52H 2.4E - 1.01H -",
    "cat": "1.63H 3.08H 9.79L 1.14L 255L",
    "dog": "1.28H 2.36H 7.2L 0.87L 200L",
    "pig": "1.90H 2.66L 9.8M 0.90L 160M",
    "sheep": "1.58L 2.74M 9.81M 0.97L -",
    "goat": "1.5H 2.33L - 1.3H -",
    "macaque": "1.28L 2.0L - 1.15L -",
    "horse": "1.31H 2.4M 7.6H 0.93H 205M",
    "chicken": "1.18H 2.21L - 0.85L -",
    "human": "1.17H 1.80H 6.6H 0.75H 104H",
}
AGENTS = ("isoflurane", "sevoflurane", "desflurane", "halothane", "nitrous oxide")
LETTERS = {
    "H": Confidence.HIGH,
    "M": Confidence.MEDIUM,
    "L": Confidence.LOW,
    "E": Confidence.ESTIMATE,
}

# Agents section 1: molar mass, boiling point, vapour pressure at 20 °C, vapour of a mL, dial.
LIQUIDS = {
    "isoflurane": (184.5, 48.5, 238.0, 195.0, 5.0),
    "sevoflurane": (200.05, 58.6, 157.0, 184.0, 8.0),
    "desflurane": (168.04, 22.8, 669.0, 210.0, 18.0),
    "halothane": (197.38, 50.2, 243.0, 229.0, 5.0),
    "enflurane": (184.5, 56.5, 172.0, 198.0, 7.0),
}

# Agents section 3.6: reduction in per cent by species, agent and dose.
SPARING = {
    ("mouse", "isoflurane"): [25.5, 14.4],
    ("rat", "halothane"): [84, 48],
    ("rabbit", "isoflurane"): [17, 24, 42, 54, 64, 10.5, 21.7, 24],
    ("dog", "isoflurane"): [25, 27.3, 43.4, 60.9, 30, 55, 90, 43, 59, 66, 71],
    ("dog", "enflurane"): [17, 63],
    ("cat", "isoflurane"): [35, 45, 63, 75],
    ("pig", "isoflurane"): [24.5, 29.9, 45.9],
    ("horse", "sevoflurane"): [26.7],
}

CELLS = [
    (species, agent, cell)
    for species, row in DEFAULTS.items()
    for agent, cell in zip(AGENTS, row.split(), strict=True)
]


@pytest.mark.published("agents_base")
@pytest.mark.parametrize(("species", "agent", "cell"), CELLS)
def test_a_default_and_its_confidence_are_those_of_the_text(species, agent, cell):
    found = mac_default(species, agent)
    if cell == "-":
        assert found is None
        return

    assert found.row.value == float(cell[:-1])
    assert found.confidence is LETTERS[cell[-1]]
    read = found.row.how_known in {HowKnown.SEEN, HowKnown.COMPUTED}
    assert read == (cell[-1] in "HM")


@pytest.mark.published("agents_base")
@pytest.mark.parametrize(("species", "agent", "cell"), [one for one in CELLS if one[2] != "-"])
def test_a_default_is_used_as_it_stands_with_the_width_of_its_letter(species, agent, cell):
    found = mac_of(species, agent)
    share = sourced("potency", f"width.{LETTERS[cell[-1]].value}").value

    assert 100 * found.mac_fraction == pytest.approx(float(cell[:-1]))
    assert found.low_fraction <= found.mac_fraction * (1.0 - share) + 1e-12
    assert found.high_fraction >= found.mac_fraction * (1.0 + share) - 1e-12


@pytest.mark.published("agents_base")
@pytest.mark.parametrize("agent", LIQUIDS)
def test_a_liquid_is_that_of_the_text(agent):
    liquid = liquid_of(agent)
    boils = sourced("agents", f"{agent}.boiling_c")

    assert (
        liquid.molar_mass.value,
        boils.value,
        liquid.printed_vapour.value,
        liquid.vapour_per_liquid.value,
        liquid.most_dial.value,
    ) == LIQUIDS[agent]
    assert liquid.most_dial.how_known is HowKnown.MEMORY


@pytest.mark.published("agents_base")
@pytest.mark.parametrize("key", SPARING, ids=" ".join)
def test_what_drugs_spare_is_what_the_text_says(key):
    species, agent = key
    found = [100 * one.reduction for one in sparing_of(species) if one.agent == agent]

    assert found == pytest.approx(SPARING[key])


# Conflicts K-41 to K-46 as the fact base lists them: each end must lie inside the band used.
@pytest.mark.published("agents_base")
@pytest.mark.parametrize(
    ("key", "species", "agent", "ends"),
    [
        ("K-41", "mouse", "isoflurane", (1.2, 1.8)),
        ("K-42", "pig", "isoflurane", (1.55, 2.1)),
        ("K-43", "rabbit", "halothane", (0.82, 1.42)),
        ("K-44", "cat", "sevoflurane", (2.5, 3.95)),
        ("K-45", "dog", "desflurane", (7.2, 10.3)),
        ("K-46", "rat", "nitrous oxide", (155.0, 235.0)),
    ],
)
def test_a_conflict_of_the_fact_base_lies_inside_the_band(key, species, agent, ends):
    found = mac_of(species, agent)

    assert conflict(key).values
    assert 100 * found.low_fraction <= ends[0] * 1.005
    assert 100 * found.high_fraction >= ends[1] * 0.995
    assert len(found.views) > 1


# Agents section 5 and conflict K-50: three sets of warming potentials.
@pytest.mark.published("agents_base")
@pytest.mark.parametrize(
    ("which", "values", "known"),
    [
        ("set_2012", (510, 2540, 130), "seen"),
        ("set_ar6", (539, 2590, 195), "memory"),
        ("set_2010", (510, 1620, 210), "seen"),
    ],
)
def test_warming_potentials_are_those_of_the_text(which, values, known):
    rows = [
        sourced("agents", f"warming.{which}.{agent}")
        for agent in ("isoflurane", "desflurane", "sevoflurane")
    ]

    assert tuple(row.value for row in rows) == values
    assert {row.how_known.value for row in rows} == {known}


# Agents section 3.7: awake over MAC 0.35, 0.35, 0.61, 0.46 in man; MAC-BAR 1.30, 1.30, 1.45, 1.60.
@pytest.mark.published("agents_base")
@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("awake.human.isoflurane", 0.35),
        ("awake.human.sevoflurane", 0.35),
        ("awake.human.nitrous oxide", 0.61),
        ("awake.human.xenon", 0.46),
        ("adrenergic.human.desflurane", 1.30),
        ("adrenergic.human.isoflurane", 1.30),
        ("adrenergic.human.halothane", 1.45),
        ("adrenergic.human.enflurane", 1.60),
        ("adrenergic.goat.isoflurane", 2.8),
        ("extubation.dog.isoflurane", 0.45),
        ("righting.mouse.sevoflurane", 1.96),
    ],
)
def test_other_end_points_are_those_of_the_text(key, value):
    assert sourced("potency", key).value == value
