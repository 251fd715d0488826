"""The root of a log's Merkle tree (RFC 9162, 2.1.1): one number for all entries and their order.

A leaf is a record's stored bytes, in the order of positions. Two logs have one root when they are
the same, byte for byte. Nothing is proved here beyond that. Rule: it reads each leaf once and holds
no more than one hash for each power of two.
"""

from collections.abc import Iterable
from hashlib import sha256

LEAF, NODE = b"\x00", b"\x01"


def root(leaves: Iterable[bytes]) -> bytes:
    """The hash of the tree; of no leaves, that of nothing."""
    left: list[tuple[int, bytes]] = []
    """whole trees from the left, each with how many leaves it has, ever fewer"""
    for leaf in leaves:
        count, hashed = 1, sha256(LEAF + leaf).digest()
        while left and left[-1][0] == count:
            hashed = _node(left.pop()[1], hashed)
            count *= 2
        left.append((count, hashed))
    if not left:
        return sha256().digest()
    hashed = left.pop()[1]
    while left:
        hashed = _node(left.pop()[1], hashed)
    return hashed


def _node(left: bytes, right: bytes) -> bytes:
    return sha256(NODE + left + right).digest()
