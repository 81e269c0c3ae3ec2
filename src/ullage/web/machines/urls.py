"""Addresses of the machines app."""

from django.urls import path

from ullage.web.machines.views import chain, labels, machines, parts, states

app_name = "machines"

urlpatterns = [
    path("machines/", machines.listed, name="list"),
    path("machines/add/", machines.add, name="add"),
    path("machines/labels/", labels.choose, name="labels"),
    path("machines/labels.pdf", labels.sheet, name="labels_pdf"),
    path("machines/<uuid:code>/", machines.one, name="machine"),
    path("machines/<uuid:code>/edit/", machines.edit, name="edit"),
    path("machines/<uuid:code>/out/", states.out, name="out"),
    path("machines/<uuid:code>/back/", states.back, name="back"),
    path("machines/<uuid:code>/undo/", states.undo, name="undo"),
    path("machines/<uuid:code>/chain/<uuid:source>/", chain.chain, name="chain"),
    path("machines/<uuid:code>/chain/<uuid:source>/<slug:part>/", chain.look, name="look"),
    path("parts/", parts.listed, name="parts"),
    path("parts/add/", parts.choose, name="part_kinds"),
    path("parts/add/<slug:kind>/", parts.add, name="part_add"),
    path("p/<uuid:code>/", parts.one, name="part"),
    path("p/<uuid:code>/edit/", parts.edit, name="part_edit"),
    path("p/<uuid:code>/move/", parts.move, name="part_move"),
    path("p/<uuid:code>/move/back/", parts.move_back, name="part_move_back"),
    path("p/<uuid:code>/out/", states.part_out, name="part_out"),
    path("p/<uuid:code>/back/", states.part_back, name="part_back"),
    path("p/<uuid:code>/undo/", states.part_undo, name="part_undo"),
    path("p/<uuid:code>/retire/", parts.retire, name="part_retire"),
    path("p/<uuid:code>/restore/", parts.restore, name="part_restore"),
]
