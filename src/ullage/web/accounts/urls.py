"""Addresses of the accounts app, and those of allauth that we use."""

from django.urls import path

from ullage.web.accounts.views import lock, people, safety

app_name = "accounts"

urlpatterns = [
    path("first-run/", people.first_run, name="first_run"),
    path("lock/", lock.lock, name="lock"),
    path("locked/", lock.locked, name="locked"),
    path("locked/other/", lock.other, name="other"),
    path("locked/held/", lock.held, name="held"),
    path("touch/", lock.touch, name="touch"),
    path("people/", people.people, name="people"),
    path("people/add/", people.add, name="person_add"),
    path("people/me/", people.me, name="me"),
    path("people/me/sign-in/", safety.safety, name="safety"),
    path("people/me/pin/", safety.pin, name="pin"),
    path("people/me/sessions/end/", safety.end_others, name="end_others"),
    path("people/me/sessions/<uuid:code>/end/", safety.end, name="end"),
    path("people/<str:username>/", people.one, name="person"),
    path("people/<str:username>/password/", people.renew, name="renew"),
    path("people/<str:username>/factors/", people.factors, name="factors"),
    path("people/<str:username>/let-in/", people.let_in, name="let_in"),
    path("people/<str:username>/remove/", people.remove, name="remove"),
]
