"""Letters that no font can show: they stand as their number, so that nothing stops a print."""

import json
from collections.abc import Callable, Iterable, Mapping
from typing import Any

__all__ = ["only_shown"]

#: What every font here has.
_PLAIN = frozenset(chr(one) for one in (10, *range(32, 127), *range(160, 256)))
_known: dict[str, bool] = {}


def only_shown(data: dict[str, Any], can_show: Callable[[str], bool]) -> dict[str, Any]:
    """The same data; each letter without a shape is replaced by its number, such as [U+7F8A].

    ``can_show`` is asked about letters that were not met before, all at once while it says yes.
    """
    letters = set(json.dumps(data, ensure_ascii=False)) | _controls(data)
    _ask(sorted(letters - _PLAIN - _known.keys()), can_show)
    missing = {ord(one): f"[U+{ord(one):04X}]" for one in letters if not _known.get(one, True)}
    replaced: dict[str, Any] = _replaced(data, missing) if missing else data
    return replaced


def _ask(letters: list[str], can_show: Callable[[str], bool]) -> None:
    """Halve until each letter is known to have a shape or to have none."""
    if not letters:
        return
    if can_show("".join(letters)):
        _known.update(dict.fromkeys(letters, True))
    elif len(letters) == 1:
        _known[letters[0]] = False
    else:
        middle = len(letters) // 2
        _ask(letters[:middle], can_show)
        _ask(letters[middle:], can_show)


def _controls(value: Any) -> set[str]:
    """Letters that JSON writes as an escape."""
    return {letter for one in _strings(value) if not one.isprintable() for letter in one}


def _strings(value: Any) -> Iterable[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        for one in value.values():
            yield from _strings(one)
    elif isinstance(value, list | tuple):
        for one in value:
            yield from _strings(one)


def _replaced(value: Any, missing: Mapping[int, str]) -> Any:
    if isinstance(value, str):
        return value.translate(missing)
    if isinstance(value, Mapping):
        return {key: _replaced(one, missing) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_replaced(one, missing) for one in value]
    return value
