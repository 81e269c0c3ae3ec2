"""What is said of one address: who may, by which method, with what, and what it refuses."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any
from uuid import UUID

from django.urls import reverse

__all__ = ["Bad", "Door", "Typed", "just"]

Typed = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Bad:
    """What cannot be: what is typed, what is said about it."""

    typed: Typed
    sentence: str
    #: Typed words that are no entry of the form, so the page does not show them again.
    dropped: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Door:
    """One address; ``get`` and ``post`` are the statuses of a good request, None: not answered."""

    name: str
    what: str = "look"
    about: Callable[[SimpleNamespace], dict[str, Any]] = lambda made: {}
    get: int | None = 200
    post: int | None = None
    typed: Callable[[SimpleNamespace], Typed] = lambda made: {}
    bad: Bad | None = None
    #: The thing whose code stands in the address.
    thing: str = ""
    asked: str = ""

    def url(self, made: SimpleNamespace, code: UUID | None = None) -> str:
        """Where it is, in a site that holds what was made; with another code if one is given."""
        own = {"code": code or getattr(made, self.thing).code} if self.thing else {}
        return reverse(self.name, kwargs={**own, **self.about(made)}) + self.asked


def just(**typed: Any) -> Callable[[SimpleNamespace], Typed]:
    """The same words whatever was made."""
    return lambda made: typed
