"""The common linear rules that fit a cylinder: named as such, shown beside the answer."""

from dataclasses import dataclass

from ullage.answers.answer import View, WhereFrom
from ullage.answers.held import known_as
from ullage.answers.things import Cylinder
from ullage.core.gas import Gas
from ullage.core.supply import linear_rule_factor_l_kpa, linear_rule_l
from ullage.core.units import BAR_KPA, PSI_KPA
from ullage.reference import Sourced, sourced, stated, table

__all__ = ["LinearRule", "linear_rules"]

#: A factor belongs to a size; another capacity within this share counts as that size.
_SAME_SHARE = 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class LinearRule:
    """One common linear rule: its factor, what it is called, and on whose word."""

    factor_l_kpa: float
    residual_kpa: float
    label: str
    where_from: WhereFrom

    def usable_l(self, gauge_kpa: float) -> float:
        """[L] above the residual of the rule, at whatever temperature."""
        return linear_rule_l(gauge_kpa, self.residual_kpa, self.factor_l_kpa)

    def view(self, result: str, *, chosen: bool = False) -> View:
        """The rule as one side of a disagreement."""
        return View(
            label=self.label,
            result=result,
            source=self.where_from.source,
            how_known=self.where_from.how_known,
            chosen=chosen,
        )


def linear_rules(cylinder: Cylinder) -> tuple[LinearRule, ...]:
    """The rules for the size that a cylinder's water capacity comes closest to.

    Where no size fits, water capacity times bar, as is common in Europe. Only for a gas that
    stays gas.

    >>> from ullage.core.gas import Gas
    >>> linear_rules(Cylinder(gas=Gas.OXYGEN, water_capacity_l=4.76))[0].label
    'Common linear rule, 0.28 L/psi'
    """
    if cylinder.gas.liquefied:
        return ()
    size = _size_key(cylinder)
    rows = [
        row
        for key, row in table("linear_rules").items()
        if isinstance(row, Sourced) and (key == size or key.startswith(f"{size}_"))
    ]
    rows = [row for row in rows if row.how_known.value != "memory"]
    if rows:
        return tuple(_published(row) for row in rows)
    return (_water_times_bar(cylinder),)


def _size_key(cylinder: Cylinder) -> str:
    if cylinder.gas is not Gas.OXYGEN:
        return "none"
    from ullage.reference import cylinder_sizes

    def gap(capacity_l: float) -> float:
        return abs(capacity_l - cylinder.water_capacity_l) / cylinder.water_capacity_l

    nearest = min(cylinder_sizes(), key=lambda size: gap(size.water_capacity_l))
    return nearest.key if gap(nearest.water_capacity_l) <= _SAME_SHARE else "none"


def _published(row: Sourced) -> LinearRule:
    label = f"Common linear rule, {row.value:g} L/psi"
    return LinearRule(
        factor_l_kpa=linear_rule_factor_l_kpa(row.value, PSI_KPA),
        residual_kpa=sourced("supply", "residual_psi").inside("pressure"),
        label=label,
        where_from=known_as(row, f"{label}, less 200 psi."),
    )


def _water_times_bar(cylinder: Cylinder) -> LinearRule:
    row = stated("linear_rules", "water_times_bar")
    return LinearRule(
        factor_l_kpa=linear_rule_factor_l_kpa(cylinder.water_capacity_l, BAR_KPA),
        residual_kpa=sourced("supply", "residual_psi").inside("pressure"),
        label="Common linear rule, water capacity times bar",
        where_from=WhereFrom(source=row.source, how_known=row.how_known.value, text=row.text),
    )
