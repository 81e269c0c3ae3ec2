"""The animal as a thing: every value that is needed of it, with band, standing and origin."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ullage.answers.answer import WhereFrom
from ullage.core.errors import UnknownReference
from ullage.reference import HowKnown, Sourced, Standing

__all__ = ["Animal", "AnimalValue"]


@dataclass(frozen=True, slots=True, kw_only=True)
class AnimalValue:
    """One value of an animal in the unit used inside, with its 90 % band and where it is from.

    ``rows`` are the values it was worked out from; ``overruled`` is True where the site set it.
    """

    name: str
    value: float
    unit: str
    low: float | None
    high: float | None
    standing: Standing
    how_known: HowKnown
    where: str
    rows: tuple[Sourced, ...] = ()
    overruled: bool = False

    @property
    def where_from(self) -> tuple[WhereFrom, ...]:
        """The sources of the value, each once."""
        if self.overruled:
            return (WhereFrom(source="site_rule", how_known=HowKnown.SITE.value, text=self.where),)
        found = (
            WhereFrom(source=one.source, how_known=one.how_known.value, text=_sentence(one.where))
            for one in self.rows
        )
        return tuple(dict.fromkeys(found))


@dataclass(frozen=True, slots=True, kw_only=True)
class Animal:
    """A species and a weight, and what follows from them.

    ``stands_on`` is the species whose tissues are used; ``assumptions`` say what was borrowed.
    """

    species: str
    weight_kg: float
    values: Mapping[str, AnimalValue]
    stands_on: str
    groups: str = "own"
    assumptions: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()

    def __getitem__(self, name: str) -> AnimalValue:
        """One value by name; an unknown name is answered with what there is."""
        if name not in self.values:
            told = f"The animal has no {name!r}; it has {', '.join(self.values)}."
            raise UnknownReference(told)
        return self.values[name]

    def __iter__(self) -> Iterator[AnimalValue]:
        return iter(self.values.values())

    @property
    def borrowed(self) -> bool:
        """True where the tissues are not those of the species itself."""
        return self.groups != "own"

    @property
    def overruled(self) -> tuple[str, ...]:
        """The values that the site set."""
        return tuple(one.name for one in self if one.overruled)


def _sentence(text: str) -> str:
    """A place as a sentence: a capital in front, a full stop behind."""
    bare = text.strip().rstrip(".")
    return f"{bare[:1].upper()}{bare[1:]}."
