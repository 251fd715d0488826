"""The week's digest: shown, shown as it would go out, sent by mail, and shown again as it was sent.

`--send` is for who does not serve: run it every quarter of an hour from the machine's own timetable,
and each reader has one digest a week, however often it runs. The household's log is open for moments
only; while a mail server takes its time, deeds are written as ever.
"""

from argparse import Namespace
from contextlib import AsyncExitStack
from pathlib import Path
from typing import TYPE_CHECKING

from service.console.commands import Commands, look
from service.console.desk import desk, started
from service.console.words import listed, print_json, table, width, wrap
from service.errors import HomeInUse, WrongUse

if TYPE_CHECKING:
    from events.projections.settings import Facts
    from events.tables import Tables
    from service.clock import Clock
    from service.digests.digest import Digest
    from service.digests.outbox import Tally
    from service.ledger import Ledger
    from service.settings import Mail, Settings
    from service.storage.letters import Letter
    from service.storage.mail import MailFile

NO_SERVER = (
    "No mail server is set: GIRNEL_MAIL_SERVER=host:587 and GIRNEL_MAIL_FROM=name@host, with "
    "GIRNEL_MAIL_LOGIN and GIRNEL_MAIL_PASSWORD where the server wants them."
)
WAITS = (
    "The log was set back, so mail waits until {}, or until every other device of the household has "
    "been heard; girnel digest --send --go-on sends it now."
)
SAID = {
    "waiting": "waiting", "sending": "being sent", "unwanted": "not wanted",
}  # fmt: skip


def add(commands: Commands) -> None:
    parser = look(commands, "digest", digest, "the week's work list; by mail, once a week")
    parser.add_argument(
        "--send", action="store_true", help="send what is due; run it from the machine's timetable"
    )
    parser.add_argument(
        "--go-on", action="store_true", help="with --send: mail that waits after a restore goes out"
    )
    parser.add_argument("--every", metavar="HOUR", help='the household\'s own hour: "Sunday 18:00"')
    parser.add_argument(
        "--preview", metavar="FILE", help="the mail that would go out now, as a new HTML file"
    )
    parser.add_argument("--test-mail", metavar="MEMBER", help="send a trial to a reader now")
    parser.add_argument(
        "--sent", action="store_true", help="what became of mail; with --week that digest again"
    )
    parser.add_argument("--week", metavar="WEEK", help="like 2026-W47")


def understood(facts: "Facts") -> "Facts":
    """Facts about a member, where what mail goes by is understood. Raises WrongUse."""
    from service.digests.readers import wrong

    for fact, text in facts.items():
        if text and (said := wrong(fact, text)):
            raise WrongUse(said)
    return facts


async def digest(args: Namespace) -> int:
    ways = {
        "--send": args.send, "--every": args.every, "--preview": args.preview,
        "--test-mail": args.test_mail, "--sent": args.sent,
    }  # fmt: skip
    said = [name for name, value in ways.items() if value]
    if len(said) > 1:
        raise WrongUse(f"{listed(said)} are several things: say one at a time.")
    if args.go_on and not args.send:
        raise WrongUse("--go-on goes with --send.")
    if args.week and not args.sent:
        raise WrongUse("--week goes with --sent.")
    if said and args.on:
        raise WrongUse(f"--on shows a day's digest on the console; it does not go with {said[0]}.")
    return await {
        "--send": send, "--every": every, "--preview": preview, "--test-mail": trial,
        "--sent": sent,
    }.get(said[0] if said else "", shown)(args)  # fmt: skip


async def shown(args: Namespace) -> int:
    from service.digests import render
    from service.looks import stock

    async with desk(args, writing=False) as at:
        asked = at.asked()
        if args.json:
            print_json(stock.digest(asked))
        else:
            print(render.text(stock.week(asked), min(width(), render.WIDTH)), end="")
    return 0


# -- when ------------------------------------------------------------------------------------------


