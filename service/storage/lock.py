"""Who may write in a data directory: one process at a time.

A lock that the system takes back when the process ends, however it ends; the file stays, and says
which process holds it. SQLite has locks of its own, but two processes that write one file have
hurt logs (the versions before 3.51.3), and a second one deserves a sentence. Readers take none.
"""

import os
import sys
from pathlib import Path
from typing import BinaryIO

from service.errors import HomeUnwritable

SPOT = 1 << 30
"""The locked byte, far past the text: where locks are mandatory the text stays readable."""

if sys.platform == "win32":
    import msvcrt

    def _lock(file: BinaryIO) -> None:
        file.seek(SPOT)
        msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def _lock(file: BinaryIO) -> None:
        fcntl.flock(file.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)


class Lock:
    """A lock that this process holds."""

    def __init__(self, file: BinaryIO) -> None:
        self._file = file

    def release(self) -> None:
        """Let go of it; more than once is harmless."""
        self._file.close()


def take(path: Path) -> Lock | None:
    """The lock, or None while another process holds it. HomeUnwritable if there can be none."""
    try:
        file = path.open("a+b", buffering=0)
    except OSError as wrong:
        raise HomeUnwritable(
            f"{path.parent} may not be written to ({wrong.strerror}); "
            "look at who owns it, or name another directory with --home."
        ) from None
    try:
        _lock(file)
    except OSError:
        file.close()
        return None
    file.truncate(0)
    file.write(f"{os.getpid()}\n".encode())
    return Lock(file)


def holder(path: Path) -> str:
    """Who holds the lock, in words, as far as the file says."""
    try:
        number = path.read_bytes()[:20].decode("ascii", "replace").strip()
    except OSError:
        number = ""
    return f"another process (number {number})" if number.isdecimal() else "another process"
