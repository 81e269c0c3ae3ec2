"""Addresses of the records app."""

from django.urls import URLPattern, path

from ullage.web.records.views import record, register, several

__all__ = ["app_name", "urlpatterns"]

app_name = "records"

urlpatterns: list[URLPattern] = [
    path("several/", several.several, name="several"),
    path("register/", register.register, name="register"),
    path("register/file/", register.register_file, name="register_file"),
    path("key/", register.key, name="key"),
    path("check/", register.check_file, name="check"),
    path("run/<uuid:code>/", register.run, name="run"),
    path("run/<uuid:code>/file/", register.run_file, name="run_file"),
    path("<uuid:code>/", record.record, name="record"),
    path("<uuid:code>/pdf/", record.pdf, name="pdf"),
    path("<uuid:code>/pdf/<int:count>/", record.kept, name="kept"),
    path("<uuid:code>/as/<slug:form>/", record.export, name="export"),
    path("<uuid:code>/methods/", several.methods, name="methods"),
    path("<uuid:code>/drugs/", record.drugs, name="drugs"),
    path("<uuid:code>/verify/", record.verify, name="verify"),
]
