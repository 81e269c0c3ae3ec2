"""One source on the board: what is left, for how long, what today needs."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from ullage.answers import Answer
from ullage.web.days.lanes import Clock
from ullage.web.days.selectors.answers import ChainSaid, Outlook
from ullage.web.machines.selectors import Machine, taken_out
from ullage.web.shared.bars import Level, level_of
from ullage.web.shared.display import day_and_clock
from ullage.web.sites.selectors import Site
from ullage.web.supply.selectors import BoardCylinder, BoardRow

__all__ = ["BoardSaid", "BoardSeen", "SourceLine", "source_line"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceLine:
    """One source of a machine: what is left, for how long, what today needs."""

    row: BoardRow
    words: str
    left: Answer | None
    lasts: Answer | None
    lasts_words: str
    needed: Answer | None
    bar: Level | None
    is_estimate: bool
    is_reserve: bool
    question: str = ""


@dataclass(frozen=True, slots=True)
class BoardSeen:
    """From where one machine's row is drawn."""

    machine: Machine
    site: Site
    day: date
    now: datetime
    clock: Clock
    ready: Answer

    @property
    def is_out(self) -> bool:
        """True where its state, or that of a part, has taken it out of use."""
        return taken_out(self.ready)


@dataclass(frozen=True, slots=True)
class BoardSaid:
    """What was worked out, by the name of the source; and the chains of this machine."""

    outlooks: dict[str, Outlook]
    questions: dict[str, str]
    chains: tuple[ChainSaid, ...] = ()


def source_line(seen: BoardSeen, row: BoardRow, said: BoardSaid) -> SourceLine:
    """One source as the board shows it."""
    outlook = said.outlooks.get(row.source.name)
    left = outlook.left if outlook else _sole_contents(row)
    lasts = outlook.lasts if outlook else None
    needed = outlook.needed if outlook else None
    return SourceLine(
        row=row,
        words=_words(row),
        left=left,
        lasts=lasts,
        lasts_words=_at_flow(lasts),
        needed=needed,
        bar=_bar(row, left, needed, seen),
        is_estimate=_is_old(row, seen),
        is_reserve=row.source.reserve_of_id is not None,
        question=said.questions.get(row.source.name, ""),
    )


def _at_flow(lasts: Answer | None) -> str:
    """The flow that a time is for: its sentence without the number and the range it repeats."""
    if lasts is None:
        return ""
    said = lasts.sentence.removeprefix(lasts.number_text).removesuffix(".")
    flow, _, rest = said.removesuffix(f" ({lasts.range_text})").partition(", ")
    return f"{flow} by today’s plan" if "today" in rest else flow


def _sole_contents(row: BoardRow) -> Answer | None:
    known = [one.kept.contents for one in row.cylinders if one.kept.contents is not None]
    return known[0] if len(known) == 1 else None


def _words(row: BoardRow) -> str:
    """``Alder, 71 bar, 07:52``: the cylinder and what was last read on it."""
    if not row.cylinders:
        return row.source.get_kind_display()
    duty = _on_duty(row)
    names = " and ".join(one.cylinder.name for one in duty[:2])
    if len(duty) > 2:
        names = f"{duty[0].cylinder.name} and {len(duty) - 1} more"
    read = [one.reading for one in duty if one.reading is not None]
    if not read:
        return f"{names}, not read yet"
    latest = max(read, key=lambda one: one.at)
    return f"{names}, {latest.typed}, {day_and_clock(latest.at)}"


def _on_duty(row: BoardRow) -> list[BoardCylinder]:
    """The cylinders that give gas now: the duty bank of a manifold, else all of them."""
    if row.source.kind != "manifold":
        return list(row.cylinders)
    duty = row.source.duty_bank or "A"
    return [one for one in row.cylinders if one.cylinder.bank == duty] or list(row.cylinders)


def _is_old(row: BoardRow, seen: BoardSeen) -> bool:
    """True when no gauge of the source was read within the hours the site asks for."""
    read = [one.reading.at for one in row.cylinders if one.reading is not None]
    limit = seen.now - timedelta(hours=seen.site.reading_stale_h)
    return bool(read) and max(read) < limit


def _bar(
    row: BoardRow, left: Answer | None, needed: Answer | None, seen: BoardSeen
) -> Level | None:
    if left is None or left.unit != "L" or not left.range_text:
        return None
    need = needed.value if needed else None
    words = f"{row.source.name}: {left.text}"
    if needed is not None:
        words += f"; today needs {needed.number_text}, what is kept back included"
    full = max(_full_l(row), left.high or 0.0, need or 0.0)
    return level_of(left, full, words, need=need, is_estimate=_is_old(row, seen))


def _full_l(row: BoardRow) -> float:
    """[L] How long the bar is: the litres on the labels, or volume times fill; never printed."""
    total = 0.0
    for one in row.cylinders:
        fill_kpa = one.cylinder.fill_gauge_kpa or 13_700.0
        total += one.cylinder.label_l or one.cylinder.water_capacity_l * fill_kpa / 101.325
    return total
