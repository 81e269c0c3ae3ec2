"""Addresses of the exposure app."""

from django.urls import path

from ullage.web.exposure.views import badges, rooms

app_name = "exposure"

urlpatterns = [
    path("", rooms.home, name="home"),
    path("purge/", rooms.purge, name="purge"),
    path("room/<int:pk>/", rooms.room, name="room"),
    path("room/<int:pk>/mixing/", rooms.mixing, name="mixing"),
    path("machine/<uuid:code>/", rooms.way, name="way"),
    path("limits/", badges.limits, name="limits"),
    path("limits/<str:agent>/", badges.limit, name="limit"),
    path("badges/", badges.badges, name="badges"),
    path("badges/add/", badges.badge_new, name="badge_add"),
    path("badges/<uuid:code>/", badges.badge, name="badge"),
    path("badges/<uuid:code>/withdraw/", badges.withdraw, name="withdraw"),
]
