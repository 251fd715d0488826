"""Lots in the order of parentage: parents before what was made of them, rings together."""

from collections.abc import Callable, Iterable


def closure(start: Iterable[str], children: Callable[[str], Iterable[str]]) -> set[str]:
    """The lots given and all that was made from them."""
    reached = set(start)
    waiting = list(reached)
    while waiting:
        for child in children(waiting.pop()):
            if child not in reached:
                reached.add(child)
                waiting.append(child)
    return reached


def parents_first(lots: Iterable[str], parents: Callable[[str], Iterable[str]]) -> list[list[str]]:
    """Groups of lots, each after the groups of its parents; a group of several is a ring.

    Only parents among `lots` count. Tarjan's algorithm without recursion.
    """
    among = set(lots)
    index: dict[str, int] = {}
    low: dict[str, int] = {}
    on_stack: set[str] = set()
    stack: list[str] = []
    groups: list[list[str]] = []
    for root in sorted(among):
        if root in index:
            continue
        work = [(root, iter(sorted(p for p in parents(root) if p in among)))]
        index[root] = low[root] = len(index)
        stack.append(root)
        on_stack.add(root)
        while work:
            lot, rest = work[-1]
            parent = next(rest, None)
            if parent is not None:
                if parent not in index:
                    index[parent] = low[parent] = len(index)
                    stack.append(parent)
                    on_stack.add(parent)
                    work.append((parent, iter(sorted(p for p in parents(parent) if p in among))))
                elif parent in on_stack:
                    low[lot] = min(low[lot], index[parent])
                continue
            work.pop()
            if work:
                low[work[-1][0]] = min(low[work[-1][0]], low[lot])
            if low[lot] == index[lot]:
                groups.append(_pop_group(stack, on_stack, lot))
    return groups


def _pop_group(stack: list[str], on_stack: set[str], lot: str) -> list[str]:
    group = []
    while True:
        member = stack.pop()
        on_stack.discard(member)
        group.append(member)
        if member == lot:
            return sorted(group)
