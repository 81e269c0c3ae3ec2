"""Does what stands in store here stay within the code that the site follows?"""

from collections.abc import Iterable, Iterator, Mapping

from ullage.answers.answer import Answer, Step, View, WhereFrom
from ullage.answers.chain_links.judge import (
    Extras,
    Finding,
    Link,
    fine,
    judge,
    look_again,
    open_question,
    stop,
)
from ullage.answers.chain_links.rows import printed, row_view, where_from
from ullage.answers.chain_things import Chain, Storage, Stored
from ullage.answers.held import shown_l
from ullage.answers.things import Place
from ullage.answers.volumes import both_units, first_unit, in_first_unit, limit_text
from ullage.answers.words import figure
from ullage.core.gas import Gas
from ullage.core.units import convert
from ullage.reference import Sourced, sourced

__all__ = ["CODES", "LINK", "OXIDISING", "counted_l", "storage", "store_tally"]

#: Code -> its name, and the rows whose quantities change what it asks, smallest first.
CODES: Mapping[str, tuple[str, tuple[str, ...]]] = {
    "nfpa99": ("NFPA 99, a smoke compartment", ("nfpa99.open_cu_ft", "nfpa99.room_cu_ft")),
    "fire_code": ("Fire code, a control area without sprinklers", ("fire_code.oxidiser_cu_ft",)),
    "new_york": ("New York City", ("new_york.room_scf", "new_york.high_hazard_scf")),
    "osha": ("29 CFR 1910.104, connected", ("osha.bulk_connected_cu_ft",)),
}
OXIDISING = frozenset({Gas.OXYGEN, Gas.NITROUS_OXIDE})
COUNTED = "Oxygen and nitrous oxide are counted; cylinders in use and at hand are left out."
LOCAL = "The thresholds of each code belong to that code alone; the local authority decides."
APART = "Full and empty cylinders apart and marked; nothing that burns beside them."


def storage(chain: Chain) -> Answer:
    """The tally of stored oxidising gas against the thresholds of the site's code."""
    return store_tally(chain.storage, chain.place)


def store_tally(found: Storage, place: Place) -> Answer:
    """The same for a store by itself."""
    question = "Is the store within its code?"
    if found.stored is None:
        return judge(question, [open_question(found, "stored")])
    tally_l = counted_l(found.stored)
    extras = Extras(
        value=in_first_unit(tally_l, place),
        unit=first_unit(place),
        steps=tuple(_steps(found.stored, place)),
        views=tuple(_views(found.code, tally_l, place)),
        assumptions=(COUNTED,),
        cautions=(APART, LOCAL),
        rests_on=(printed("storage", "nfpa99.in_use"), printed("storage", "apart")),
    )
    return judge(question, _findings(found, tally_l, place), extras)


def counted_l(stored: Iterable[Stored]) -> float:
    """[L] of what a code counts: oxygen and nitrous oxide."""
    return sum(one.contents_l * one.count for one in stored if one.gas in OXIDISING)


def _findings(found: Storage, tally_l: float, place: Place) -> Iterator[Finding]:
    if found.code is None or found.code not in CODES:
        yield open_question(found, "code")
        return
    code, keys = CODES[found.code]
    limit = sourced("storage", _deciding(keys, tally_l))
    said, allowed = both_units(tally_l, place), limit_text(limit.value, place)
    if _cu_ft(tally_l) <= limit.value:
        yield fine(f"{said} is within {allowed}. {code}.", where_from(limit))
    else:
        yield from _over(found, f"{said} passes {allowed}. {code}.", limit)


def _cu_ft(litres: float) -> float:
    return convert(litres, "L", "volume", "cu ft")


def _deciding(keys: tuple[str, ...], tally_l: float) -> str:
    """The largest quantity that is passed; the smallest one while none is."""
    passed = [key for key in keys if _cu_ft(tally_l) > sourced("storage", key).value]
    return passed[-1] if passed else keys[0]


def _over(found: Storage, says: str, limit: Sourced) -> Iterator[Finding]:
    todo = "Move cylinders elsewhere, or store them in the enclosure that the code asks for."
    extra = (where_from(limit), *_asked_for(found.code or ""))
    if found.enclosed is None:
        yield look_again(says, todo, *extra)
        yield open_question(found, "enclosed")
    elif found.enclosed:
        yield fine(f"{says} The store has the enclosure that it asks for.", *extra)
    else:
        yield stop(f"{says} The store has no such enclosure.", todo, *extra)


def _asked_for(code: str) -> Iterator[WhereFrom]:
    if code == "nfpa99":
        yield printed("storage", "nfpa99.between")
    if code == "fire_code":
        yield printed("storage", "fire_code.veterinary")


def _steps(stored: tuple[Stored, ...], place: Place) -> Iterator[Step]:
    for one in stored:
        counted = "" if one.gas in OXIDISING else "not counted"
        yield Step(
            what=f"{one.count} of {one.gas}, {figure(shown_l(one.contents_l, place))} L each",
            result=both_units(one.contents_l * one.count, place),
            note=counted,
        )


def _views(chosen: str | None, tally_l: float, place: Place) -> Iterator[View]:
    for code, (words, keys) in CODES.items():
        decides = _deciding(keys, tally_l) if code == chosen else ""
        for key in keys:
            row = sourced("storage", key)
            yield row_view(words, row, limit_text(row.value, place), chosen=key == decides)


LINK = Link(name="storage", title="Storage", answer=storage)
