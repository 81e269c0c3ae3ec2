"""The question that a reading raises before it is used: possible, but not likely."""

from typing import TYPE_CHECKING

from ullage.web.supply.models import Cylinder

if TYPE_CHECKING:
    from ullage.web.supply.services.readings import Seen

__all__ = ["question_about"]


def question_about(cylinder: Cylinder, seen: "Seen") -> str:
    """The question in a sentence, or nothing."""
    return ""
