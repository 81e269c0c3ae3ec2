"""Numbers and times in the words that every face prints."""

__all__ = ["CLOCK", "clock_span", "clock_text", "figure", "minutes_text", "number", "span"]

#: The unit of a time of day; a number in it reads as a clock time.
CLOCK = "min after midnight"


#: Thousands are set apart by a thin space that does not break.
_THIN = "\u202f"


def figure(value: float) -> str:
    """A number with three significant figures, no more decimals than it can bear.

    >>> figure(343.2), figure(1.72), figure(0.0534), figure(0.0)
    ('343', '1.72', '0.0534', '0')
    """
    size = abs(value)
    if size >= 100:
        return f"{value:,.0f}".replace(",", _THIN)
    if size == 0:
        return "0"
    if size >= 10:
        return f"{value:.1f}".removesuffix(".0")
    return f"{value:.3g}" if size >= 1e-4 else f"{value:.1e}"


def minutes_text(minutes: float) -> str:
    """Minutes as a person says them, below ten with two figures.

    >>> minutes_text(161), minutes_text(25), minutes_text(20160), minutes_text(2.31)
    ('2 h 41 min', '25 min', '14 days', '2.3 min')
    """
    if minutes < 10:
        return f"{figure(float(f'{minutes:.2g}'))} min"
    whole = round(minutes)
    if whole < 60:
        return f"{whole} min"
    if whole < 48 * 60:
        return f"{whole // 60} h {whole % 60:02d} min"
    return f"{round(minutes / 1440)} days"


def clock_text(minutes: float) -> str:
    """Minutes after midnight as a clock time; a later day is named.

    >>> clock_text(700.4), clock_text(1470.0), clock_text(4330.0), clock_text(-30.0)
    ('11:40', '00:30 next day', '00:10 3 days on', '23:30 the day before')
    """
    days, whole = divmod(round(minutes), 1440)
    named = {0: "", 1: " next day", -1: " the day before"}
    far = f" {days} days on" if days > 0 else f" {-days} days before"
    return f"{whole // 60:02d}:{whole % 60:02d}{named.get(days, far)}"


def number(value: float, unit: str) -> str:
    """A value with its unit; minutes read as hours and minutes, times of day as a clock.

    >>> number(343.2, "L"), number(161.0, "min"), number(700.0, CLOCK)
    ('343 L', '2 h 41 min', '11:40')
    """
    if unit == CLOCK:
        return clock_text(value)
    if unit == "min":
        return minutes_text(value)
    return figure(value) if unit in {"", "1"} else f"{figure(value)} {unit}"


def span(low: float, high: float, unit: str) -> str:
    """A range, ``305 to 362`` with its unit at the end.

    >>> span(313.0, 372.0, "L"), span(144.0, 178.0, "min")
    ('313 to 372 L', '2 h 24 min to 2 h 58 min')
    """
    if unit == CLOCK:
        return clock_span(clock_text(low), clock_text(high))
    if unit == "min":
        return f"{minutes_text(low)} to {minutes_text(high)}"
    return f"{figure(low)} to {number(high, unit)}"


def clock_span(first: str, last: str) -> str:
    """Two clock times as a range, or one when they are the same.

    >>> clock_span("11:25", "12:00"), clock_span("11:25", "11:25")
    ('11:25 to 12:00', '11:25')
    """
    return first if first == last else f"{first} to {last}"
