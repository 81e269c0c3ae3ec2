"""Settings for tests: an own folder, quick passwords, work done at once."""

import os
import tempfile

os.environ.setdefault("ULLAGE_HOME", tempfile.mkdtemp(prefix="ullage-test-"))
os.environ.setdefault("ULLAGE_SECRET", "only-for-tests")

from ullage.web.settings import *  # noqa: F403  # settings are names by design

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
TASKS = {"default": {"BACKEND": "django.tasks.backends.immediate.ImmediateBackend"}}
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
STATIC_ROOT.mkdir(parents=True, exist_ok=True)  # noqa: F405  # the server of static files asks for it

# A test database is made and dropped under another name: a pool would hold on to it.
DATABASES["default"].get("OPTIONS", {}).pop("pool", None)  # noqa: F405  # the star import above
