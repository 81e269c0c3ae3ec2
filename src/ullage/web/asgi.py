"""The application that a server runs."""

import gc
import os

from django.core.asgi import get_asgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "ullage.web.settings")

application = get_asgi_application()

# What was loaded to serve stays: collecting it again and again would slow one page in ten.
gc.collect()
gc.freeze()
gc.set_threshold(20_000, 20, 20)
