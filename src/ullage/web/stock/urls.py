"""Addresses of the stock app."""

from django.urls import path

from ullage.web.stock.views import fitted, orders, shelves, storage

app_name = "stock"

urlpatterns = [
    path("", shelves.listed, name="list"),
    path("rule/", shelves.rule, name="rule"),
    path("add/<slug:kind>/", shelves.add, name="add"),
    path("order/", orders.listed, name="order"),
    path("order/list.csv", orders.as_csv, name="order_csv"),
    path("order/list.pdf", orders.as_pdf, name="order_pdf"),
    path("orders/<uuid:code>/receive/", orders.receive, name="receive"),
    path("orders/<uuid:code>/cancel/", orders.cancel, name="cancel"),
    path("moves/<uuid:code>/back/", shelves.back, name="move_back"),
    path("fitted/", fitted.listed, name="fitted_list"),
    path("fitted/add/<slug:kind>/", fitted.add, name="fitted_add"),
    path("fitted/<uuid:code>/", fitted.one, name="fitted"),
    path("fitted/<uuid:code>/out/", fitted.out, name="fitted_out"),
    path("fitted/<uuid:code>/note/<slug:kind>/", fitted.note, name="note"),
    path("notes/<uuid:code>/back/", fitted.back, name="note_back"),
    path("notes/<uuid:code>/said/", fitted.said, name="note_said"),
    path("storage/", storage.listed, name="areas"),
    path("storage/add/", storage.add, name="area_add"),
    path("storage/<uuid:code>/", storage.one, name="area"),
    path("storage/<uuid:code>/edit/", storage.edit, name="area_edit"),
    path("storage/<uuid:code>/look/", storage.look, name="area_look"),
    path("<uuid:code>/", shelves.item, name="item"),
    path("<uuid:code>/edit/", shelves.edit, name="edit"),
    path("<uuid:code>/move/", shelves.move, name="move"),
    path("<uuid:code>/used/", shelves.use_one, name="use_one"),
    path("<uuid:code>/order/", orders.place, name="place"),
    path("<uuid:code>/retire/", shelves.retire, name="retire"),
    path("<uuid:code>/keep/", shelves.keep, name="keep"),
]
