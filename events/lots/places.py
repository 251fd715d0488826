"""The tree of stores, which their paths spell. "" is the household, the root of them all."""

from functools import lru_cache


@lru_cache(maxsize=65_536)
def levels(store: str) -> tuple[str, ...]:
    """Every store that `store` stands in, the household first, itself last."""
    if not store:
        return ("",)
    parts = store.split("/")
    return ("", *("/".join(parts[: size + 1]) for size in range(len(parts))))


@lru_cache(maxsize=65_536)
def within(inner: str, outer: str) -> bool:
    """Whether `inner` is `outer` or a part of it."""
    return outer in levels(inner)


def related(one: str, other: str) -> bool:
    """Whether one of the two stores lies in the other."""
    return within(one, other) or within(other, one)


@lru_cache(maxsize=65_536)
def depth(store: str) -> int:
    return len(levels(store)) - 1


@lru_cache(maxsize=65_536)
def shared_levels(one: str, other: str) -> int:
    """How many levels the two paths have in common, the household counted."""
    count = 0
    for left, right in zip(levels(one), levels(other), strict=False):
        if left != right:
            break
        count += 1
    return count
