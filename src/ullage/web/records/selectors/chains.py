"""Records and registers as the files that the verification reads."""

from collections.abc import Iterable

from ullage.answers.record.chained import Chained
from ullage.answers.record.exported import export_chain
from ullage.answers.record.signed import HeadSignature
from ullage.answers.record.things import AnyLine
from ullage.answers.record.written import line_of_text
from ullage.web.cases.selectors import (
    Record,
    RegisterLine,
    SignedHead,
    SignedRegister,
    chain_of,
)
from ullage.web.sites.selectors import Site

__all__ = ["chain_bytes", "record_read", "register_bytes", "register_of"]


def chain_bytes(record: Record, count: int | None = None) -> bytes:
    """A record as a file, with the signatures of its heads; up to a line where one is named."""
    return _exported(record, chain_of(record, most=count))


def record_read(record: Record, count: int | None = None) -> tuple[tuple[AnyLine, ...], bytes]:
    """The lines of a record and the file that holds them, of one reading."""
    links = chain_of(record, most=count)
    return tuple(line_of_text(one.text) for one in links), _exported(record, links)


def _exported(record: Record, links: tuple[Chained, ...]) -> bytes:
    """Links as a file; heads that were signed meanwhile of later lines are left out."""
    heads = SignedHead.objects.filter(record=record, count__lte=len(links))
    signed = _signatures(heads.order_by("count", "pk"))
    return export_chain(links, str(record.code), signatures=signed)


def register_of(site: Site) -> tuple[Chained, ...]:
    """The lines of the register of a site."""
    rows = RegisterLine.objects.filter(site=site).order_by("order")
    return tuple(
        Chained(order=order, text=text, sum=found)
        for order, text, found in rows.values_list("order", "text", "sum")
    )


def register_bytes(site: Site) -> bytes:
    """The register of a site as a file, with the last signature of its head."""
    heads = SignedRegister.objects.filter(site=site).order_by("-count", "-pk")[:1]
    return export_chain(register_of(site), str(site.code), "register", _signatures(heads))


def _signatures(rows: Iterable[SignedHead | SignedRegister]) -> list[HeadSignature]:
    return [
        HeadSignature(count=one.count, sum=one.sum, at=one.at, key=one.key, signature=one.signature)
        for one in rows
    ]
