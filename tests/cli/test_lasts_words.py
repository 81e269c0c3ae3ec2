"""`ullage lasts`: units as people write them, edges of the reading, and every refusal in a line."""

import json

import pytest
from click.testing import CliRunner

from tests.answers.paper import litres, litres_per_kg, usable
from ullage.cli.house import root

PSI = 6.894757293168361


def run(*words):
    return CliRunner().invoke(root, ["lasts", *words])


def told(*words):
    result = run(*words, "--json")
    assert result.exit_code == 0, result.output
    return json.loads(result.output)


def e(gauge, flow="1 L/min", *more):
    return told("--size", "E", "--gauge", gauge, "--flow", flow, *more)


@pytest.mark.parametrize(
    "gauge",
    ["1900 psi", "1,900 psig", "1900PSI", "131.0004 bar", "13.10004 MPa", "13100.04 kPa",
     "131,0004 bar", "133.5833 kgf/cm2"],
)  # fmt: skip
def test_a_gauge_means_the_same_in_every_unit(gauge):
    on_paper = usable(4.76, 1900 * PSI, 200 * PSI)

    assert e(gauge)["value"] == pytest.approx(on_paper, rel=2e-3)


@pytest.mark.parametrize(
    "flow", ["2 L/min", "2 lpm", "2000 mL/min", "2,0 L/min", "120 L/h", "4.2378 cu ft/h"]
)
def test_a_flow_means_the_same_in_every_unit(flow):
    assert e("1000 psi", flow)["value"] == pytest.approx(273.5 / 2, rel=2e-3)


@pytest.mark.parametrize("warmth", ["40 C", "104 F", "313.15 K", "40°C"])
def test_a_temperature_means_the_same_in_every_unit(warmth):
    hot = usable(4.76, 1000 * PSI, 200 * PSI, 313.15)

    assert e("1000 psi", "1 L/min", "--temp", warmth)["value"] == pytest.approx(hot, rel=2e-3)


@pytest.mark.parametrize(
    ("rule", "kept_l"),
    [
        ("200 psi", litres(4.76, 200 * PSI)),
        ("14 bar", litres(4.76, 1400.0)),
        ("100 L", litres(4.76, 0.0) + 100.0),
        ("3.5315 cu ft", litres(4.76, 0.0) + 100.0),
        ("30 min", litres(4.76, 0.0) + 60.0),
        ("0.5 h", litres(4.76, 0.0) + 60.0),
        ("0 psi", litres(4.76, 0.0)),
    ],
)
def test_what_is_kept_back_may_be_a_pressure_litres_or_minutes(rule, kept_l):
    found = e("1000 psi", "2 L/min", "--reserve", rule)
    on_paper = (litres(4.76, 1000 * PSI) - kept_l) / 2

    assert found["value"] == pytest.approx(on_paper, rel=3e-3)


def test_drive_gas_and_a_leak_are_added_to_the_flow():
    found = e("1000 psi", "1 L/min", "--drive", "5 L/min", "--leak", "500 mL/min",
              "--reserve", "200 psi")  # fmt: skip

    assert found["value"] == pytest.approx(273.5 / 6.5, rel=2e-3)
    assert "5 L/min to drive the ventilator and 0.5 L/min leaking" in found["question"]


@pytest.mark.parametrize(
    ("psi", "verdict"), [(0, "Stop"), (200, "Stop"), (260, "Stop"), (999, "Look again"),
                         (1001, "Fine")],
)  # fmt: skip
def test_the_verdict_follows_the_gauge(psi, verdict):
    # 260 psi less nine tenths of 75 psi, the error of the gauge, is below the 200 psi kept.
    assert e(f"{psi} psi")["verdict"] == verdict


@pytest.mark.parametrize("height", ["1900 m", "6234 ft", "190000 cm"])
def test_at_1900_metres_the_air_is_thinner_and_the_minutes_are_nearly_the_same(height):
    result = run("--size", "E", "--gauge", "1000 psi", "--flow", "1 L/min", "--elevation", height)
    on_paper = usable(4.76, 1000 * PSI, 200 * PSI, 293.15, 80.5)

    assert "At 80 kPa a float made for sea level passes" in " ".join(result.output.split())
    found = e("1000 psi", "1 L/min", "--elevation", height)
    assert found["value"] == pytest.approx(on_paper, rel=2e-3)


def test_a_barometer_comes_before_the_height():
    low = e("1000 psi", "1 L/min", "--barometer", "805 hPa", "--elevation", "0 m")
    high = e("1000 psi", "1 L/min", "--elevation", "1900 m")

    assert low["value"] == pytest.approx(high["value"], rel=1e-4)


def test_the_stamp_comes_before_the_table_of_sizes():
    found = e("1000 psi", "1 L/min", "--water", "4.7 L")

    assert found["value"] == pytest.approx(273.5 * 4.7 / 4.76, rel=2e-3)
    assert any("stamped on it" in line["text"] for line in found["where_from"])


def test_a_better_gauge_narrows_the_band_and_moves_nothing():
    usual, better = (e("1000 psi", "2 L/min", "--gauge-error", share) for share in ("2.5 %", "1 %"))

    assert usual["value"] == better["value"]
    assert better["low"] > usual["low"]
    assert better["high"] < usual["high"]


