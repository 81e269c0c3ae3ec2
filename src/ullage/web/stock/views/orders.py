"""What to order today: on the page, on paper, as a table; orders placed, received, cancelled."""

import csv
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from ullage.core.errors import UllageError
from ullage.web.shared.access import at_site, enter
from ullage.web.shared.display import clock
from ullage.web.shared.http import SiteRequest
from ullage.web.shared.print import render_pdf
from ullage.web.stock.forms import CancelForm, OrderForm, ReceiveForm
from ullage.web.stock.selectors import (
    ItemKind,
    StockOrder,
    order_for,
    service_of,
    to_order,
)
from ullage.web.stock.services import order_add, order_cancel, order_receive
from ullage.web.stock.views.shelves import item_at, item_view

__all__ = ["as_csv", "as_pdf", "cancel", "listed", "place", "receive"]

_PAPER = {"US": "us-letter", "CA": "us-letter"}


@require_GET
@at_site("look")
def listed(request: SiteRequest) -> HttpResponse:
    """What to order today, and what cannot be told yet."""
    lines = to_order(request.site)
    known = {
        "lines": [(row, line) for row, line in lines if not line.is_open],
        "open": [(row, line) for row, line in lines if line.is_open],
        "service": service_of(request.site),
    }
    return render(request, "stock/order.html", known)


@require_GET
@at_site("look")
def as_csv(request: SiteRequest) -> HttpResponse:
    """The list as a table that other programs open."""
    day = timezone.localdate().isoformat()
    response = HttpResponse(content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="to-order-{day}.csv"'
    response["X-Content-Type-Options"] = "nosniff"
    table = csv.writer(response)
    table.writerow(["order", "of", "name", "there", "on order", "order at", "why"])
    for row, line in to_order(request.site):
        if line.is_open:
            continue
        shelf = line.shelf
        table.writerow(
            [
                line.to_order,
                shelf.counted(line.to_order).partition(" ")[2],
                _plain(row.item.name),
                shelf.full,
                shelf.on_order,
                row.reorder.point,
                _plain(line.reason),
            ]
        )
    return response


def _plain(text: str) -> str:
    """Words that no table program takes for a formula."""
    return f"'{text}" if text[:1] in {"=", "+", "-", "@", "\t", "\r"} else text


@require_GET
@at_site("look")
def as_pdf(request: SiteRequest) -> HttpResponse:
    """The list on paper, with room for the number of the order."""
    now = timezone.localtime()
    lines = to_order(request.site)
    data: dict[str, Any] = {
        "title": "What to order",
        "site": request.site.name,
        "date": f"{now:%A} {now.day} {now:%B %Y}",
        "worked_out": clock(now),
        "paper": _PAPER.get(request.site.country, "a4"),
        "note": "Invented demo data." if request.site.is_demo else "",
        "service": _service_words(service_of(request.site)),
        "lines": [
            {
                "count": line.shelf.counted(line.to_order),
                "name": row.item.name,
                "why": line.reason,
                "answer": line.answer,
            }
            for row, line in lines
            if not line.is_open
        ],
        "open": [
            {"name": row.item.name, "asks": line.reason} for row, line in lines if line.is_open
        ],
    }
    response = HttpResponse(render_pdf("order", data), content_type="application/pdf")
    name = f"to-order-{now:%Y-%m-%d}.pdf"
    response["Content-Disposition"] = f'inline; filename="{name}"'
    return response


def _service_words(share: float | None) -> str:
    if share is None:
        return "No service is chosen here, so no reorder point is given."
    return f"Chosen here: {100 * share:g} % of order cycles without anybody in want."


@require_POST
@at_site("look")
def place(request: SiteRequest, code: UUID) -> HttpResponse:
    """Write down that something was ordered."""
    found = item_at(request, code, "operate")
    form = OrderForm(request.POST, auto_id="order_%s")
    if not form.is_valid():
        return item_view(request, found, 422, order=form)
    try:
        made = order_add(item=found, by=request.user, **form.cleaned_data)
    except UllageError as refusal:
        form.add_error("count", str(refusal))
        return item_view(request, found, 422, order=form)
    messages.success(request, f"{found}: {made.count} on order.")
    return redirect("stock:item", code=code)


def _order_at(request: SiteRequest, code: UUID) -> StockOrder:
    found = order_for(request.user, code)
    enter(request, found.item.site, "operate")
    return found


@require_POST
@at_site("look")
def receive(request: SiteRequest, code: UUID) -> HttpResponse:
    """Write down what came of an order; cylinders are received one by one at the supply."""
    found = _order_at(request, code)
    form = ReceiveForm(request.POST)
    if not form.is_valid():
        return item_view(request, found.item, 422, received=(found, form))
    try:
        order_receive(order=found, by=request.user, **form.cleaned_data)
    except UllageError as refusal:
        form.add_error("count", str(refusal))
        return item_view(request, found.item, 422, received=(found, form))
    if found.item.kind == ItemKind.CYLINDER:
        messages.success(request, "The order is closed. Now receive each cylinder, so it counts.")
        return redirect("supply:receive")
    messages.success(request, f"{found.item}: received, {form.cleaned_data['count']}.")
    return redirect("stock:item", code=found.item.code)


@require_POST
@at_site("look")
def cancel(request: SiteRequest, code: UUID) -> HttpResponse:
    """Cancel an order, and say why."""
    found = _order_at(request, code)
    form = CancelForm(request.POST)
    if not form.is_valid():
        return item_view(request, found.item, 422, cancelled=(found, form))
    try:
        order_cancel(order=found, why=form.cleaned_data["why"])
    except UllageError as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, f"{found.item}: the order is cancelled.")
    return redirect("stock:item", code=found.item.code)
