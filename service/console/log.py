"""A deed in a line of plain words, or several at once: wholly understood, or nothing is written.

The words become the console's own deeds, each as it would be typed; all are worked out before
any is written, and they are written as one. Nothing here knows what a deed does.
"""

import asyncio
import contextlib
import io
import json
import sys
from argparse import Namespace
from collections.abc import Sequence

from events.concerns import Concern
from events.kinds import Body, Counted, Ordered, Received
from events.readings.finding import Foods
from events.record import Entry
from service.console import times
from service.console.commands import Commands, deed
from service.console.desk import Desk, desk
from service.console.words import print_json
from service.drafts import Draft
from service.errors import NeedsChoice, WrongUse

LONGEST = 400
"""A line of more signs than this is not read: it is several lines."""

TOGETHER = 8
"""No more deeds than this are read in one line."""


def add(commands: Commands) -> None:
    parser = deed(commands, "log", log, "a deed, or several, in a line of plain words")
    parser.add_argument(
        "words", metavar="LINE", nargs="+", help='"took 2 quarts of beans from the back room"'
    )


async def log(args: Namespace) -> int:
    from service.console.speech import told

    line = _plain(" ".join(args.words))
    async with desk(args, writing=True) as at:
        now = times.local(at.clock.now_ms(), at.clock.offset(at.clock.now_ms(), at.zone))
        deeds = told.read(at.book, line, now.replace(tzinfo=None))
        if len(deeds) > TOGETHER:
            raise WrongUse(f"That line says {len(deeds)} deeds: say at most {TOGETHER} in one.")
        return await _together(at, [_typed(at, words) for words in deeds])


def _plain(line: str) -> str:
    """The line with single spaces, without its full stop."""
    text = " ".join(line.split()).rstrip(".! ")
    if not text:
        raise WrongUse('Nothing was said: girnel log "took 2 quarts of beans from the back room"')
    if len(text) > LONGEST:
        raise WrongUse(
            f"A line of {len(text)} signs is too long: say it in several, each on its own."
        )
    if not text.isprintable():
        raise WrongUse("The line has signs in it that cannot be printed: type it again.")
    return text


def _typed(at: Desk, words: Sequence[str]) -> Namespace:
    """The arguments of one deed, and what was said of the whole line beside it."""
    from service.console import main

    args = main.parser([*main.meant(words)]).parse_args(list(words))
    for name in ("on", "at", "by", "note"):
        said = getattr(at.args, name)
        if said is None:
            continue
        if name in ("on", "at", "by") and (getattr(args, name) or (name == "at" and args.on)):
            raise WrongUse(f"--{name} is given, and the line says it too: say it once.")
        setattr(args, name, said)
    args.json = at.args.json
    return args


class Clause(Desk):
    """The desk of one deed of a line: it hands over what it would write, and waits."""

    def __init__(self, at: Desk, args: Namespace, ahead: int) -> None:
        super().__init__(args, at.ledger, at.started)
        self.ahead = ahead
        self.handed: asyncio.Future[list[Draft]] = asyncio.get_running_loop().create_future()
        self.written: asyncio.Future[tuple[list[Entry], list[Concern]]] = (
            asyncio.get_running_loop().create_future()
        )
        args.desk = self
        self.task = asyncio.ensure_future(args.run(args))

    async def write(  # type: ignore[explicit-override]
        self, bodies: Sequence[Body]
    ) -> tuple[list[Entry], list[Concern]]:
        self.handed.set_result(self.drafts(bodies))
        return await self.written

    async def ready(self) -> list[Draft]:
        """What the deed would write; what stops it is raised."""
        await asyncio.wait((self.handed, self.task), return_when=asyncio.FIRST_COMPLETED)
        if self.task.done():
            self.task.result()
        return self.handed.result()


async def _together(at: Desk, args: Sequence[Namespace]) -> int:
    clauses: list[Clause] = []
    drafts: list[list[Draft]] = []
    try:
        for one in args:
            clauses.append(Clause(at, one, ahead=sum(len(some) for some in drafts)))
            drafts.append(await clauses[-1].ready())
        _apart(at, drafts)
        before = {concern.key for concern in at.book.concerns()}
        entries = await at.ledger.write([draft for some in drafts for draft in some])
        raised = [one for one in at.book.concerns() if one.key not in before]
        said = []
        for clause, some in zip(clauses, drafts, strict=True):
            own, entries = entries[: len(some)], entries[len(some) :]
            clause.more = clause is not clauses[-1]
            clause.written.set_result((own, [] if clause.more else raised))
            kept = io.StringIO()
            with contextlib.redirect_stdout(kept if at.args.json else sys.stdout):
                await clause.task
            if at.args.json:
                said.append(json.loads(kept.getvalue()))
        if at.args.json:
            print_json(said)
    finally:
        for clause in clauses:
            clause.task.cancel()
        await asyncio.gather(*(clause.task for clause in clauses), return_exceptions=True)
    return 0


def _apart(at: Desk, drafts: Sequence[Sequence[Draft]]) -> None:
    """Deeds of one line do not know of each other: no food is in two of them, but to be counted."""
    foods = Foods(at.book)
    seen: dict[str, set[str | None]] = {}
    for some in drafts:
        own: dict[str, set[str | None]] = {}
        for draft in some:
            counted = draft.body.store if isinstance(draft.body, Counted) else None
            own.setdefault(_food(at, foods, draft.body), set()).add(counted)
        own.pop("", None)  # of no food: a reading, empty jars
        for food, stores in own.items():
            others = seen.setdefault(food, set())
            if others and (None in stores | others or stores & others):
                raise NeedsChoice(
                    f"Two deeds of that line are of {food}: say them in two lines, the first one "
                    "first. Nothing was written."
                )
            others |= stores


def _food(at: Desk, foods: Foods, body: Body) -> str:
    if isinstance(body, Received | Ordered):
        return foods.canonical(body.food)
    lot = at.book.lot(getattr(body, "lot", ""))
    return foods.canonical(lot.food) if lot is not None and lot.food else ""