@pytest.mark.parametrize(("litres_at", "named"), [("70F", "70 °F"), ("15C", "15 °C")])
def test_litres_are_counted_as_asked_and_said_so(litres_at, named):
    said = run("--size", "E", "--gauge", "71 bar", "--flow", "1 L/min", "--litres", litres_at)

    assert f"free gas at {named}" in " ".join(said.output.split())


def test_psi_speaks_of_70_degrees_and_bar_of_15():
    us = run("--size", "E", "--gauge", "1000 psi", "--flow", "1 L/min").output
    uk = run("--water", "4.7 L", "--gauge", "71 bar", "--flow", "1 L/min").output

    assert "free gas at 70 °F" in " ".join(us.split())
    assert "free gas at 15 °C" in " ".join(uk.split())


BLUE = ("--water", "4.7 L", "--gas", "nitrous oxide", "--flow", "2 L/min", "--reserve", "0 psi")


@pytest.mark.parametrize(
    ("weight", "tare"), [("8.2 kg", "6.2 kg"), ("8200 g", "6200 g"), ("18.078 lb", "13.669 lb")]
)
def test_a_scale_means_the_same_in_every_unit(weight, tare):
    found = told(*BLUE, "--weight", weight, "--tare", tare)
    vapour = litres(4.7, 0.0, gas="nitrous oxide")
    on_paper = (2.0 * litres_per_kg("nitrous oxide") - vapour) / 2

    assert found["value"] == pytest.approx(on_paper, rel=4e-3)


def test_air_is_not_held_to_the_rule_of_beginning():
    found = told("--water", "4.7 L", "--gas", "air", "--gauge", "40 bar", "--flow", "2 L/min")

    assert found["verdict"] == "Fine"
    assert found["value"] == pytest.approx(
        (litres(4.7, 4000.0, gas="air") - litres(4.7, 200 * PSI, gas="air")) / 2, rel=3e-3
    )


REFUSED = [
    (("--size", "E", "--gauge", "1000 psi", "--flow", "-1 L/min"), "flow_l_min is -1"),
    (("--size", "E", "--gauge", "1000 psi", "--flow", "nan L/min"), "is not a flow"),
    (("--size", "E", "--gauge", "1000 psi", "--flow", "inf L/min"), "is not a flow"),
    (("--size", "E", "--gauge", "1e999 psi", "--flow", "1 L/min"), ""),
    (("--size", "E", "--gauge", "1000 L", "--flow", "1 L/min"), "is not a unit of pressure"),
    (("--size", "E", "--gauge", "", "--flow", "1 L/min"), "is not a pressure"),
    (("--water", "0 L", "--gauge", "71 bar", "--flow", "1 L/min"), "water_capacity_l is 0"),
    (("--water", "-4 L", "--gauge", "71 bar", "--flow", "1 L/min"), "water_capacity_l is -4"),
    (("--water", "4.7", "--gauge", "71 bar", "--flow", "1 L/min"), "needs its unit"),
    (("--size", "E", "--gauge", "1000 psi", "--flow", "1 L/min", "--temp", "200 C"),
     "temperature_k is 473.15"),
    (("--size", "E", "--gauge", "1000 psi", "--flow", "1 L/min", "--barometer", "5 kPa"),
     "barometric_kpa is 5"),
    (("--size", "E", "--gauge", "1000 psi", "--flow", "1 L/min", "--elevation", "90 km"),
     "is not a unit of length"),
    (("--size", "E", "--gauge", "1000 psi", "--flow", "1 L/min", "--elevation", "20000 m"),
     "elevation_m is 20000"),
    (("--size", "E", "--gauge", "1000 psi", "--flow", "1 L/min", "--gauge-error", "500 %"),
     "gauge_error_share is 5"),
    (("--size", "E", "--gauge", "1000 psi", "--flow", "1 L/min", "--gauge-error", "-1 %"),
     "gauge_error_share is -0.01"),
    (("--size", "E", "--gauge", "1000 psi", "--flow", "1 L/min", "--leak", "-1 L/min"),
     "leak_l_min is -1"),
    (("--size", "E", "--gauge", "1000 psi", "--flow", "1 L/min", "--drive", "-1 L/min"),
     "drive_l_min is -1"),
    (("--size", "E", "--gauge", "1000 psi", "--flow", "1 L/min", "--reserve", "-5 psi"),
     "'-5 psi' is no reserve"),
    (("--size", "E", "--gauge", "1000 psi", "--flow", "1 L/min", "--reserve", ""),
     "is no reserve"),
    (("--size", "E", "--gauge", "1000 psi", "--flow", "1 L/min", "--scale", "900 psi"),
     "past the end of its scale"),
    (("--size", "E", "--gauge", "1000 psi", "--flow", "1 L/min", "--scale", "0 psi"),
     "full_scale_kpa is 0"),
    ((*BLUE, "--weight", "6 kg", "--tare", "6.2 kg"), "less than its tare of 6.2 kg"),
    ((*BLUE, "--weight", "8 kg", "--tare", "-6 kg"), "tare_kg is -6"),
    (BLUE, 'Say what you read, such as --weight "8.1 kg"'),
]  # fmt: skip


@pytest.mark.parametrize(("words", "sentence"), REFUSED)
def test_what_cannot_be_is_one_line_with_a_status(words, sentence):
    result = run(*words)

    assert result.exit_code != 0
    assert result.output.startswith("Error: ")
    assert result.output.count("\n") == 1
    assert sentence in result.output
