"""Counting and looking: what somebody saw is there, and in what state.

A count says all that is there of a lot in a store; `--part` only what was seen of it. A store gone
through as a whole is one deed: what is not named is then in doubt. A look never changes a figure
save by what it saw beyond the log.
"""

from argparse import Namespace

from events.kinds import Amount, Body, Checked, Counted, Held, Incident, StoreCounted
from events.lots.places import within
from events.lots.state import Lot
from events.readings.batch import ALL_SEALED, NOT_SEALED
from service.clock import instant
from service.console import amounts, cautions, names, times
from service.console.commands import Commands, deed
from service.console.desk import Desk, desk
from service.console.echo import Told, tell, write
from service.console.words import said_amount
from service.errors import SeveralLots, Unheard, WrongUse


def add(commands: Commands) -> None:
    says = "food was counted or weighed; a whole store: --store STORE LOT=AMOUNT …"
    parser = deed(commands, "count", count, says)
    parser.add_argument(
        "words", metavar="AMOUNT LOT", nargs="*", help='how much is there: 7 7K3QF, "about 60" oats'
    )
    parser.add_argument("--in", dest="in_store", metavar="STORE", help="where it was counted")
    parser.add_argument("--store", metavar="STORE", help="all of this store was gone through")
    parser.add_argument("--part", action="store_true", help="only a part of the store was seen")
    parser.add_argument("--weighed", action="store_true", help="weighed: what is short has shrunk")
    parser.add_argument("--beside", metavar="AMOUNT", help='a second measure of it: "60 pieces"')
    parser = deed(commands, "look", look, "somebody looked at food: what was seen, what was sound")
    parser.add_argument("what", metavar="LOT")
    parser.add_argument("--in", dest="store", metavar="STORE", help="where it stands")
    parser.add_argument("--seen", metavar="AMOUNT", help="how much was seen")
    parser.add_argument("--sound", metavar="AMOUNT", help="how much of it was sound: 5, all")
    parser.add_argument("--wrong", metavar="AMOUNT", help="with how much something is wrong")
    parser.add_argument(
        "--unsealed", metavar="AMOUNT", help="how many did not seal: they are held; 0: all sealed"
    )
    parser.add_argument("--finding", help="what was found")
    parser.add_argument(
        "--for", dest="mark", metavar="RECORD", help="the hold that this look answers"
    )


async def count(args: Namespace) -> int:
    if args.store is not None:
        return await _through(args)
    if len(args.words) != 2:
        raise WrongUse(
            "A count says how much there is of which lot: girnel count 7 LOT --in STORE; "
            "a whole store: girnel count --store STORE LOT=7 LOT=3."
        )
    async with desk(args, writing=True) as at:
        store = at.store(args.in_store)
        body = _counted(at, args.words[0], args.words[1], store)
        if args.beside is not None:
            amount = amounts.beside(at.book, body.amount, args.beside)
            body = _one(at, body.lot, amount, store)
        did = f"{said_amount(body.amount)} {'weighed' if args.weighed else 'counted'}"
        did += f"{' in a part of' if args.part else ' in'} {store or 'the household'}"
        return await write(at, [(body, Told(body.lot, did, store))])


async def _through(args: Namespace) -> int:
    """A whole store gone through: one deed of many counts."""
    if args.in_store is not None or args.part or args.beside is not None:
        raise WrongUse(
            "--store says that all of a store was gone through: leave out --in, --part and --beside."
        )
    async with desk(args, writing=True) as at:
        store = at.store(args.store)
        counts = [_pair(at, typed, store) for typed in args.words]
        twice = {body.lot for body in counts if sum(body.lot == other.lot for other in counts) > 1}
        if twice:
            raise WrongUse(
                f"Lot {at.code(min(twice))} is named twice: say once how much of it is there."
            )
        bodies: list[Body] = [StoreCounted(store=store), *counts]
        entries, raised = await at.write(bodies)
        lines = [
            Told(
                body.lot, f"{said_amount(body.amount)} counted in {store}", store, entry.record.name
            )
            for body, entry in zip(counts, entries[1:], strict=True)
        ]
        tell(at, entries, lines, raised)
        if not lines and not args.json:
            print(f"All of {store} gone through, nothing there. Take it back: girnel undo")
    return 0


