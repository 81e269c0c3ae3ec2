"""Every write about service: events, rules, calendar addresses."""

from ullage.web.service.services.calendar import address_make, address_revoke
from ullage.web.service.services.events import (
    EventSaid,
    event_add,
    event_withdraw,
    output_test_add,
    service_history_write,
)
from ullage.web.service.services.rules import interval_set, limit_set

__all__ = [
    "EventSaid",
    "address_make",
    "address_revoke",
    "event_add",
    "event_withdraw",
    "interval_set",
    "limit_set",
    "output_test_add",
    "service_history_write",
]
