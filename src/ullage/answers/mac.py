"""MAC of an agent in a species: the value used, how wide it is, and what stands beside it."""

from dataclasses import dataclass

from ullage.answers.answer import View, WhereFrom
from ullage.answers.words import figure
from ullage.core.checks import positive
from ullage.core.errors import UnknownReference
from ullage.reference import HowKnown, Sourced, Spread, Standing, sourced
from ullage.reference.potency import (
    AGENTS,
    Confidence,
    MacRow,
    breed_of,
    lenders,
    mac_default,
    mac_measured,
    mac_species,
    uptake_mac,
)
from ullage.reference.solubility import ValueSet

__all__ = ["Mac", "mac_of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Mac:
    """A MAC as a fraction of one atmosphere, with its 90 % band and its origin.

    ``of_species`` is the species it was measured in; another than ``species`` means borrowed.
    """

    species: str
    agent: str
    mac_fraction: float
    low_fraction: float
    high_fraction: float
    confidence: Confidence
    of_species: str
    row: Sourced
    beside: tuple[Sourced, ...] = ()
    by_site: bool = False

    @property
    def borrowed(self) -> bool:
        """True where it is that of another species; a breed's own species lends nothing."""
        return self.of_species not in {self.species, breed_of(self.species)}

    @property
    def standing(self) -> Standing:
        """Assumed where borrowed, estimated by nobody, or set by the site."""
        if self.borrowed or self.by_site or self.confidence is Confidence.ESTIMATE:
            return Standing.ASSUMED
        return Standing.ESTIMATED

    @property
    def where_from(self) -> WhereFrom:
        """The row behind the value."""
        if self.by_site:
            return WhereFrom(
                source="site_rule", how_known=HowKnown.SITE.value, text="MAC set by the site."
            )
        return WhereFrom(
            source=self.row.source,
            how_known=self.row.how_known.value,
            text=f"MAC of {self.agent} in the {self.of_species}, {self.row.where.rstrip('.')}.",
        )

    @property
    def doubt(self) -> str:
        """What widens the range, in one sentence; empty where an abstract or label was read."""
        if self.by_site:
            return ""
        if self.borrowed:
            return (
                f"No MAC of {self.agent} in the {self.species} is in the tables; that of the "
                f"{self.of_species} is borrowed and the range is wide."
            )
        if self.of_species != self.species:
            return (
                f"No MAC of {self.agent} in the {self.species} by itself; that of the "
                f"{self.of_species}, the same species, is used."
            )
        if self.confidence in {Confidence.LOW, Confidence.ESTIMATE}:
            return (
                f"The MAC of {self.agent} in the {self.species} is {self.confidence.words}; "
                "the range is wider for it."
            )
        return ""

    @property
    def views(self) -> tuple[View, ...]:
        """Each printed or remembered value as one side, the value used chosen; none if alone."""
        chosen = View(
            label="Set by the site" if self.by_site else "Recommended in the table of agents",
            result=f"{figure(100 * self.mac_fraction)} %",
            source=self.where_from.source,
            how_known=self.where_from.how_known,
            chosen=True,
        )
        others = tuple(_view(one) for one in self.beside)
        return (chosen, *others) if others else ()


def _view(row: Sourced) -> View:
    citation = row.where.partition(": ")[2] or row.where
    spread = f" ({figure(row.low)} to {figure(row.high)})" if row.low and row.high else ""
    condition = f", {row.condition}" if row.condition else ""
    return View(
        label=f"{citation.rstrip('.')}{condition}",
        result=f"{figure(row.value)} %{spread}",
        source=row.source,
        how_known=row.how_known.value,
    )


def mac_of(
    species: str,
    agent: str,
    which: ValueSet = ValueSet.USER,
    site_fraction: float | None = None,
) -> Mac:
    """The MAC of an agent in a species, borrowed from a relative where there is none.

    Parameters
    ----------
    species : as people write it.
    agent : the agent's name.
    which : a user's values, or those that the published comparisons were run with.
    site_fraction : [1] the site's own value; none uses the table.

    Raises
    ------
    UnknownReference : an agent not known, or no value and nobody to borrow it from.

    >>> mac_of("cat", "isoflurane").mac_fraction, mac_of("guinea pig", "desflurane").of_species
    (0.0163, 'hamster')
    """
    name, gas = species.strip().lower(), agent.strip().lower()
    if gas not in (*AGENTS, "xenon"):
        raise UnknownReference(f"No agent {agent!r}. Agents: {', '.join(AGENTS)}.")
    if site_fraction is not None:
        return _of_site(name, gas, site_fraction)
    row = uptake_mac(name, gas) if which is ValueSet.UPTAKE else None
    if row is not None:
        found = MacRow(row=row, species=name, confidence=Confidence.MEDIUM)
        return _mac(name, gas, found, ())
    kind = breed_of(name)
    own = mac_default(kind, gas)
    if own is not None:
        return _mac(name, gas, own, mac_measured(kind, gas))
    for lender in lenders(name):
        lent = mac_default(lender, gas)
        if lent is not None:
            return _mac(name, gas, lent, ())
    raise UnknownReference(
        f"No MAC of {gas} in the {name}, and no relative to borrow it from. Set the site's own "
        f"value. Species with a MAC of {gas}: {', '.join(mac_species(gas))}."
    )


def _of_site(species: str, agent: str, value: float) -> Mac:
    """The site's value; the width is that of a value in print."""
    positive("site_fraction", value)
    share = sourced("potency", "width.high")
    return Mac(
        species=species,
        agent=agent,
        mac_fraction=value,
        low_fraction=value * (1.0 - share.value),
        high_fraction=value * (1.0 + share.value),
        confidence=Confidence.HIGH,
        of_species=species,
        row=share,
        by_site=True,
    )


def _mac(species: str, agent: str, found: MacRow, measured: tuple[Sourced, ...]) -> Mac:
    """The value with its band: the width of its confidence, and every value beside it."""
    confidence = found.confidence
    if found.species not in {species, breed_of(species)}:
        confidence = Confidence.BORROWED
    elif found.species != species and confidence is Confidence.HIGH:
        confidence = Confidence.MEDIUM
    share = sourced("potency", f"width.{confidence.value}").value
    middle = found.row.value
    ends = [middle * (1.0 - share), middle * (1.0 + share)]
    for one in measured:
        ends.extend((one.value, *_between_studies(one)))
    return Mac(
        species=species,
        agent=agent,
        mac_fraction=0.01 * middle,
        low_fraction=0.01 * min(ends),
        high_fraction=0.01 * max(ends),
        confidence=confidence,
        of_species=found.species,
        row=found.row,
        beside=measured,
    )


def _between_studies(row: Sourced) -> tuple[float, ...]:
    """A range of studies or of textbooks widens the band; the spread of animals does not."""
    if row.low is None or row.high is None or row.spread is not Spread.RANGE:
        return ()
    return row.low, row.high
