"""Short codes for lots, to write on a lid: Crockford base32 with its check symbol.

A lot's code is the first signs of the SHA-256 of its name, so any device makes the same one without
asking. The rule: a code is a way to say a lot's name and nothing more; no record holds one, and a
code that fits two lots lists both.
"""

from collections.abc import Callable, Collection, Iterable
from functools import lru_cache
from hashlib import sha256

from events.quantity import NotUnderstood

SIGNS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
"""Crockford's base32: no I, L, O or U."""
CHECKS = SIGNS + "*~$=U"
"""The check symbol is the number's remainder by 37, which has five signs more."""
SHORTEST = 4
LONGEST = 51

_READ_AS = str.maketrans({"I": "1", "L": "1", "O": "0", "-": None, " ": None})
_VALUE = {sign: value for value, sign in enumerate(SIGNS)}


@lru_cache(maxsize=100_000)
def signs(lot_name: str) -> str:
    """All 51 whole signs of the digest, most significant first."""
    number = int.from_bytes(sha256(lot_name.encode()).digest(), "big") >> 1
    return "".join(SIGNS[number >> 5 * place & 31] for place in range(LONGEST - 1, -1, -1))


def check(said: str) -> str:
    """The check symbol of a number in Crockford's base32."""
    number = 0
    for sign in said:
        number = number * 32 + _VALUE[sign]
    return CHECKS[number % 37]


def code(lot_name: str, length: int = SHORTEST) -> str:
    """A lot's code: `length` signs (4 to 51) and the check symbol."""
    if not SHORTEST <= length <= LONGEST:
        raise ValueError(f"A lot code has {SHORTEST} to {LONGEST} signs, not {length}.")
    said = signs(lot_name)[:length]
    return said + check(said)


def codes(lot_names: Iterable[str]) -> dict[str, str]:
    """A code for each lot, each the shortest by which no two of them are alike."""
    left, length, found = list(dict.fromkeys(lot_names)), SHORTEST, {}
    while left:
        alike: dict[str, list[str]] = {}
        for name in left:
            alike.setdefault(signs(name)[:length], []).append(name)
        for same in alike.values():
            if len(same) == 1:
                found[same[0]] = code(same[0], length)
        left = [name for same in alike.values() if len(same) > 1 for name in same]
        length += 1
    return found


def is_code(typed: str) -> bool:
    """Whether `typed` has the form of a lot code and its check symbol is right."""
    body, last = _apart(typed)
    return _well_formed(body) and last == check(body)


def _apart(typed: str) -> tuple[str, str]:
    signs = typed.strip().upper().translate(_READ_AS)
    return signs[:-1], signs[-1:]


def _well_formed(body: str) -> bool:
    return SHORTEST <= len(body) <= LONGEST and all(sign in _VALUE for sign in body)


def find(typed: str, lot_names: Collection[str]) -> list[str]:
    """The lots that `typed` may mean: by code, however long, or by the lot's whole name.

    Small letters, I and L for 1, O for 0, hyphens and spaces are read kindly. None known: empty.

    Raises:
        NotUnderstood: it has not the form of a code, or its check symbol is wrong.
    """
    if ":" in typed:
        name = typed.strip().lower()
        return [name] if name in lot_names else []
    body, last = _apart(typed)
    if not _well_formed(body):
        raise NotUnderstood(
            f"“{typed}” is not a lot code: it has {SHORTEST + 1} signs or more, figures and letters."
        )
    if last != check(body):
        raise NotUnderstood(f"“{typed}” is not a lot code: its last sign should be {check(body)}.")
    return [name for name in lot_names if signs(name).startswith(body)]


def find_among(typed: str, beginning: Callable[[str], list[str]]) -> list[str]:
    """As `find`, where the lots are looked up by how their signs begin."""
    body, _ = _apart(typed)
    return [] if ":" in typed else beginning(body)


def shortest(lot_name: str, before: str, after: str) -> str:
    """A lot's code beside its neighbours' signs: the shortest by which it is like neither."""
    mine = signs(lot_name)
    shared = max(_shared(mine, before), _shared(mine, after))
    return code(lot_name, min(LONGEST, max(SHORTEST, shared + 1)))


def _shared(one: str, other: str) -> int:
    for count, (left, right) in enumerate(zip(one, other, strict=False)):
        if left != right:
            return count
    return min(len(one), len(other))
