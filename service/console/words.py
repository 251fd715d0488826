"""Words on the console: lists, wrapped lines and plain tables that fit the width there is.

No figures are worked out here. Colour never carries meaning: a terminal shows heads in bold, and
`NO_COLOR` or a pipe takes that away.
"""

import json
import os
import shutil
import sys
import textwrap
from collections.abc import Sequence

from service.looks.words import listed, said_amount

__all__ = [
    "NARROW", "bold", "coloured", "columns", "listed", "one_line", "print_json", "said_amount",
    "table", "width", "wrap",
]  # fmt: skip

NARROW = 60
"""Below this many columns a table is told row by row instead of side by side."""


def width() -> int:
    """Columns to write in: the terminal's, at most 80, at least 30."""
    return max(30, min(80, shutil.get_terminal_size().columns))


def wrap(text: str, indent: str = "", first: str = "") -> str:
    """A sentence over as many lines as the width asks; long names are never cut."""
    return textwrap.fill(
        text,
        width(),
        initial_indent=first,
        subsequent_indent=indent,
        break_long_words=False,
        break_on_hyphens=False,
    )


def one_line(text: str) -> str:
    """A deed told back: one line in a file or pipe, wrapped between words on a terminal."""
    return wrap(text, "  ") if sys.stdout.isatty() or os.environ.get("COLUMNS") else text


def coloured() -> bool:
    return (
        sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
    )


def bold(text: str) -> str:
    return f"\x1b[1m{text}\x1b[0m" if coloured() else text


def table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Columns side by side; where they do not fit, each row told over lines of its own."""
    sizes = [max(len(row[i]) for row in [heads, *rows]) for i in range(len(heads))]
    if sum(sizes) + 2 * (len(sizes) - 1) > width() or width() < NARROW:
        return "\n".join(_told(heads, row) for row in rows)
    lines = [bold(_side_by_side(heads, sizes)), *(_side_by_side(row, sizes) for row in rows)]
    return "\n".join(lines)


def columns(rows: Sequence[Sequence[str]], indent: str = "") -> str:
    """Rows side by side without heads; told one by one where they do not fit."""
    sizes = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))] if rows else []
    if len(indent) + sum(sizes) + 2 * len(sizes) > width() + 2:
        told = [f"{row[0]}  {', '.join(cell for cell in row[1:] if cell)}" for row in rows]
        return "\n".join(wrap(line, indent + "   ", indent) for line in told)
    return "\n".join(indent + _side_by_side(row, sizes) for row in rows)


def _side_by_side(row: Sequence[str], sizes: Sequence[int]) -> str:
    return "  ".join(cell.ljust(size) for cell, size in zip(row, sizes, strict=True)).rstrip()


def _told(heads: Sequence[str], row: Sequence[str]) -> str:
    """One row as a line: the first cell, then the others that say something."""
    said = [cell for cell in row[1:] if cell]
    return wrap(f"{row[0]}  {', '.join(said)}", "   ")


def print_json(value: object) -> None:
    """One JSON text, readable."""
    print(json.dumps(value, ensure_ascii=False, indent=2))
