"""Addresses of the catalogue."""

from django.urls import path

from ullage.web.catalogue import views

app_name = "catalogue"

urlpatterns = [
    path("catalogue/", views.home, name="home"),
    path("catalogue/formula/<slug:name>/", views.one_formula, name="formula"),
    path("catalogue/values/", views.values, name="values"),
    path("catalogue/disagree/", views.disagree, name="disagree"),
]
