"""JSON in canonical form (RFC 8785), and the strict reading that goes with it (RFC 7493).

It knows values, not records: `codec` does those. Rule: what `strict_json` lets through has one
canonical form, and every program reads the same from it.
"""

import json
import math
from collections.abc import Callable
from typing import Any, NoReturn

import msgspec

MAX_EXACT = 2**53 - 1
"""The largest whole number that every program reads exactly."""

MAX_DEPTH = 16
"""Levels that a value may be nested; a record of this program needs six."""


class Refused(ValueError):
    """Bytes that are no record; says in one sentence what was read."""


def strict_json(content: bytes) -> Any:
    """Plain values from JSON (RFC 8259 as RFC 7493 narrows it). Raises `Refused`.

    No key twice, no NUL, no lone surrogate, no whole number past 2**53 - 1, nothing infinite.
    """
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError as wrong:
        raise Refused(f"Byte {wrong.start + 1} is not UTF-8; send a record as UTF-8.") from None
    try:
        value = json.loads(text, object_pairs_hook=_no_key_twice, parse_constant=_no_constant)
    except RecursionError:
        raise _too_deep() from None
    except Refused:
        raise
    except ValueError as wrong:
        raise Refused(f"This is not JSON: {str(wrong)[:200]}.") from None
    _check(value, MAX_DEPTH)
    return value


def canonical(value: Any) -> bytes:
    """Plain values in canonical form (RFC 8785). Raises `Refused` on what has none."""
    parts: list[str] = []
    _write(value, parts.append, MAX_DEPTH)
    return "".join(parts).encode("utf-8")


def _no_key_twice(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        keys = [key for key, _ in pairs]
        twice = next(key for key in keys if keys.count(key) > 1)
        raise Refused(f"The key {twice!a} stands twice in one object; say it once.")
    return found


def _no_constant(word: str) -> NoReturn:
    raise Refused(f"{word} is not a number that JSON has.")


def _too_deep() -> Refused:
    return Refused(f"This is nested more than {MAX_DEPTH} levels deep; no record is.")


def _too_large(value: float) -> Refused:
    return Refused(f"The number {str(value)[:40]} is past 2^53 - 1, the most that is exact.")


def _check(value: Any, levels: int) -> None:
    if levels < 0:
        raise _too_deep()
    if isinstance(value, str):
        _check_text(value)
    elif isinstance(value, dict):
        for key, part in value.items():
            _check_text(key)
            _check(part, levels - 1)
    elif isinstance(value, list):
        for part in value:
            _check(part, levels - 1)
    elif isinstance(value, int | float) and not abs(value) <= MAX_EXACT:
        raise _too_large(value)


def _check_text(text: str) -> None:
    if "\0" in text:
        raise Refused("A text here has a NUL (\\u0000) in it; leave it out.")
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        raise _half_a_pair() from None


def _half_a_pair() -> Refused:
    return Refused("A text here has half of a surrogate pair in it; leave it out.")


def _write(value: Any, put: Callable[[str], None], levels: int) -> None:
    if levels < 0:
        raise _too_deep()
    if isinstance(value, dict):
        put("{")
        for count, key in enumerate(sorted(value, key=_utf16)):
            put(("," if count else "") + _text(key) + ":")
            _write(value[key], put, levels - 1)
        put("}")
    elif isinstance(value, list | tuple):
        put("[")
        for count, part in enumerate(value):
            put("," if count else "")
            _write(part, put, levels - 1)
        put("]")
    else:
        put(_single(value))


def _utf16(key: str) -> bytes:
    return key.encode("utf-16-be", "surrogatepass")


def _single(value: Any) -> str:
    if value is None or isinstance(value, bool):
        return {None: "null", True: "true", False: "false"}[value]
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, int):
        if abs(value) > MAX_EXACT:
            raise _too_large(value)
        return str(value)
    if isinstance(value, float):
        return _number(value)
    raise Refused(f"JSON has no form for a {type(value).__name__}.")


def _text(text: str) -> str:
    try:
        return msgspec.json.encode(text).decode()
    except UnicodeEncodeError:
        raise _half_a_pair() from None


def _number(value: float) -> str:
    """As ECMAScript prints it: the shortest digits that read back the same."""
    if not math.isfinite(value):
        raise Refused("JSON has no form for a number that is not finite.")
    if value == 0:
        return "0"
    mantissa, _, power = f"{abs(value)!r}".partition("e")
    whole, _, part = mantissa.partition(".")
    digits = (whole + part).lstrip("0")
    point = len(whole) + int(power or 0) - (len(whole + part) - len(digits))
    digits = digits.rstrip("0")
    sign = "-" if value < 0 else ""
    if 0 < point <= 21:
        padded = digits.ljust(point, "0")
        return sign + padded[:point] + ("." + padded[point:] if padded[point:] else "")
    if -6 < point <= 0:
        return sign + "0." + "0" * -point + digits
    tail = "." + digits[1:] if digits[1:] else ""
    return f"{sign}{digits[0]}{tail}e{point - 1:+d}"
