"""A methods paragraph and table in the order of ARRIVE 2.0, for one case or a study."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ullage.answers.answer import WhereFrom
from ullage.answers.record.seen import NOT_RECORDED, CaseSeen
from ullage.answers.record.slots import SLOTS
from ullage.reference import fact

__all__ = ["Methods", "MethodsRow", "methods_text"]

#: Rows of the facts behind the items, and the list that asks for equipment and reasons.
_ITEMS = ("ARR-001", "ARR-002", "ARR-003", "ARR-004", "ARR-005", "ARR-006")
#: What a reader of the numbers has to know, and what the record cannot know.
_NOTES = (
    "Medians and ranges are over entries: an animal with more entries weighs more.",
    "A dialled level counts once for each entry, however long it stood.",
    "Withdrawn entries are left out, corrected ones count as corrected; the record shows both.",
    "The words were taken from the records; read them before they are printed as yours.",
)
#: Slots with which a sentence begins, so that each is about one subject.
_BEGINS = frozenset(
    {
        *("Agent", "Level kept, dialled", "Carrier gas", "Machine", "Airway", "Heart rate"),
        *("Drugs given, premedication and pain relief", "Asepsis", "Body temperature"),
        *("Care afterwards", "Adverse events expected", "Humane endpoints", "Watched"),
    }
)
_HEADINGS = {
    "8": "Experimental animals",
    "9": "Experimental procedures",
    "14": "Ethical statement",
    "16": "Animal care and monitoring",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class MethodsRow:
    """One row of the table: item of ARRIVE 2.0, what, and what was recorded of it."""

    item: str
    what: str
    says: str

    @property
    def is_recorded(self) -> bool:
        """Whether anything was recorded of it."""
        return self.says != NOT_RECORDED


@dataclass(frozen=True, slots=True, kw_only=True)
class Methods:
    """The paragraph and the table, and where their order comes from."""

    paragraph: str
    rows: tuple[MethodsRow, ...]
    where_from: tuple[WhereFrom, ...]
    notes: tuple[str, ...] = ()

    @property
    def left_out(self) -> tuple[str, ...]:
        """What nobody recorded, by name."""
        return tuple(one.what for one in self.rows if not one.is_recorded)


def methods_text(cases: Sequence[CaseSeen]) -> Methods:
    """What was done, from the lines of the records alone.

    Parameters
    ----------
    cases : one case, or all of a study, each as `case_seen` reads it.

    Returns
    -------
    The paragraph and the table. Levels say whether they were dialled or measured; what nobody
    recorded stands as "not recorded" and is never left out.

    >>> methods_text([]).rows[1].says
    'not recorded'
    """
    rows = tuple(
        MethodsRow(item=one.item, what=one.what, says=one.says(cases) or NOT_RECORDED)
        for one in SLOTS
    )
    return Methods(
        paragraph=" ".join(_sentences(rows)),
        rows=rows,
        where_from=tuple(_where(len(cases))),
        notes=_NOTES,
    )


def _sentences(rows: Iterable[MethodsRow]) -> Iterable[str]:
    """Sentences by subject under the heading of their item; each slot by name."""
    item, parts = "", list[str]()
    for one in rows:
        its_item = one.item.rstrip("abc")
        if parts and (its_item != item or one.what in _BEGINS):
            yield _sentence(parts)
            parts = []
        if its_item != item:
            item = its_item
            yield f"{_HEADINGS[item]}."
        parts.append(f"{one.what[:1].lower()}{one.what[1:]}: {one.says}")
    yield _sentence(parts)


def _sentence(parts: Iterable[str]) -> str:
    return f"{_capital('; '.join(parts))}."


def _where(count: int) -> Iterable[WhereFrom]:
    for key in _ITEMS:
        row = fact("records_standards", key)
        yield WhereFrom(
            source="records_standards",
            how_known=row.how_known.value if row.how_known else "memory",
            text=f"{row.key}: {row.quantity}. {row.source}.",
        )
    yield WhereFrom(
        source="arithmetic",
        how_known="computed",
        text=f"Medians and ranges of what was entered of {count} animal{'s' * (count != 1)}.",
    )


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"
