"""Addresses of the checks app."""

from django.urls import path

from ullage.web.checks.views import checks, lists

app_name = "checks"

urlpatterns = [
    path("", checks.home, name="home"),
    path("lists/", lists.listed, name="lists"),
    path("lists/<slug:key>/", lists.one, name="list"),
    path("lists/<slug:key>/edit/", lists.edit, name="list_edit"),
    path("limits/", lists.limits, name="limits"),
    path("limits/leak/own/", lists.own_leak, name="own_leak"),
    path("limits/<slug:name>/", lists.limit, name="limit"),
    path("machine/<uuid:code>/", checks.machine, name="machine"),
    path("machine/<uuid:code>/changed/", checks.changed, name="changed"),
    path("machine/<uuid:code>/begin/<slug:key>/", checks.begin, name="begin"),
    path("file/<uuid:code>/", checks.file, name="file"),
    path("<uuid:code>/", checks.show, name="check"),
    path("<uuid:code>/step/<slug:key>/", checks.step, name="step"),
    path("<uuid:code>/step/<slug:key>/no-animal/", checks.no_animal, name="no_animal"),
    path("<uuid:code>/end/", checks.end, name="end"),
    path("<uuid:code>/give-up/", checks.give_up, name="give_up"),
    path("<uuid:code>/attach/", checks.attach, name="attach"),
]
