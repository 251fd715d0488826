"""The rules of the exchange: who may say what, and which part of the log answers a cursor.

Pure: a holder, contents or a cursor come in, a verdict goes out; the wire is in `service/http`, the
log behind the ledger. Rule: a device says what it saw itself. Nothing here judges what a record
says; that a record is well formed is the ledger's to say.
"""

from collections.abc import Sequence

import msgspec
from msgspec import Struct

from service.access import Holder
from service.drafts import Receipt
from service.storage.store import Row
from service.sync.messages import Cursor, OtherLog, Page

READING: frozenset[str] = frozenset({"keeper", "member", "reader"})
PUSHING: frozenset[str] = frozenset({"keeper", "member", "sensor"})


class _Body(Struct, frozen=True):
    kind: str


class _Said(Struct, frozen=True):
    """As much of a record as says whose it is and of what kind."""

    device: str
    seq: int
    body: _Body


_said = msgspec.json.Decoder(_Said)


def devices(holder: Holder) -> frozenset[str]:
    """The devices under whose names a holder may push: its own, and one that it stands in for."""
    return frozenset({holder.device}) | holder.formerly


class Judged(Struct, frozen=True):
    """A push as it was judged: what goes to the ledger, and what is refused, each by its place."""

    allowed: list[bytes]
    refused: dict[int, Receipt]

    def receipts(self, of_allowed: Sequence[Receipt]) -> list[Receipt]:
        """A receipt for each record that was sent, in its order."""
        given = iter(of_allowed)
        count = len(self.allowed) + len(self.refused)
        return [self.refused[i] if i in self.refused else next(given) for i in range(count)]


def judge(contents: Sequence[bytes], holder: Holder) -> Judged:
    """Which records of a push the holder may say. What cannot be read here, the ledger refuses."""
    own = devices(holder)
    measuring = holder.role == "sensor"
    refused: dict[int, Receipt] = {}
    for i, content in enumerate(contents):
        try:
            said = _said.decode(content)
        except (msgspec.MsgspecError, UnicodeDecodeError, RecursionError):
            continue
        name = f"{said.device}:{said.seq}"
        if said.device not in own:
            refused[i] = _refused(
                name,
                f"Record {name[:60]} is another device's ({holder.device} pushed it): "
                "each device pushes its own.",
            )
        elif measuring and said.body.kind != "measured":
            refused[i] = _refused(
                name, f"Record {name[:60]} is no measurement, and a sensor says nothing else."
            )
    allowed = [c for i, c in enumerate(contents) if i not in refused] if refused else list(contents)
    return Judged(allowed, refused)


def _refused(name: str, reason: str) -> Receipt:
    return Receipt(state="refused", name=name[:60], reason=reason)


# -- pulls -------------------------------------------------------------------------------------


def begin(asked: Cursor | None, here: Cursor) -> int:
    """The position after which to read. `here`: this log, its epoch, its last position.

    Raises OtherLog, with what to do, where the cursor is not of this log as it stands.
    """
    if asked is None:
        return 0
    if asked.log != here.log:
        raise OtherLog(
            f"The cursor is of another household's log ({asked.log[:60]}): "
            "begin anew without a cursor, in an empty home."
        )
    if asked.epoch != here.epoch:
        raise OtherLog(
            f"The log was restored since (epoch {here.epoch}, the cursor is of {asked.epoch}): "
            "begin anew without a cursor; records that are known already change nothing."
        )
    if asked.position > here.position:
        raise OtherLog(
            f"The cursor is past the end of the log ({asked.position} of {here.position}): the log "
            "was put back from an older copy. Push what you hold, then begin without a cursor."
        )
    return asked.position


def page(rows: Sequence[Row], after: int, here: Cursor, aside: int = 0) -> Page:
    """The answer to a pull: the rows that were found past `after`, how many were set aside."""
    last = rows[-1].position if rows else after
    return Page(
        entries=tuple(rows),
        next=str(Cursor(here.log, here.epoch, last)),
        more=last < here.position,
        aside=aside,
    )
