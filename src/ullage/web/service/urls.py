"""Addresses of the service app."""

from django.urls import path

from ullage.web.service.views import calendar, due, events, papers, rules

app_name = "service"

urlpatterns = [
    path("", due.listed, name="due"),
    path("machine/<uuid:code>/", papers.machine, name="machine"),
    path("machine/<uuid:code>/pdf/", papers.machine_pdf, name="machine_pdf"),
    path("machine/<uuid:code>/add/", events.machine_add, name="machine_add"),
    path("part/<uuid:code>/", papers.part, name="part"),
    path("part/<uuid:code>/add/", events.part_add, name="part_add"),
    path("part/<uuid:code>/test/", events.test, name="test"),
    path("event/<uuid:code>/", events.one, name="event"),
    path("event/<uuid:code>/withdraw/", events.withdraw, name="withdraw"),
    path("file/<uuid:code>/", events.paper, name="file"),
    path("rules/", rules.listed, name="rules"),
    path("rules/interval/", rules.interval, name="interval"),
    path("rules/limit/", rules.limit, name="limit"),
    path("calendar/", calendar.listed, name="calendar"),
    path("calendar/<uuid:code>/revoke/", calendar.revoke, name="revoke"),
    path("calendar/<str:secret>.ics", calendar.feed, name="feed"),
]
