"""Pages of service: what is due, what was done, rules, calendars, papers for an inspector."""

__all__: list[str] = []
