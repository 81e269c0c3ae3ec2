"""Addresses of the life of a case: made ready, begun, recovered, closed, corrected, settled."""

from django.urls import path

from ullage.web.cases.views import amend, aside, everything, life, recovery, sign, start

__all__ = ["LIFE"]

LIFE = (
    path("all/", everything.everything, name="all"),
    path("not-taken/", aside.not_taken, name="not_taken"),
    path("not-taken/<uuid:code>/", aside.settling, name="settling"),
    path("start/", start.start, name="start"),
    path("start/<uuid:code>/", start.start_planned, name="start_planned"),
    path("<uuid:code>/about/", life.about, name="about"),
    path("<uuid:code>/begin/", start.begin, name="begin"),
    path("<uuid:code>/facts/", life.facts, name="facts"),
    path("<uuid:code>/animal/", life.animal, name="animal"),
    path("<uuid:code>/files/", life.attach, name="attach"),
    path("<uuid:code>/recovery/", recovery.recovery, name="recovery"),
    path("<uuid:code>/recovery/start/", recovery.start, name="recovery_start"),
    path("<uuid:code>/recovery/step/", recovery.step, name="step"),
    path("<uuid:code>/recovery/end/", recovery.fate, name="fate"),
    path("<uuid:code>/recovery/gas/", recovery.gas, name="gas_off"),
    path("<uuid:code>/recovery/person/", recovery.person, name="person"),
    path("<uuid:code>/recovery/open/", recovery.reopen, name="reopen"),
    path("<uuid:code>/close/", recovery.close, name="close"),
    path("<uuid:code>/entries/", amend.entries, name="entries"),
    path("<uuid:code>/entries/<uuid:entry>/", amend.amend, name="amend"),
    path("<uuid:code>/sign/", sign.sign, name="sign"),
    path("files/<uuid:code>/", life.file, name="file"),
)
