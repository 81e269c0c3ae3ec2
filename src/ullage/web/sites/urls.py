"""Addresses of the sites app."""

from django.urls import path

from ullage.web.sites import views

app_name = "sites"

urlpatterns = [
    path("more/", views.more, name="more"),
    path("welcome/", views.welcome, name="welcome"),
    path("site/choose/", views.choose, name="choose"),
    path("settings/", views.settings, name="settings"),
    path("settings/<slug:name>/", views.section, name="section"),
    path("rooms/", views.rooms, name="rooms"),
    path("rooms/add/", views.room_new, name="room_add"),
    path("rooms/<int:pk>/", views.room, name="room"),
]
