"""Addresses of the door: the pages of allauth that we offer, under the names it expects."""

from allauth.account import views as allauth_views
from django.urls import path

from ullage.web.accounts import views

__all__ = ["urlpatterns"]

urlpatterns = [
    path("login/", views.sign_in, name="account_login"),
    path("logout/", views.sign_out, name="account_logout"),
    path("inactive/", allauth_views.account_inactive, name="account_inactive"),
    path("reauthenticate/", allauth_views.reauthenticate, name="account_reauthenticate"),
    path("password/", allauth_views.password_change, name="account_change_password"),
    path("password/set/", allauth_views.password_set, name="account_set_password"),
    path("password/forgotten/", views.forgotten, name="account_reset_password"),
]
