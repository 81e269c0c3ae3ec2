"""`ullage lasts`: one cylinder, one flow, how long."""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import click

from ullage.cli.quantity import Quantity, Written
from ullage.cli.text import answer_lines, caution_lines

if TYPE_CHECKING:
    from ullage.answers.things import Cylinder, Place, Reading

__all__ = ["lasts"]

_GASES = ["oxygen", "air", "nitrogen", "helium", "carbon dioxide", "nitrous oxide"]
_CONDITIONS = ["70F", "15C", "0C"]


@dataclass(frozen=True, kw_only=True)
class _Told:
    """What was typed."""

    size: str | None
    region: str | None
    water: Written | None
    gas: str
    gauge: Written | None
    weight: Written | None
    tare: Written | None
    temp: Written | None
    flow: Written | None
    drive: Written | None
    leak: Written | None
    reserve: str | None
    scale: Written | None
    gauge_error: Written | None
    elevation: Written | None
    barometer: Written | None
    litres: str | None


@click.command()
@click.option("--size", metavar="LETTER", help="Size of the cylinder, such as E or H.")
@click.option("--region", metavar="WORLD", help="Whose letters: US, UK or ISO, China.")
@click.option("--water", type=Quantity("volume"), help="Water capacity stamped on it.")
@click.option("--gas", type=click.Choice(_GASES), default="oxygen", show_default=True)
@click.option("--gauge", type=Quantity("pressure"), help="What the gauge reads.")
@click.option("--weight", type=Quantity("mass"), help="Gross weight of a liquefied gas.")
@click.option("--tare", type=Quantity("mass"), help="Weight of the empty cylinder.")
@click.option("--temp", type=Quantity("temperature"), help="Temperature of the gas.")
@click.option("--flow", type=Quantity("flow"), help="Fresh gas drawn.")
@click.option("--drive", type=Quantity("flow"), help="Gas that drives a ventilator.")
@click.option("--leak", type=Quantity("flow"), help="A leak, where one is known.")
@click.option("--reserve", metavar="RULE", help="Kept back: 200 psi, 70 L or 15 min.")
@click.option("--scale", type=Quantity("pressure"), help="End of the gauge's scale.")
@click.option("--gauge-error", type=Quantity("share"), help="Its class, as 1.6 % of scale.")
@click.option("--elevation", type=Quantity("length"), help="Height above the sea.")
@click.option("--barometer", type=Quantity("pressure"), help="Air pressure, absolute.")
@click.option("--litres", type=click.Choice(_CONDITIONS), help="Condition of litres shown.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON, for other programs.")
def lasts(*, as_json: bool, **typed: Any) -> None:
    """Say how long a cylinder lasts at a steady flow.

    \b
    Example: ullage lasts --size E --gauge "1000 psi" --flow "1 L/min"
    Example: ullage lasts --water "4.7 L" --gauge "71 bar" --flow "2 L/min"
    Example: ullage lasts --size E --gas "nitrous oxide" --flow "2 L/min"
             --weight "8.1 kg" --tare "6.2 kg"
    """
    from ullage.answers.asked import OtherDemand
    from ullage.answers.lasts import cylinder_lasts
    from ullage.answers.presets import reserve_read

    told = _Told(**typed)
    if told.flow is None:
        raise click.ClickException('Say what is drawn, such as --flow "1 L/min".')
    cylinder = _cylinder(told)
    answer = cylinder_lasts(
        cylinder,
        _reading(told),
        told.flow.value,
        None if told.reserve is None else reserve_read(told.reserve),
        _place(told),
        OtherDemand(drive_l_min=_value(told.drive) or 0.0, leak_l_min=_value(told.leak) or 0.0),
    )
    if as_json:
        import json

        click.echo(json.dumps(answer.as_dict(), ensure_ascii=False, indent=2))
        return
    for line in (*_heading(cylinder), *answer_lines(answer), *caution_lines()):
        click.echo(line)


def _cylinder(told: _Told) -> "Cylinder":
    from ullage.answers.presets import cylinder_of_size, usual_scale_kpa
    from ullage.answers.things import Cylinder, Gas

    gas, tare_kg = Gas(told.gas), _value(told.tare)
    if told.size is not None:
        found = cylinder_of_size(told.size, told.region, gas, tare_kg)
        if told.water is not None:
            found = replace(found, water_capacity_l=told.water.value, capacity_source="stamp")
    elif told.water is not None:
        found = Cylinder(
            gas=gas,
            water_capacity_l=told.water.value,
            full_scale_kpa=usual_scale_kpa(),
            tare_kg=tare_kg,
            capacity_source="stamp",
        )
    else:
        raise click.ClickException(
            'Say which cylinder: --size E, or --water "4.76 L" as stamped on it.'
        )
    scale = found.full_scale_kpa if told.scale is None else told.scale.value
    return replace(found, full_scale_kpa=scale, gauge_error_share=_value(told.gauge_error))


def _reading(told: _Told) -> "Reading":
    from ullage.answers.things import Reading

    if told.gauge is None and told.weight is None:
        what = '--weight "8.1 kg"' if told.gas in _GASES[4:] else '--gauge "1000 psi"'
        raise click.ClickException(f"Say what you read, such as {what}.")
    return Reading(
        at_min=0.0,
        gauge_kpa=_value(told.gauge),
        weight_kg=_value(told.weight),
        temperature_k=_value(told.temp),
    )


def _place(told: _Told) -> "Place":
    from ullage.answers.places import place_at

    unit = told.gauge.unit if told.gauge else "bar"
    american = unit == "psi" or (told.region or "").upper() == "US"
    return place_at(
        barometric_kpa=_value(told.barometer),
        elevation_m=_value(told.elevation),
        condition=told.litres or ("70F" if american else "15C"),
        pressure_unit=unit,
    )


def _value(written: Written | None) -> float | None:
    return None if written is None else written.value


def _heading(cylinder: "Cylinder") -> list[str]:
    name = cylinder.label or f"{cylinder.water_capacity_l:g} L of water"
    return [f"{cylinder.gas.value.capitalize()}, {name}", ""]
