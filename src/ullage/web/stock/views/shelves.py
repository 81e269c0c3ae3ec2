"""Pages of shelves: the list, one thing with its ledger, its facts, the service of the site."""

from typing import Any
from uuid import UUID, uuid4

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from ullage.core.errors import UllageError
from ullage.web.shared.access import at_site, enter
from ullage.web.shared.http import SiteRequest
from ullage.web.sites.selectors import rooms_of
from ullage.web.stock.forms import ItemForm, MoveForm, OrderForm, RuleForm, UseOneForm
from ullage.web.stock.selectors import (
    ItemKind,
    MoveKind,
    StockItem,
    canister_rows_waiting,
    fitted_worn,
    item_for,
    item_page,
    move_for,
    service_of,
    shelf_rows,
    stock_changes,
)
from ullage.web.stock.services import (
    MoveFacts,
    item_add,
    item_change,
    item_retire,
    move_add,
    move_take_back,
    rule_set,
)

__all__ = ["add", "back", "edit", "item", "keep", "listed", "move", "retire", "rule", "use_one"]


def item_at(request: SiteRequest, code: UUID, what: str = "look") -> StockItem:
    """The thing, and its site entered; 404 for strangers, 403 for too small a role."""
    found = item_for(request.user, code)
    enter(request, found.site, what)
    return found


@require_GET
@at_site("look")
def listed(request: SiteRequest) -> HttpResponse:
    """The shelves of the site: what is there, and when to order."""
    rows = shelf_rows(request.site)
    known = {
        "rows": [(row, uuid4()) for row in rows],
        "due": sum(1 for row in rows if row.reorder.to_order),
        "kinds": ItemKind.choices,
        "service": service_of(request.site),
        "worn": fitted_worn(request.site),
        "waiting": canister_rows_waiting(request.site),
        "retired": shelf_rows(request.site, retired=True) if request.may("manage") else [],
    }
    return render(request, "stock/list.html", known)


@require_GET
@at_site("look")
def item(request: SiteRequest, code: UUID) -> HttpResponse:
    """One thing: what is there, when to order, and its ledger."""
    return item_view(request, item_at(request, code))


def item_view(
    request: SiteRequest, found: StockItem, status: int = 200, **forms: Any
) -> HttpResponse:
    """The page of one thing, with the forms as they stand."""
    known = {
        "page": item_page(found),
        "item": found,
        "counts_itself": found.kind == ItemKind.CYLINDER,
        "move_form": forms.get("move") or MoveForm(initial={"code": uuid4()}, auto_id="move_%s"),
        "order_form": forms.get("order")
        or OrderForm(initial={"code": uuid4()}, auto_id="order_%s"),
        "received": forms.get("received"),
        "cancelled": forms.get("cancelled"),
        "open": next(iter(forms), ""),
    }
    return render(request, "stock/item.html", known, status=status)


@require_POST
@at_site("look")
def move(request: SiteRequest, code: UUID) -> HttpResponse:
    """Write down what happened at a shelf."""
    found = item_at(request, code, "operate")
    form = MoveForm(request.POST, auto_id="move_%s")
    if not form.is_valid():
        return item_view(request, found, 422, move=form)
    typed = form.cleaned_data
    facts = MoveFacts(
        kind=typed["kind"],
        count=typed["count"],
        at=typed["at"],
        why=typed["why"],
        code=typed["code"],
    )
    try:
        move_add(item=found, facts=facts, by=request.user)
    except UllageError as refusal:
        form.add_error("count", str(refusal))
        return item_view(request, found, 422, move=form)
    words = dict(form.fields["kind"].choices)[typed["kind"]]  # type: ignore[attr-defined]  # a ChoiceField
    messages.success(request, f"{found}: {words.lower()}, {typed['count']}. It can be taken back.")
    return redirect("stock:item", code=code)