async def every(args: Namespace) -> int:
    """Set the household's hour, a fact of the household itself."""
    from events.kinds import StoreSet
    from service.clock import instant, zone
    from service.drafts import Draft
    from service.jobs.due import hour_of, next_due

    try:
        hour = hour_of(args.every)
    except ValueError as wrong:
        raise WrongUse(str(wrong)) from None
    async with desk(args, writing=True) as at:
        body = StoreSet(store="", facts={"digest": str(hour)})
        await at.ledger.write([Draft(body=body)])
        due = next_due(at.clock.now_ms(), hour, zone(at.zone))
        moment = instant(due.ms, at.clock.offset(due.ms, at.zone))
        if args.json:
            print_json({"every": str(hour), "next": moment})
        else:
            print(wrap(f"The digest is of every {hour}; the next comes due at {moment}."))
    return 0


# -- sending ---------------------------------------------------------------------------------------


async def send(args: Namespace) -> int:
    from service import assemble
    from service.clock import instant
    from service.jobs import household
    from service.jobs.heard import note, waits_until
    from service.sync import ticket

    how = started(args)
    if ticket.kept(how.home):
        raise WrongUse(
            f"{how.home} follows a service: the home that keeps the log sends the digests."
        )
    clock, mail = how.clock(), _server()
    async with assemble.open_home(how.home, clock, writing=False) as ledger:
        timezone = ledger.household.timezone  # and there is one: else no file is made beside it
    if args.go_on:
        household.give_word(how.home)
    async with AsyncExitStack() as open_till_then:
        try:
            box = await open_till_then.enter_async_context(household.open_box(how.home, clock))
        except HomeInUse:
            if not args.go_on:
                raise
            print("Another process sends the mail of this home: what waits goes out in a minute.")
            return 0
        await _settle(how, box, mail)
        until = await waits_until(box, clock.now_ms())
        tally = await household.bring_out(box, mail, clock)
        if await box.unnoted():
            async with assemble.open_home(how.home, clock, writing=True) as ledger:
                await note(ledger, box, clock.now_ms())
    if until is not None:
        print(wrap(WAITS.format(instant(until, clock.offset(until, timezone)))))
        return 1
    print(wrap(_told(tally)))
    return 1 if tally.refused or tally.unknown or tally.said else 0


async def _settle(how: "Settings", box: "MailFile", mail: "Mail") -> None:
    """Claim what is due, once it is known whether mail has to wait."""
    from service import access, assemble
    from service.clock import RandomIds
    from service.jobs import household, work

    clock = how.clock()
    async with assemble.open_home(how.home, clock, writing=True) as ledger:
        office = work.Office(ledger, box, _tables(), mail, RandomIds())
        await household.heed_word(how.home, box, ledger, clock.now_ms())
        await work.settle(office, clock.now_ms())
        if (how.home / access.FILE).is_file():
            doors = access.at(how.home, clock, RandomIds())
            try:
                await household.ask_devices(box, doors, ledger, clock.now_ms())
            finally:
                doors.close()
        await work.settle_notes(office, clock.now_ms())


def _told(tally: "Tally") -> str:
    said = [
        f"{count} {what}"
        for count, what in (
            (tally.sent, "sent"),
            (tally.refused, "refused by the server"),
            (tally.unknown, "outcome unknown"),
            (tally.waiting, "waiting"),
        )
        if count
    ]
    if tally.said:
        said.append(f"the mail server was not reached ({tally.said}); it is tried again")
    return f"{'; '.join(said)}." if said else "Nothing is due."


async def trial(args: Namespace) -> int:
    from service.clock import RandomIds
    from service.digests import message
    from service.digests.deliver import Smtp
    from service.digests.readers import readers
    from service.storage.letters import Letter

    mail = _server()
    async with desk(args, writing=False) as at:
        found = [reader for reader in readers(at.book) if reader.name == args.test_mail]
        if not found:
            raise WrongUse(
                f"{args.test_mail} has no mail address here: "
                f'girnel member set "{args.test_mail}" mail=name@host'
            )
        household, now = at.ledger.household, at.clock.now_ms()
    secret = RandomIds().household()
    sender = message.From(household.id, household.name, household.timezone, mail, secret)
    content = message.of_trial(found[0], sender, now)
    letter = Letter(reader=found[0].name, period="trial", made=now, address=found[0].address,
                    message=content)  # fmt: skip
    door = Smtp(mail)
    try:
        answer = await door.hand_over(letter, _begin)
    finally:
        await door.close()
    words = {"taken": "The server took it for", "refused": "The server refused it for",
             "later": "The server wants it later for", "unknown": "The outcome is unknown for",
             "unreached": "The server was not reached for"}  # fmt: skip
    print(wrap(f"{words[answer.kind]} {letter.address}: {answer.said}"))
    return 0 if answer.kind == "taken" else 1


