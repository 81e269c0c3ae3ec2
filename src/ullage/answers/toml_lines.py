"""Where in a TOML text a key stands, so that an error can name the line."""

import re
from collections.abc import Iterator

__all__ = ["line_of"]

_HEADER = re.compile(r"^[ \t]*(\[\[?)[ \t]*([^\[\]\n]+?)[ \t]*\]\]?[ \t]*(?:#.*)?$", re.MULTILINE)

type Window = tuple[int, int]


def line_of(text: str, path: tuple[str | int, ...]) -> int:
    """The line on which a key, or the nearest thing around it, stands; the first line is 1.

    Parameters
    ----------
    text : the whole TOML text.
    path : keys and places in lists, such as ("cases", 1, "phases", 0, "oxygen").

    Returns
    -------
    [1] number of the line.

    >>> line_of('[day]\\nname = "x"\\n[[cases]]\\nstart = "9:00"\\n', ("cases", 0, "start"))
    4
    """
    window, dotted = (0, len(text)), ""
    for place, step in enumerate(path):
        if isinstance(step, int):
            continue
        index = path[place + 1] if place + 1 < len(path) else None
        dotted = f"{dotted}.{step}" if dotted else step
        found = _narrowed(text, window, dotted, index if isinstance(index, int) else 0)
        if found is not None:
            window = found
        elif not any(name.startswith(f"{dotted}.") for name, _ in _headers(text, window)):
            break
    return text.count("\n", 0, window[0]) + 1


def _narrowed(text: str, window: Window, dotted: str, index: int) -> Window | None:
    """The part of the window that holds the table or key of this name."""
    headers = [one for one in _headers(text, window) if one[0] == dotted]
    if index < len(headers):
        start = headers[index][1]
        return start, _end_of_table(text, start, window[1], dotted)
    key = dotted.rpartition(".")[2]
    named = rf"(?:^|[{{,])[ \t]*(?P<key>\"?{re.escape(key)}\"?)[ \t]*="
    found = re.compile(named, re.MULTILINE).search(text, *window)
    if found is None:
        return None
    return _item(text, (found.start("key"), window[1]), index)


def _headers(text: str, window: Window) -> Iterator[tuple[str, int]]:
    for found in _HEADER.finditer(text, *window):
        name = ".".join(part.strip().strip('"') for part in found[2].split("."))
        yield name, found.start(2)


def _end_of_table(text: str, start: int, end: int, dotted: str) -> int:
    for name, at in _headers(text, (start, end)):
        if at > start and not name.startswith(f"{dotted}."):
            return at
    return end


def _item(text: str, window: Window, index: int) -> Window:
    """Of a list of inline tables, from the brace that opens the one asked for."""
    value = text[window[0] : window[1]].partition("=")[2].lstrip()
    if not value.startswith("["):
        return window
    braces = [found.start() for found in re.finditer(r"\{", text[window[0] : window[1]])]
    if index == 0 or index >= len(braces):
        return window
    return window[0] + braces[index], window[1]