@require_POST
@at_site("look")
def use_one(request: SiteRequest, code: UUID) -> HttpResponse:
    """One was taken from the shelf: one touch, and one to take it back."""
    found = item_at(request, code, "operate")
    form = UseOneForm(request.POST)
    if not form.is_valid():
        messages.error(request, "This page was too old: try once more.")
        return redirect("stock:list")
    facts = MoveFacts(kind=MoveKind.USED, count=1, code=form.cleaned_data["code"])
    try:
        move_add(item=found, facts=facts, by=request.user)
    except UllageError as refusal:
        messages.error(request, f"{found}: {refusal}")
        return redirect("stock:item", code=code)
    said = f"{found}: one {found.piece} used. Take it back in its ledger if that was a slip."
    messages.success(request, said)
    return redirect("stock:list")


@require_POST
@at_site("look")
def back(request: SiteRequest, code: UUID) -> HttpResponse:
    """Take a line of the ledger back by a counter-move."""
    found = move_for(request.user, code)
    enter(request, found.item.site, "operate")
    try:
        move_take_back(move=found, by=request.user)
    except UllageError as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, "Taken back; both lines stay in the ledger.")
    return redirect("stock:item", code=found.item.code)


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("manage")
def add(request: SiteRequest, kind: str) -> HttpResponse:
    """Keep a thing of a kind in store."""
    if kind not in ItemKind.values:
        raise Http404
    return _form(request, kind, None)


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("look")
def edit(request: SiteRequest, code: UUID) -> HttpResponse:
    """Change what is written of a thing."""
    found = item_at(request, code, "manage")
    return _form(request, found.kind, found)


def _form(request: SiteRequest, kind: str, found: StockItem | None) -> HttpResponse:
    initial = (
        ItemForm.shown(found)
        if found
        else {"pack": 1, "every_days": 7 * 1440.0, "look_days": 0.0, "code": uuid4()}
    )
    form = ItemForm(
        request.POST or None,
        site=request.site,
        kind=kind,
        rooms=rooms_of(request.site),
        initial=initial,
    )
    if request.method == "POST" and form.is_valid():
        try:
            facts = form.facts()
            saved = (
                item_change(item=found, facts=facts, by=request.user)
                if found
                else item_add(site=request.site, kind=kind, facts=facts, by=request.user)
            )
        except UllageError as refusal:
            form.add_error("name", str(refusal))
        else:
            messages.success(request, f"{saved}: saved.")
            return redirect("stock:item", code=saved.code)
    known = {"form": form, "item": found, "kind": ItemKind(kind)}
    return render(request, "stock/form.html", known, status=422 if form.errors else 200)


@require_POST
@at_site("look")
def retire(request: SiteRequest, code: UUID) -> HttpResponse:
    """Keep a thing no longer; its ledger stays."""
    return _keep(request, code, back=False)


@require_POST
@at_site("look")
def keep(request: SiteRequest, code: UUID) -> HttpResponse:
    """Keep a thing again."""
    return _keep(request, code, back=True)


def _keep(request: SiteRequest, code: UUID, *, back: bool) -> HttpResponse:
    found = item_at(request, code, "manage")
    try:
        item_retire(item=found, by=request.user, back=back)
    except UllageError as refusal:
        messages.error(request, str(refusal))
    else:
        words = "is kept again" if back else "is no longer kept; its ledger stays"
        messages.success(request, f"{found} {words}.")
    return redirect("stock:item", code=code)


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("manage")
def rule(request: SiteRequest) -> HttpResponse:
    """Choose how often a shelf may stand empty when something is wanted."""
    share = service_of(request.site)
    form = RuleForm(
        request.POST or None,
        site=request.site,
        initial={"service": "" if share is None else f"{share:g}"},
    )
    if request.method == "POST" and form.is_valid():
        rule_set(site=request.site, service_share=form.share(), by=request.user)
        messages.success(request, "Saved.")
        return redirect("stock:list")
    known = {"form": form, "changes": stock_changes(request.site, "rule")}
    return render(request, "stock/rule.html", known, status=422 if form.errors else 200)
