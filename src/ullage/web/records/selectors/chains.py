"""Records and registers as the files that the verification reads."""

from collections.abc import Iterable

from ullage.answers.record.chained import Chained
from ullage.answers.record.exported import export_chain
from ullage.answers.record.signed import HeadSignature
from ullage.web.cases.selectors import (
    Record,
    RegisterLine,
    SignedHead,
    SignedRegister,
    chain_of,
)
from ullage.web.sites.selectors import Site

__all__ = ["chain_bytes", "register_bytes", "register_of"]


def chain_bytes(record: Record, count: int | None = None) -> bytes:
    """A record as a file, with the signatures of its heads; up to a line where one is named."""
    heads = SignedHead.objects.filter(record=record).order_by("count", "pk")
    if count is not None:
        heads = heads.filter(count__lte=count)
    return export_chain(
        chain_of(record, most=count), str(record.code), signatures=_signatures(heads)
    )


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
