"""What every page knows."""

from typing import Any

from django.http import HttpRequest

from ullage.answers import CAUTION_LINE

__all__ = ["page"]


def page(request: HttpRequest) -> dict[str, Any]:
    """The caution line, for every template."""
    return {"caution_line": CAUTION_LINE}
