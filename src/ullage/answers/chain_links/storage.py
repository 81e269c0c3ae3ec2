"""Does what stands in store here stay within the code that the site follows?"""

from collections.abc import Iterator, Mapping

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
from ullage.answers.chain_things import Chain, Stored
from ullage.answers.words import figure, number
from ullage.core.gas import Gas
from ullage.core.units import convert
from ullage.reference import Sourced, sourced

__all__ = ["CODES", "LINK", "storage"]

#: Code -> its name, and the rows whose quantities change what it asks, smallest first.
CODES: Mapping[str, tuple[str, tuple[str, ...]]] = {
    "nfpa99": ("NFPA 99, a smoke compartment", ("nfpa99.open_cu_ft", "nfpa99.room_cu_ft")),
    "fire_code": ("Fire code, a control area without sprinklers", ("fire_code.oxidiser_cu_ft",)),
    "new_york": ("New York City", ("new_york.room_scf", "new_york.high_hazard_scf")),
    "osha": ("29 CFR 1910.104, connected", ("osha.bulk_connected_cu_ft",)),
}
OXIDISING = frozenset({Gas.OXYGEN, Gas.NITROUS_OXIDE})
COUNTED = "Oxygen and nitrous oxide are counted; cylinders in use and at hand are left out."
APART = "Full and empty cylinders apart and marked; nothing that burns beside them."


def storage(chain: Chain) -> Answer:
    """The tally of stored oxidising gas against the thresholds of the site's code."""
    found = chain.storage
    question = "Is the store within its code?"
    if found.stored is None:
        return judge(question, [open_question(found, "stored")])
    tally_cu_ft = _tally_cu_ft(found.stored)
    extras = Extras(
        value=tally_cu_ft,
        unit="cu ft",
        steps=tuple(_steps(found.stored)),
        views=tuple(_views(found.code, tally_cu_ft)),
        assumptions=(COUNTED,),
        cautions=(APART,),
        rests_on=(printed("storage", "nfpa99.in_use"), printed("storage", "apart")),
    )
    return judge(question, _findings(chain, tally_cu_ft), extras)


def _tally_cu_ft(stored: tuple[Stored, ...]) -> float:
    litres = sum(one.contents_l * one.count for one in stored if one.gas in OXIDISING)
    return convert(litres, "L", "volume", "cu ft")


def _findings(chain: Chain, tally_cu_ft: float) -> Iterator[Finding]:
    found = chain.storage
    if found.code is None or found.code not in CODES:
        yield open_question(found, "code")
        return
    code, keys = CODES[found.code]
    limit = sourced("storage", _deciding(keys, tally_cu_ft))
    said = number(tally_cu_ft, "cu ft")
    if tally_cu_ft <= limit.value:
        yield fine(f"{said} is within {limit.value:g} cu ft. {code}.", where_from(limit))
    else:
        yield from _over(chain, f"{said} passes {limit.value:g} cu ft. {code}.", limit)


def _deciding(keys: tuple[str, ...], tally_cu_ft: float) -> str:
    """The largest quantity that is passed; the smallest one while none is."""
    passed = [key for key in keys if tally_cu_ft > sourced("storage", key).value]
    return passed[-1] if passed else keys[0]


def _over(chain: Chain, says: str, limit: Sourced) -> Iterator[Finding]:
    todo = "Move cylinders elsewhere, or store them in the enclosure that the code asks for."
    extra = (where_from(limit), *_asked_for(chain.storage.code or ""))
    if chain.storage.enclosed is None:
        yield look_again(says, todo, *extra)
        yield open_question(chain.storage, "enclosed")
    elif chain.storage.enclosed:
        yield fine(f"{says} The store has the enclosure that it asks for.", *extra)
    else:
        yield stop(f"{says} The store has no such enclosure.", todo, *extra)


def _asked_for(code: str) -> Iterator[WhereFrom]:
    if code == "nfpa99":
        yield printed("storage", "nfpa99.between")
    if code == "fire_code":
        yield printed("storage", "fire_code.veterinary")


def _steps(stored: tuple[Stored, ...]) -> Iterator[Step]:
    for one in stored:
        whole = convert(one.contents_l * one.count, "L", "volume", "cu ft")
        counted = "" if one.gas in OXIDISING else "not counted"
        yield Step(
            what=f"{one.count} of {one.gas}, {figure(one.contents_l)} L each",
            result=number(whole, "cu ft"),
            note=counted,
        )


def _views(chosen: str | None, tally_cu_ft: float) -> Iterator[View]:
    for code, (words, keys) in CODES.items():
        decides = _deciding(keys, tally_cu_ft) if code == chosen else ""
        for key in keys:
            row = sourced("storage", key)
            yield row_view(words, row, f"{row.value:g} cu ft", chosen=key == decides)


LINK = Link(name="storage", title="Storage", answer=storage)