def _pair(at: Desk, typed: str, store: str) -> Counted:
    what, equals, amount = typed.rpartition("=")
    if not equals:
        raise WrongUse(f'"{typed}" does not say how much: write LOT=7.')
    return _counted(at, amount, what, store)


def _counted(at: Desk, amount: str, what: str, store: str) -> Counted:
    lot = _lot(at, amount, what, store)
    said = amounts.of_lot(at.book, lot, amount, nought=True)
    return _one(at, lot.name, said, store)


def _lot(at: Desk, amount: str, what: str, store: str) -> Lot:
    """The lot that was counted; what to type where there are several, or none that is known."""
    place = f" --in {store}" if store else ""
    try:
        return names.one_lot(at.book, what, store)
    except SeveralLots as asked:
        each = f"girnel count HOW-MANY CODE{place}"
        raise SeveralLots(
            f"{asked.sentence} A count is of one lot: count each by what stands on its lids, {each}; "
            "what stands there of none of them is found food, girnel bring-in … --origin found."
        ) from asked
    except Unheard as unknown:
        year = times.today(at.clock, at.zone).year
        found = f'girnel bring-in "{amount}" "{what}"{place} --origin found --made "before {year}"'
        raise WrongUse(
            f"{unknown.sentence} Food that nobody brought in is found food: {found}, with --form "
            "where it is home-canned or dried, and --made as near as is known."
        ) from unknown


def _one(at: Desk, lot: str, amount: Amount, store: str) -> Counted:
    return Counted(lot=lot, amount=amount, store=store, part=at.args.part, weighed=at.args.weighed)


async def look(args: Namespace) -> int:
    finding = names.word(args.finding, "--finding")
    said = (args.seen, args.sound, args.wrong, args.unsealed)
    if finding is None and said == (None, None, None, None):
        raise WrongUse(
            "A look says what was seen: --seen, --sound, --wrong, --unsealed or --finding."
        )
    async with desk(args, writing=True) as at:
        store = at.store(args.store)
        lot = names.one_lot(at.book, args.what, store)
        if args.unsealed is not None:
            return await _seals(at, lot, store, finding)
        seen, sound, wrong = (
            _seen(at, lot, typed) for typed in (args.seen, args.sound, args.wrong)
        )
        _fits(seen, sound, wrong)
        mark = None if args.mark is None else names.mark(at.book, args.mark, at.device)
        body = Checked(
            lot=lot.name,
            store=store,
            seen=seen,
            sound=sound,
            wrong=wrong,
            finding=finding,
            mark=mark,
        )
        did = ", ".join(
            [
                *(
                    f"{said_amount(a)} {word}"
                    for a, word in ((seen, "seen"), (sound, "sound"), (wrong, "not sound"))
                    if a
                ),
                *([finding] if finding else []),
            ]
        )
        told: list[tuple[Body, Told]] = [(body, Told(lot.name, did, store))]
        held, follow = _suspect(at, lot, body)
        told += [(one, Told(lot.name, f"{_much(one)} held ({one.reason})", None)) for one in held]
        follow += _unanswered(at, lot, body)
        return await write(at, told, cautions.for_look(lot, body), follow)


