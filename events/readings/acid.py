"""Whether acid was added to jars, by what was recorded: never how acid that made them.

It chooses among what is printed of quality. What is safe to put up, and how, is in a tested recipe.
"""

from typing import Literal, TypeAlias

from events.kinds import PutUp
from events.lots.state import Lot

Added: TypeAlias = Literal["", "added", "left out"]

LEFT_OUT = frozenset({"none", "no", "no acid", "forgot", "forgotten", "without", "left out", "0"})
"""What people say where the acid was left out."""


def left_out(acid: str | None) -> bool:
    """Whether it was said that no acid was added."""
    return " ".join((acid or "").casefold().split()) in LEFT_OUT


def added(lot: Lot) -> Added:
    """What was last said of acid in a lot; "" where nothing was."""
    body = lot.maker.body if lot.maker else None
    said = (body.acid or "") if isinstance(body, PutUp) else ""
    if lot.facts:
        said = lot.facts.get("acid", said)
    if not said.strip():
        return ""
    return "left out" if left_out(said) else "added"
