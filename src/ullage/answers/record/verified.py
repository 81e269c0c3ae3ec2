"""Whether an exported record, or the register of a site, is what was written."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ullage.answers.answer import Answer, Step, Verdict, WhereFrom
from ullage.answers.record.chained import START, Head, register_line
from ullage.answers.record.exported import ChainFile, read_export
from ullage.answers.record.fixed import read_fixed
from ullage.answers.record.signed import HeadSignature, fingerprint, public_hex, signature_holds
from ullage.answers.record.spotted import Spotted, spotted
from ullage.answers.record.things import Amendment, AnyLine, EntryText
from ullage.answers.record.written import line_of_content
from ullage.core.errors import PlanUnreadable

__all__ = ["Beside", "is_register", "verify_record", "verify_register"]

_FROM = WhereFrom(
    source="arithmetic",
    how_known="computed",
    text="SHA-256 sums and Ed25519 signatures worked out again from the file itself.",
)
_UNSEEN = (
    "Who holds database, key and every print can write a record anew; no sum shows that.",
    "A sum shows that something changed, not who changed it.",
)
_SIGN = "They are signed when its state changes, when somebody signs it, and in each backup."
_NO_KEY = "Verify it with the public key of the site, kept apart from the file."


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """What stands beside a chain where it is kept, and is looked at with it.

    ``register`` are the bytes of the exported register of the site: every head that it keeps of the
    record is compared. ``found`` is what was seen to be wrong around the chain itself; it is read
    last, after every record beside a register. While a chain ``is_growing``, lines at its end may
    stand under no signature yet.
    """

    register: bytes | None = None
    found: Sequence[Spotted] = ()
    is_growing: bool = False


def is_register(data: bytes) -> bool:
    """Whether a file says of itself that it is a register; what cannot be read is none."""
    try:
        return read_export(data).kind == "register"
    except PlanUnreadable:
        return False


def verify_record(data: bytes, keys: Sequence[str] = (), beside: Beside | None = None) -> Answer:
    """Whether an exported record is whole, unchanged, in its order, and signed by a key.

    Parameters
    ----------
    data : the bytes of the exported file.
    keys : public keys as PEM text, kept apart from the file; without any, nobody vouches for the
        record as a whole, and the answer says so.
    beside : what is looked at with it where it is kept; None: the file stands alone.

    Returns
    -------
    [1] lines that hold. Stop: what is wrong, line by line. Look again: it holds together, and no
    key vouches for it. Fine: it holds, and its head is signed with one of the keys.

    Raises
    ------
    UnreadableQuantity : a key that is none.
    """
    beside = beside or Beside()
    return _verified(data, keys, "record", lambda file: _in_register(file, beside), beside)


def verify_register(
    data: bytes,
    keys: Sequence[str] = (),
    records: Iterable[bytes] | None = None,
    beside: Beside | None = None,
) -> Answer:
    """Whether the register of a site is whole, and agrees with the records beside it.

    Parameters
    ----------
    data : the bytes of the exported register.
    keys : public keys as PEM text, kept apart from the file.
    records : every record of the site, exported; None: the register is looked at alone.
    beside : what is looked at with it where it is kept.

    Returns
    -------
    [1] lines that hold. Beside what `verify_record` finds: a record that is not there, one that was
    cut off or written anew after it was registered, one that was never registered.

    Raises
    ------
    UnreadableQuantity : a key that is none.
    """

    def others(file: ChainFile) -> Iterator[Spotted]:
        yield from _register(file)
        yield from _beside(file, records) if records is not None else ()

    return _verified(data, keys, "register", others, beside or Beside())


def _verified(
    data: bytes,
    keys: Sequence[str],
    kind: str,
    others: Callable[[ChainFile], Iterable[Spotted]],
    beside: Beside,
) -> Answer:
    known = {public_hex(one) for one in keys}
    try:
        file = read_export(data)
    except PlanUnreadable as why:
        return _answer(kind, None, [_of_file(str(why)), *beside.found], Verdict.STOP)
    if file.kind != kind:
        wrong = f"The file holds a {file.kind}, not a {kind}."
        return _answer(kind, file, [_of_file(wrong)], Verdict.STOP)
    found = [*spotted(file), *_shapes(file), *_signatures(file)]
    tail = list(_vouched(file, known))
    grows = beside.is_growing and _signed_to(file, known) is not None
    found += [*(() if grows else tail), *others(file), *beside.found]
    vouched = bool(known) and not tail
    verdict = Verdict.STOP if found else Verdict.FINE if vouched else Verdict.LOOK_AGAIN
    return _answer(kind, file, found, verdict, _signed_to(file, known) if tail else None)


def _signed_to(file: ChainFile, known: set[str]) -> int | None:
    """The last line under a signature of the keys given; None where there is no signature."""
    return max((one.count for one in file.signatures if one.key in known), default=None)


def _of_file(says: str) -> Spotted:
    return Spotted(where="The file", what="unreadable", says=says)


def _shapes(file: ChainFile) -> Iterator[Spotted]:
    """Lines that are chained and yet no lines of ours, or correct what is not there."""
    entries: set[str] = set()
    for place, text in enumerate(file.texts, start=1):
        says = ""
        try:
            content = read_fixed(text)
            read = _register_line if file.kind == "register" else line_of_content
            line: AnyLine | Mapping[str, Any] | None = read(content)
        except PlanUnreadable as why:
            says, line = str(why), None
        if isinstance(line, EntryText):
            entries.add(line.id)
        elif isinstance(line, Amendment) and line.of not in entries:
            says = f"It corrects {line.of[:40]!r}, which is no entry before it."
        if says:
            yield Spotted(where=f"Place {place}", what="unknown", says=says, place=place)


def _register_line(content: Mapping[str, Any]) -> Mapping[str, Any]:
    """The content of a line of a register; one that has not the parts of one is refused."""
    wanted = register_line(Head(kind="record", of="", count=0, sum=""), "", 1, "")
    if {name: type(one) for name, one in content.items()} != {
        name: type(one) for name, one in wanted.items()
    } or (content["line"], content["format"]) != (wanted["line"], wanted["format"]):
        raise PlanUnreadable("This is no line of a register as it is written here.")
    return content


def _head_at(file: ChainFile, count: int) -> Head | None:
    """The head that the chain had after so many lines."""
    if not 0 <= count <= len(file.sums):
        return None
    last = file.sums[count - 1] if count else START
    return Head(kind=file.kind, of=file.of, count=count, sum=last)


def _signatures(file: ChainFile) -> Iterator[Spotted]:
    """Signatures that are not of a head of this chain."""
    for one in file.signatures:
        head = _head_at(file, one.count)
        if head is None or not signature_holds(head, one):
            yield Spotted(
                where=f"Signature of {one.count} lines",
                what="does not hold",
                says=f"Key {fingerprint(one.key)} did not sign these {one.count} lines.",
            )


def _vouched(file: ChainFile, known: set[str]) -> Iterator[Spotted]:
    """With keys given, the head must be signed with one of them."""
    if not known or _vouching(file, known):
        return
    older = _signed_to(file, known)
    if older is not None:
        says = f"The lines after line {older} are under no signature of the keys given."
    else:
        says = "No signature is of the keys given."
    yield Spotted(where="The head", what="not signed", says=says)


def _vouching(file: ChainFile, known: set[str]) -> list[HeadSignature]:
    head = _head_at(file, len(file.sums))
    return [
        one
        for one in file.signatures
        if one.key in known and head is not None and signature_holds(head, one)
    ]


def _entries(file: ChainFile) -> Iterator[tuple[str, int, str]]:
    """Record, count and sum of every line of a register that can be read."""
    for text in file.texts:
        try:
            one: dict[str, Any] = read_fixed(text)
        except PlanUnreadable:
            continue
        record, count, last = (one.get(name) for name in ("record", "count", "sum"))
        if isinstance(record, str) and type(count) is int and isinstance(last, str):
            yield record, count, last


def _register(file: ChainFile) -> Iterator[Spotted]:
    """A record never gets shorter, and never another head at the same length."""
    last: dict[str, tuple[int, str]] = {}
    for record, count, one in _entries(file):
        before, was = last.get(record, (0, ""))
        if count < before:
            yield _of_record(record, "cut off", f"It went from {before} lines to {count}.")
        elif count == before and one != was:
            yield _of_record(record, "changed", f"Two heads are registered of {count} lines.")
        last[record] = count, one


def _of_record(record: str, what: str, says: str) -> Spotted:
    return Spotted(where=f"Record {record[:40]}", what=what, says=says)


def _beside(register: ChainFile, records: Iterable[bytes]) -> Iterator[Spotted]:
    """The records that are there, against what the register says of them."""
    heads: dict[str, list[tuple[int, str]]] = {}
    for record, count, one in _entries(register):
        heads.setdefault(record, []).append((count, one))
    there: set[str] = set()
    for place, data in enumerate(records, start=1):
        try:
            file = read_export(data)
        except PlanUnreadable as why:
            yield Spotted(where=f"Record file {place}", what="unreadable", says=str(why))
            continue
        there.add(file.of)
        yield from _of_chain(file)
        yield from _against(file, heads)
    for record in sorted(heads.keys() - there):
        count = heads[record][-1][0]
        yield _of_record(record, "missing", f"It is registered with {count} lines and not here.")


def _in_register(file: ChainFile, beside: Beside) -> Iterator[Spotted]:
    """A record against what the register of its site keeps of it."""
    if beside.register is None:
        return
    try:
        register = read_export(beside.register)
    except PlanUnreadable as why:
        yield Spotted(where="The register", what="unreadable", says=str(why))
        return
    heads = [(count, one) for record, count, one in _entries(register) if record == file.of]
    yield from _against(file, {file.of: heads} if heads else {})


def _of_chain(file: ChainFile) -> Iterator[Spotted]:
    wrong = spotted(file)
    if wrong:
        yield _of_record(file.of, "does not hold", f"{wrong[0].where}: {wrong[0].says}")


def _against(file: ChainFile, heads: Mapping[str, list[tuple[int, str]]]) -> Iterator[Spotted]:
    """One record against every head that the register keeps of it."""
    if file.of not in heads:
        yield _of_record(file.of, "not registered", "The register does not know it.")
    for count, one in heads.get(file.of, ()):
        head = _head_at(file, count)
        if head is None:
            yield _of_record(
                file.of,
                "cut off",
                f"It was registered with {count} lines and holds {len(file.sums)}.",
            )
        elif head.sum != one:
            yield _of_record(
                file.of, "changed", f"Its first {count} lines are not those registered."
            )


def _answer(
    kind: str,
    file: ChainFile | None,
    found: list[Spotted],
    verdict: Verdict,
    signed_to: int | None = None,
) -> Answer:
    total = len(file.texts) if file else 0
    bad = {one.place for one in found if one.place}
    named = f"The {kind} {file.of[:40]}" if file else f"The {kind}"
    return Answer(
        question=f"Is this {kind} what was written?",
        value=float(total - len(bad)),
        unit=f"of {total} lines hold",
        verdict=verdict,
        sentence=_sentence(named, total, found, verdict, signed_to),
        reasons=_reasons(found, verdict),
        steps=(
            *(Step(what=one.where, result=one.what, note=one.says) for one in found[:_MOST_TOLD]),
            *(_who(file) if file else ()),
        ),
        where_from=(_FROM,),
        cautions=_UNSEEN,
        todo=_SIGN if verdict is Verdict.LOOK_AGAIN and signed_to is not None else _todo(verdict),
    )


#: Of several findings these are named before what follows from them.
_FIRST = {"missing": 0, "added": 1, "changed": 2, "moved": 3}
#: So many findings are told one by one.
_MOST_TOLD = 100


def _sentence(
    named: str, total: int, found: list[Spotted], verdict: Verdict, signed_to: int | None
) -> str:
    lines = "1 line" if total == 1 else f"{total} lines"
    if verdict is Verdict.FINE:
        return f"{named} holds: {lines}, and its head is signed with a key that was given."
    if verdict is Verdict.LOOK_AGAIN and signed_to is not None:
        return f"{named} holds: {lines}; those after line {signed_to} are not signed yet."
    if verdict is Verdict.LOOK_AGAIN:
        return f"{named} holds together: {lines}; no key was given that would vouch for it."
    first = min(found, key=lambda one: _FIRST.get(one.what, len(_FIRST)))
    more = f" {len(found) - 1} more below." if len(found) > 1 else ""
    return f"{named} is not what was written: {first.where}, {first.what}.{more}"


def _reasons(found: list[Spotted], verdict: Verdict) -> tuple[str, ...]:
    if found:
        return tuple(dict.fromkeys(one.says for one in found[:3]))
    sums = "Every sum agrees with its line and with the line before it."
    if verdict is Verdict.FINE:
        return (sums, "The signature covers every line.")
    return (sums, "Somebody who can work out sums can write such a file anew.")


def _todo(verdict: Verdict) -> str:
    if verdict is Verdict.STOP:
        return (
            "Keep this file as it is, tell the lead, and compare it with a backup and the prints."
        )
    return _NO_KEY if verdict is Verdict.LOOK_AGAIN else ""


def _who(file: ChainFile) -> Iterator[Step]:
    """Who signed how much, by the key that the file itself names."""
    for one in file.signatures:
        yield Step(
            what=f"Signature of {one.count} lines",
            result=f"key {fingerprint(one.key)}",
            note=f"At {one.at[:40]}.",
        )