async def _begin() -> None:
    """A trial is claimed by nobody."""


# -- what would go out, and what did -----------------------------------------------------------------


async def preview(args: Namespace) -> int:
    from service.digests import html

    async with desk(args, writing=False) as at:
        page = html.page(await _next(at.started.home, at.ledger, at.clock))
    path = _written(args.preview, page)
    print(wrap(f"The mail as it would go out now is in {path}."))
    return 0


def _written(typed: str, page: str) -> Path:
    """A new file with that page; an old one is never written over."""
    path = Path(typed).expanduser()
    try:
        with path.open("x", encoding="utf-8") as file:
            file.write(page)
    except FileExistsError:
        raise WrongUse(f"{path} is there already: name a new file.") from None
    except OSError as wrong:
        raise WrongUse(f"{path} cannot be written ({wrong.strerror}): name another.") from None
    return path


async def sent(args: Namespace) -> int:
    from service.clock import instant
    from service.digests import render
    from service.digests.digest import Digest
    from service.jobs.heard import until_when

    async with desk(args, writing=False) as at:
        box = await _box(at.started.home)
        timezone, now = at.ledger.household.timezone, at.clock.now_ms()
        clock = at.clock
    try:
        until = until_when(await box.meta(), now) if box else None
        letters = await box.letters() if box else []
        kept = await box.kept(args.week) if box and args.week else None
    finally:
        if box is not None:
            await box.close()
    if args.week is None:
        _list(args, letters, timezone)
        if until is not None and not args.json:
            print(wrap(WAITS.format(instant(until, clock.offset(until, timezone)))))
        return 0
    if kept is None:
        raise WrongUse(
            f"No digest of {args.week} was sent from here: girnel digest --sent lists them."
        )
    import msgspec

    again = msgspec.json.decode(kept.digest, type=Digest)
    if args.json:
        print_json(msgspec.to_builtins(again))
    else:
        print(render.text(again, min(width(), render.WIDTH)), end="")
    return 0


def _list(args: Namespace, letters: "list[Letter]", timezone: str) -> None:
    from service.clock import instant, offset
    from service.storage.letters import OUTCOMES

    rows = [
        {
            "period": one.period,
            "reader": one.reader,
            "outcome": OUTCOMES.get(one.state) or SAID[one.state],
            "made": instant(one.made, offset(one.made, timezone)),
            "tries": one.attempts,
            "answer": one.answer,
            "message_id": one.message_id,
        }
        for one in letters
    ]
    if args.json:
        print_json(rows)
    elif not rows:
        print("No mail has gone out from here.")
    else:
        cells = [[str(row[key]) for key in ("period", "reader", "outcome", "tries", "message_id")]
                 for row in rows]  # fmt: skip
        print(table(("of", "to", "outcome", "tries", "Message-ID"), cells))


async def _next(home: Path, ledger: "Ledger", clock: "Clock") -> "Digest":
    """The digest that would go out now, for a reader who chose every section."""
    from service.jobs.work import next_digest

    box = await _box(home)
    try:
        return (await next_digest(ledger, box, _tables(), clock.now_ms())).digest
    finally:
        if box is not None:
            await box.close()


async def _box(home: Path) -> "MailFile | None":
    """Outgoing mail, for looking only; None where none was ever sent."""
    from service.jobs.household import BOX
    from service.storage.mail import open_mail

    return await open_mail(home / BOX, writing=False) if (home / BOX).is_file() else None


def _server() -> "Mail":
    from service import settings

    mail = settings.mail()
    if mail is None:
        raise WrongUse(NO_SERVER)
    return mail


def _tables() -> "Tables":
    from events import tables

    return tables.load()
