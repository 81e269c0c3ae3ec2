"""Addresses of the supply app."""

from django.urls import path

from ullage.web.supply.views import change, cylinders, labels, readings, sources

app_name = "supply"

urlpatterns = [
    path("supplies/", cylinders.supplies, name="list"),
    path("supplies/scan/", cylinders.scan, name="scan"),
    path("supplies/receive/", cylinders.receive, name="receive"),
    path("supplies/identify/", cylinders.identify, name="identify"),
    path("supplies/labels/", labels.choose, name="labels"),
    path("supplies/labels.pdf", labels.sheet, name="labels_pdf"),
    path("c/<uuid:code>/", cylinders.cylinder, name="cylinder"),
    path("c/<uuid:code>/answers/", cylinders.answers, name="answers"),
    path("c/<uuid:code>/read/", readings.read, name="read"),
    path("c/<uuid:code>/valve/", readings.valve, name="valve"),
    path("c/<uuid:code>/watch/", readings.watch, name="watch"),
    path("c/<uuid:code>/chart/", readings.chart, name="chart"),
    path("c/<uuid:code>/history/", cylinders.history, name="history"),
    path("c/<uuid:code>/correct/", cylinders.correct, name="correct"),
    path("c/<uuid:code>/connect/", cylinders.connect, name="connect"),
    path("c/<uuid:code>/move/", cylinders.move, name="move"),
    path("c/<uuid:code>/round/<slug:step>/", cylinders.round_step, name="round"),
    path("readings/<uuid:code>/amend/", readings.amend, name="amend"),
    path("readings/<uuid:code>/note/", readings.note, name="note"),
    path("readings/<uuid:code>/said/", readings.said, name="said"),
    path("changes/<uuid:code>/", change.show, name="change"),
    path("changes/<uuid:code>/back/", change.back, name="change_back"),
    path("changes/<uuid:code>/end/", change.give_up, name="change_end"),
    path("changes/<uuid:code>/take/", change.take, name="change_take"),
    path("changes/<uuid:code>/<slug:name>/", change.step, name="change_step"),
    path("sources/add/", sources.add, name="source_add"),
    path("sources/<uuid:code>/", sources.source, name="source"),
    path("sources/<uuid:code>/edit/", sources.edit, name="source_edit"),
    path("sources/<uuid:code>/flow/", sources.flow, name="flow"),
    path("sources/<uuid:code>/duty/", sources.duty, name="duty"),
    path("sources/<uuid:code>/retire/", sources.retire, name="source_retire"),
    path("sources/<uuid:code>/restore/", sources.restore, name="source_restore"),
    path("sources/<uuid:code>/change/", change.begin, name="change_begin"),
]