def _unanswered(at: Desk, lot: Lot, look: Checked) -> list[str]:
    """The hold of an incident that a look does not end, for it does not say that it answers it."""
    if look.mark is not None or look.sound is None:
        return []
    there = [parcel for parcel in lot.parcels if parcel.high and within(parcel.store, look.store)]
    laid = {mark for parcel in there for mark, _ in parcel.holds}
    said = []
    for mark in names.marks(lot, aside=False):
        entry = at.book.entry(mark)
        if mark in laid and entry is not None and isinstance(entry.record.body, Incident):
            place = f" --in {look.store}" if look.store else ""
            said.append(
                f"It stays held by the {entry.record.body.what} ({mark}). If this look answers that, "
                f"undo it and say: girnel look {at.code(lot.name)}{place} --sound "
                f'"{said_amount(look.sound)}" --for {mark}'
            )
    return said


def _suspect(at: Desk, lot: Lot, look: Checked) -> tuple[list[Held], list[str]]:
    """The hold on jars that a look found wrong; on all there, where it does not say how many."""
    from service.console import batches

    if look.mark is not None or not batches.is_canned(at.book, lot):
        return [], []
    amount = look.wrong
    if amount is None and look.sound is None and batches.speaks_of_seal(look.finding):
        hold = Held(lot=lot.name, store=look.store, reason=look.finding)
        mark = f"{at.device}:{at.next_seq + 1}"
        follow = (
            "It does not say how many, so all of them there are held: look at each, then girnel look "
            f"{at.code(lot.name)} --sound HOW-MANY --wrong HOW-MANY --for {mark}"
        )
        return [hold], [follow]
    if amount is None or (amount.n == 0 and amount.low is None):
        return [], []
    reason = look.finding or "not sound"
    return [Held(lot=lot.name, amount=amount, store=look.store, reason=reason)], []


def _much(hold: Held) -> str:
    return "all there" if hold.amount is None else said_amount(hold.amount)


async def _seals(at: Desk, lot: Lot, store: str, finding: str | None) -> int:
    """The look at the seals after a night: what did not seal is held, with what can be done."""
    from service.console import batches

    if at.args.sound is not None or at.args.wrong is not None or at.args.mark is not None:
        raise WrongUse("--unsealed says what is wrong: leave out --sound, --wrong and --for.")
    seen, open_ = _seen(at, lot, at.args.seen), amounts.of_lot(
        at.book, lot, at.args.unsealed, nought=True
    )  # fmt: skip
    _fits(seen, None, open_)
    some = open_.n != 0 or open_.low is not None
    found = finding or (NOT_SEALED if some else ALL_SEALED)
    body = Checked(lot=lot.name, store=store, seen=seen, wrong=open_, finding=found)
    did = f"{said_amount(seen)} seen, " if seen else ""
    did += f"{said_amount(open_)} {NOT_SEALED}" if some else ALL_SEALED
    told: list[tuple[Body, Told]] = [(body, Told(lot.name, did, store))]
    if not some:
        return await write(at, told)
    now = at.clock.now_ms()
    until = batches.may_go_again(lot, now)
    day = None if until is None else instant(until, at.clock.offset(until, at.zone))
    held = Held(lot=lot.name, amount=open_, store=store, reason=NOT_SEALED, until=day)
    told.append((held, Told(lot.name, f"{said_amount(open_)} held ({NOT_SEALED})", None)))
    mark = f"{at.device}:{at.next_seq + 1}"
    warns = [cautions.for_look(lot, body), batches.warn_of_seal(lot, now)]
    return await write(at, told, cautions.all_of(warns), batches.choices(at, lot, mark, until))


def _seen(at: Desk, lot: Lot, typed: str | None) -> Amount | None:
    if typed is None:
        return None
    if amounts.is_rest(typed):
        return amounts.rest(lot, at.store(at.args.store))
    return amounts.of_lot(at.book, lot, typed, nought=True)


def _fits(seen: Amount | None, sound: Amount | None, wrong: Amount | None) -> None:
    """Nobody finds more sound than they saw."""
    if seen is None or seen.n is None or seen.low is not None:
        return
    parts = [part.n for part in (sound, wrong) if part is not None and part.n is not None]
    if sum(parts) > seen.n:
        raise WrongUse(
            "More was sound or wrong than was seen: --sound and --wrong are parts of --seen."
        )
