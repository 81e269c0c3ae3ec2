"""Addresses of the accounts app, and those of allauth that we use."""

from django.urls import path

from ullage.web.accounts import views

app_name = "accounts"

urlpatterns = [
    path("first-run/", views.first_run, name="first_run"),
    path("people/", views.people, name="people"),
    path("people/add/", views.add, name="person_add"),
    path("people/me/", views.me, name="me"),
    path("people/<str:username>/", views.one, name="person"),
    path("people/<str:username>/password/", views.renew, name="renew"),
    path("people/<str:username>/remove/", views.remove, name="remove"),
]
