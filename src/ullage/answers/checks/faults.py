"""Everything that is wrong with a check list as somebody wrote it, each in a sentence."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from enum import StrEnum
from typing import Any

from ullage.answers.checks.things import ChangeKind, Lasts, MeasureKind
from ullage.reference import table
from ullage.reference.checks import check_file, check_list_names

__all__ = [
    "BASE",
    "CLOSING",
    "based_on",
    "key_of",
    "list_faults",
    "listed",
    "required_keys",
    "words_of",
]

#: The step with which every list ends: relief valve open, pressure zero.
CLOSING = "relief_open"
#: The table of the steps of the merged pre-use check.
BASE = "check_steps"

#: What a list may word otherwise in a step that it takes over; the rest of it stays.
_WORDING = frozenset(["step", "key", "title", "good", "method", "caution", "todo", "waits_s"])
_OWN_STEP = frozenset(
    {
        *("key", "title", "good", "method", "caution", "todo", "waits_s"),
        *("kind", "asks_no_animal", "covers", "grave", "each_case", "again_after"),
        *("absent", "absent_is_fine", "with"),
    }
)
_LIST = frozenset(
    {
        *("key", "title", "when", "lasts", "order", "note", "covers", "after", "steps"),
        *("required", "left_out", "based_on", "then", "each_case"),
    }
)
_TEXT = ("title", "good", "method", "caution", "todo", "absent", "with")
_MOST_STEPS, _MOST_LETTERS, _LONGEST_WAIT_S = 200, 2000, 3600


def key_of(one: Any) -> str:
    """The key under which a list knows a step."""
    if isinstance(one, Mapping):
        return str(one.get("key") or one.get("step") or "")
    return str(one)


def words_of(one: str | Mapping[str, Any]) -> dict[str, Any]:
    """The words of a step: those of the shipped one, and what the list words otherwise."""
    own: Mapping[str, Any] = {} if isinstance(one, str) else one
    return {**check_file("steps").get(_taken_over(one), {}), **own, "key": key_of(one)}


def _taken_over(one: Any) -> str:
    """The shipped step behind a step; a key of a shipped step stands for it."""
    named = str(one.get("step") or "") if isinstance(one, Mapping) else str(one)
    return named or (key_of(one) if key_of(one) in check_file("steps") else "")


def based_on(written: Mapping[str, Any]) -> str:
    """The shipped list whose required steps hold for a list; empty where there is none."""
    named = written.get("based_on") or written.get("key")
    return str(named) if named in check_list_names() else ""


def required_keys(written: Mapping[str, Any]) -> frozenset[str]:
    """The steps of the shipped list behind a list, those that it adds, and the closing one."""
    base = based_on(written)
    shipped = check_file(base)["required"] if base else ()
    return frozenset((*shipped, *map(str, listed(written.get("required"))), CLOSING))


def list_faults(written: Mapping[str, Any]) -> Iterator[str]:
    """Every fault of a list as written; none when it may be used."""
    for key in ("key", "title"):
        if not _is_words(written.get(key)):
            yield f"A check list needs a {key}."
    yield from _unknown("A check list", written, _LIST)
    yield from _no_word_of("A check list lasts", [written.get("lasts", Lasts.CASE)], Lasts)
    yield from _no_word_of("The list is for after", listed(written.get("after")), ChangeKind)
    if not isinstance(written.get("left_out") or {}, Mapping):
        yield "What a list leaves out is a table: number of the step, and why."
    if written.get("based_on") and not based_on(written):
        yield f"There is no shipped list {written['based_on']!r} to start from."
    steps = listed(written.get("steps"))
    if not 0 < len(steps) <= _MOST_STEPS:
        yield f"A check list has 1 to {_MOST_STEPS} steps."
        return
    for count, one in enumerate(steps, start=1):
        yield from _step_faults(f"Step {count}", one)
    yield from _order_faults(written, [key_of(one) for one in steps])


def _order_faults(written: Mapping[str, Any], keys: list[str]) -> Iterator[str]:
    for key in dict.fromkeys(one for one in keys if keys.count(one) > 1):
        yield f"The step {_named(key)} is in the list more than once."
    for key in sorted(required_keys(written) - set(keys) - {CLOSING}):
        yield f"The step {_named(key)} is required here and may not be left out."
    if keys[-1] != CLOSING:
        yield f"The last step must be {_named(CLOSING)}, as an entry of its own."
    elif _closing_words(written) not in _closing_allowed(based_on(written)):
        yield f"The step {_named(CLOSING)} keeps its title and what good looks like."


def _closing_words(written: Mapping[str, Any]) -> tuple[str, str]:
    last = words_of(listed(written["steps"])[-1])
    return str(last.get("title")).strip(), str(last.get("good")).strip()


def _closing_allowed(base: str) -> Iterator[tuple[str, str]]:
    """As the step is shipped, or as the shipped list behind this one words it."""
    yield _closing_words({"steps": [CLOSING]})
    if base:
        yield _closing_words(check_file(base))


def _step_faults(where: str, one: Any) -> Iterator[str]:
    if not isinstance(one, str | Mapping):
        yield f"{where} must be the name of a step or a table."
        return
    shipped = check_file("steps")
    taken = _taken_over(one)
    if taken and taken not in shipped:
        yield f"{where}: there is no step {taken!r} to take over."
    elif taken and key_of(one) != taken:
        yield f"{where}: a step that is taken over keeps its key, {taken!r}."
    elif isinstance(one, Mapping):
        yield from _unknown(where, one, _WORDING if taken else _OWN_STEP)
        yield from _word_faults(where, words_of(one))
        yield from _value_faults(where, words_of(one))


def _word_faults(where: str, step: Mapping[str, Any]) -> Iterator[str]:
    if not _is_words(step.get("key")):
        yield f"{where} needs a key."
    if not _is_words(step.get("title")):
        yield f"{where} needs a title: the words by which people know it."
    if not _is_words(step.get("good")):
        yield f"{where} needs good: what good looks like."
    for name in _TEXT:
        if not isinstance(step.get(name, ""), str) or len(step.get(name, "")) > _MOST_LETTERS:
            yield f"{where}: {name} must be words, at most {_MOST_LETTERS} letters."


def _value_faults(where: str, step: Mapping[str, Any]) -> Iterator[str]:
    yield from _no_word_of(f"{where} is of the kind", [step.get("kind", "yes_no")], MeasureKind)
    yield from _no_word_of(f"{where} again after", listed(step.get("again_after")), ChangeKind)
    for number in listed(step.get("covers")):
        if str(number) not in table(BASE):
            yield f"{where}: the pre-use check has no step {number!r}."
    for name in ("asks_no_animal", "grave", "each_case", "absent_is_fine"):
        if not isinstance(step.get(name, True), bool):
            yield f"{where}: {name} is yes or no."
    if not all(_is_wait(one) for one in listed(step.get("waits_s"))):
        yield f"{where}: a wait is a number of seconds above 0 and at most {_LONGEST_WAIT_S}."


def _is_wait(one: Any) -> bool:
    return isinstance(one, int | float) and not isinstance(one, bool) and 0 < one <= _LONGEST_WAIT_S


def _is_words(one: Any) -> bool:
    return isinstance(one, str) and bool(one.strip())


def listed(one: Any) -> Sequence[Any]:
    """A list as written; anything else counts as a list of that one thing."""
    if one is None:
        return ()
    return one if isinstance(one, list | tuple) else (one,)


def _unknown(where: str, written: Mapping[str, Any], known: Iterable[str]) -> Iterator[str]:
    for key in written:
        if key not in known:
            yield f"{where} may not set {key!r}; it may set {', '.join(sorted(known))}."


def _no_word_of(where: str, written: Iterable[Any], kind: type[StrEnum]) -> Iterator[str]:
    words = [one.value for one in kind]
    for one in written:
        if str(one) not in words:
            yield f"{where} {str(one)!r}, which is not known; it is one of {', '.join(words)}."


def _named(key: str) -> str:
    title = check_file("steps").get(key, {}).get("title", "")
    return f'"{title}"' if title else repr(key)
