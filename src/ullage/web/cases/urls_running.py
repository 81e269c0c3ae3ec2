"""Addresses of running cases: the board, one case, its parts, its stream, and plain forms."""

from django.urls import path

from ullage.web.cases.views import running, stream

__all__ = ["RUNNING"]

RUNNING = (
    path("", running.board, name="home"),
    path("<uuid:code>/", running.show, name="running"),
    path("<uuid:code>/live/", running.live, name="live"),
    path("<uuid:code>/levels/", running.levels, name="levels"),
    path("<uuid:code>/changes/", running.changes, name="changes"),
    path("<uuid:code>/oxygen/", running.oxygen, name="oxygen"),
    path("<uuid:code>/enter/<slug:form>/", running.enter, name="enter"),
    path("<uuid:code>/head/", stream.head, name="head"),
    path("<uuid:code>/stream/", stream.stream, name="stream"),
)
