"""Pages of accounts."""

from ullage.web.accounts.views import door, lock, people, safety

__all__ = ["door", "lock", "people", "safety"]
