"""Addresses of the door: the pages of allauth that we offer, under the names it expects."""

from allauth.account import views as account_views
from allauth.mfa.base import views as factor_views
from allauth.mfa.recovery_codes import views as recovery_views
from allauth.mfa.totp import views as totp_views
from allauth.mfa.webauthn import views as passkey_views
from django.urls import path
from django.views.generic import RedirectView

from ullage.web.accounts.views import door, people

__all__ = ["urlpatterns"]

_own = door.factor_page

urlpatterns = [
    path("login/", door.sign_in, name="account_login"),
    path("login/passkey/", door.PasskeySignIn.as_view(), name="mfa_login_webauthn"),
    path("login/second/", factor_views.authenticate, name="mfa_authenticate"),
    path("logout/", door.sign_out, name="account_logout"),
    path("inactive/", account_views.account_inactive, name="account_inactive"),
    path("reauthenticate/", account_views.reauthenticate, name="account_reauthenticate"),
    path("reauthenticate/code/", factor_views.reauthenticate, name="mfa_reauthenticate"),
    path(
        "reauthenticate/passkey/",
        passkey_views.reauthenticate_webauthn,
        name="mfa_reauthenticate_webauthn",
    ),
    path("password/", account_views.password_change, name="account_change_password"),
    path("password/set/", account_views.password_set, name="account_set_password"),
    path("password/forgotten/", people.forgotten, name="account_reset_password"),
    path("factors/", RedirectView.as_view(pattern_name="accounts:safety"), name="mfa_index"),
    path(
        "passkeys/", RedirectView.as_view(pattern_name="accounts:safety"), name="mfa_list_webauthn"
    ),
    path("passkeys/add/", _own(door.AddPasskey.as_view()), name="mfa_add_webauthn"),
    path(
        "passkeys/<int:pk>/remove/", _own(door.RemovePasskey.as_view()), name="mfa_remove_webauthn"
    ),
    path("passkeys/<int:pk>/name/", _own(passkey_views.edit_webauthn), name="mfa_edit_webauthn"),
    path("app/add/", _own(totp_views.activate_totp), name="mfa_activate_totp"),
    path("app/remove/", _own(totp_views.deactivate_totp), name="mfa_deactivate_totp"),
    path("codes/", _own(recovery_views.view_recovery_codes), name="mfa_view_recovery_codes"),
    path(
        "codes/new/",
        _own(recovery_views.generate_recovery_codes),
        name="mfa_generate_recovery_codes",
    ),
]
