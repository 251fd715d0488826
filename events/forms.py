"""Whether the names in a record are names: devices, records, lots, stores, dates.

The kinds say each form as a pattern beside the field. Decoding does not look at patterns, for that
would cost more than all else in a replay; this does, once, when a record comes from outside. It
does not look at what a record says. Rule: a form is said in `kinds` and `record` alone.
"""

import re
from collections.abc import Callable
from typing import Any, TypeAlias

import msgspec
from msgspec import inspect

Check: TypeAlias = Callable[[Any], str | None]
"""Takes a value that decoded; None, or the path of the first text that has not its form."""


def checker(of: type) -> Check:
    """The check for a struct type and all that is in it."""
    return _check(inspect.type_info(of), {}) or (lambda _: None)


def _check(kind: inspect.Type, known: dict[type, Check | None]) -> Check | None:
    """The check for one type; None where nothing in it has a form."""
    pattern = None
    if isinstance(kind, inspect.Metadata):
        pattern = (kind.extra_json_schema or {}).get("pattern")
        kind = kind.type
    if isinstance(kind, inspect.StrType):
        pattern = pattern or kind.pattern
        return None if pattern is None else _text(re.compile(pattern).fullmatch)
    if isinstance(kind, inspect.StructType):
        if kind.cls not in known:
            known[kind.cls] = None
            known[kind.cls] = _struct(kind, known)
        return known[kind.cls]
    if isinstance(kind, inspect.UnionType):
        return _union(kind, known)
    if isinstance(kind, inspect.VarTupleType):
        return _parts(_check(kind.item_type, known))
    if isinstance(kind, inspect.DictType):
        return _facts(_check(kind.key_type, known), _check(kind.value_type, known))
    return None


def _text(matches: Callable[[str], object]) -> Check:
    return lambda text: None if matches(text) else ""


def _pattern(kind: inspect.Type) -> str | None:
    """The pattern of a text, where that is all there is to look at; None with it is no text."""
    if isinstance(kind, inspect.UnionType):
        some = [part for part in kind.types if not isinstance(part, inspect.NoneType)]
        return _pattern(some[0]) if len(some) == 1 else None
    if isinstance(kind, inspect.Metadata):
        found = (kind.extra_json_schema or {}).get("pattern")
        return found if isinstance(kind.type, inspect.StrType) else None
    return kind.pattern if isinstance(kind, inspect.StrType) else None


def _struct(kind: inspect.StructType, known: dict[type, Check | None]) -> Check | None:
    """Texts are looked at straight: most of what comes from outside is texts."""
    patterns = [(field.name, _pattern(field.type)) for field in kind.fields]
    texts = [(name, re.compile(text).fullmatch) for name, text in patterns if text is not None]
    straight = {name for name, _ in texts}
    checks = [
        (field.name, check)
        for field in kind.fields
        if field.name not in straight and (check := _check(field.type, known)) is not None
    ]

    def look(value: Any) -> str | None:
        for name, matches in texts:
            text = getattr(value, name)
            if text is not None and not matches(text):
                return f".{name}"
        for name, check in checks:
            part = getattr(value, name)
            if part is not None and (wrong := check(part)) is not None:
                return f".{name}{wrong}"
        return None

    return look if texts or checks else None


def _union(kind: inspect.UnionType, known: dict[type, Check | None]) -> Check | None:
    """One of several structs, or one type and None (which the struct around it leaves out)."""
    structs = {
        part.cls: _check(part, known) for part in kind.types if isinstance(part, inspect.StructType)
    }
    if len(structs) > 1:

        def look(value: Any) -> str | None:
            check = structs[type(value)]
            return None if check is None else check(value)

        return look
    checks = [check for part in kind.types if (check := _check(part, known)) is not None]
    return checks[0] if checks else None


def _parts(check: Check | None) -> Check | None:
    if check is None:
        return None

    def look(values: tuple[Any, ...]) -> str | None:
        for number, value in enumerate(values):
            if (wrong := check(value)) is not None:
                return f"[{number}]{wrong}"
        return None

    return look


def _facts(keys: Check | None, values: Check | None) -> Check | None:
    if keys is None and values is None:
        return None

    def look(facts: dict[Any, Any]) -> str | None:
        for key, value in facts.items():
            if (keys and keys(key) is not None) or (values and values(value) is not None):
                return f"[{key!a}]"
        return None

    return look


def said(record: msgspec.Struct, path: str) -> str:
    """The text that stands at a path which a check gave, for a sentence."""
    value: Any = record
    for name, number, key in re.findall(r"\.(\w+)|\[(\d+)\]|\[('.*'|\".*\")\]", path):
        if name:
            value = getattr(value, name)
        elif number:
            value = value[int(number)]
        else:
            return str(key)
    return ascii(value)
