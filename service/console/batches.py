"""Loads of jars: the last one of a food, and the holds that what is known of one calls for.

A hold is laid where no source was read that such a jar was tested, or where its acid was left out;
it is told with what else can be done, and ended by people alone. Nothing here finds a jar good.
"""

import re
from collections.abc import Sequence
from itertools import islice

from events import tables
from events.book import Book
from events.kinds import (
    GRAIN,
    Body,
    Checked,
    Consumed,
    Gave,
    Held,
    PutUp,
    Received,
    Spoiled,
    Yield,
)
from events.lots.state import Identity, Lot
from events.lots.things import LOADS, makings
from events.readings.acid import left_out
from events.readings.batch import NOT_SEALED, SEAL_FAILED
from events.readings.beside_failed import CANNED
from events.readings.lots import measure, recipient, shown
from events.readings.words import happened, moment
from events.record import Record
from events.tables import Caution
from service.console import names
from service.console.cautions import Warn
from service.console.desk import Desk
from service.console.words import listed
from service.digests.caution import LOW, Cautions, signs
from service.errors import WrongUse

DAY = 86_400_000
"""Milliseconds: how long the choice to process anew is commonly said to stand."""

LOOKED_AT = 2000
"""Loads looked at for the last one of a food, the newest first."""

NO_ACID = "put up without its acid"
ONLY_BOILED = "low in acid, and put up without pressure"
GOOD = re.compile(r"\b(?:fine|good|ok|okay|sound|tight|sealed|nothing|no)\b(?!t)")
"""Words by which somebody says that they saw no such sign. Our own list."""
BAD = frozenset({SEAL_FAILED, "mould", "rot"})
"""What a sign in a jar may speak of."""
LOW_ACID = "home-canned-low-acid"
BOILED = frozenset({"boiling water", "boiling water canner", "water bath", "steam canner"})
"""Methods without pressure, in the trade's words."""


def again(book: Book, food: str) -> PutUp:
    """The newest load that stands and gave that food."""
    loads = [
        (book.place(entry.record.name), entry.record.stamp, entry.record.body)
        for entry in islice(book.newest_about(LOADS), LOOKED_AT)
        if isinstance(entry.record.body, PutUp) and book.stands(entry.record.name)
        and any(names.same_food(book, one.food, food) for one in entry.record.body.yields)
    ]  # fmt: skip
    if loads:
        return max(loads, key=lambda one: one[:2])[2]
    raise WrongUse(f"No load of {food} was ever put up: say it in full, without --again.")


def of_one_load(book: Book, lot: Lot) -> list[Lot]:
    """The lots that were put up together with it, itself among them."""
    if lot.maker is None or not isinstance(lot.maker.body, PutUp):
        return [lot]
    name = lot.maker.name
    found = (book.lot(f"{name}:{i}") for i in range(len(lot.maker.body.yields)))
    return [one for one in found if one is not None]


def to_be(name: str, one: Yield | Received) -> Lot:
    """A lot as it will be once it is written down."""
    identity = Identity(food=one.food, unit=one.amount.unit, variety=one.variety, form=one.form,
                        package=one.package)  # fmt: skip
    return Lot(name=name, identity=identity, maker=None, stands=True, facts={}, parcels=[],
               story=[], totals={}, concerns=[], names=frozenset({name}))  # fmt: skip


def holds(book: Book, lots: Sequence[Lot], making: PutUp | None = None) -> list[Held]:
    """The holds that lots call for by their jars' size, by the acid that was left out, and by a
    method that was not read of for food as low in acid.
    """
    asked = tables.load()
    found = []
    for lot in lots:
        cautions = Cautions(book, asked)
        cautions.coming(lot)
        if "no-quart" in cautions.called:
            found.append(Held(lot=lot.name, reason=no_size(asked.cautions["no-quart"])))
        if making is None:
            continue
        if left_out(making.acid) and _wants_acid(cautions):
            found.append(Held(lot=lot.name, reason=NO_ACID, since=_made(lot)))
        if LOW_ACID in cautions.called and only_boiled(making):
            found.append(Held(lot=lot.name, reason=ONLY_BOILED))
    return found


def is_canned(book: Book, lot: Lot) -> bool:
    """Whether it stands in jars or tins whose keeping hangs on a seal."""
    return lot.packed and Cautions(book, tables.load()).form(lot) in CANNED


def speaks_of_seal(finding: str | None) -> bool:
    """Whether what somebody saw is a sign that a jar has gone bad."""
    if finding is None or finding == NOT_SEALED or GOOD.search(finding.casefold()):
        return False
    return any(cause in BAD for cause in signs(finding))


def only_boiled(making: PutUp) -> bool:
    """Whether jars were put up in boiling water or steam, and no acid was recorded."""
    method = " ".join((making.method or "").casefold().replace("-", " ").split())
    return method in BOILED and not (making.acid and not left_out(making.acid))


def no_size(caution: Caution) -> str:
    """What is said of a size that was not tested: a table's word only where that was read."""
    if caution.source_id:
        return "no tested process for this size in the table here"
    return "no source read: a tested process for jars of this size"


def learnt(book: Book, lot: Lot, acid: str | None) -> list[Held]:
    """The holds on a load of which it is learnt later that its acid was left out."""
    fresh = []
    for one in of_one_load(book, lot):
        laid = [book.entry(mark) for mark in names.marks(one, aside=False)]
        reasons = {getattr(entry.record.body, "reason", None) for entry in laid if entry}
        if NO_ACID not in reasons:
            cautions = Cautions(book, tables.load())
            cautions.jars(one)
            if left_out(acid) and _wants_acid(cautions):
                fresh.append(Held(lot=one.name, reason=NO_ACID, since=_made(one)))
    return fresh


def _wants_acid(cautions: Cautions) -> bool:
    """Whether the jars count as low in acid, so that acid left out is a doubt about them."""
    return bool(cautions.called & LOW)


def _made(lot: Lot) -> str | None:
    return lot.maker.at if lot.maker else None


def warn_of(holds: Sequence[Held], lot: Lot, now_ms: int) -> "list[Warn]":
    """What is to be said beside holds on lots that were just put up."""
    reasons = {hold.reason for hold in holds}
    warns = [warn_of_acid(lot, now_ms)] if NO_ACID in reasons else []
    if ONLY_BOILED in reasons:
        warns.append(lambda cautions: cautions.called.add("only-boiled"))
    return warns


def warn_of_acid(lot: Lot, now_ms: int) -> "Warn":
    """What is left to do where the acid was left out: by the hours since it was put up."""
    key = "no-acid" if now_ms < lot.made_earliest + DAY else "no-acid-late"
    return lambda cautions: cautions.called.add(key)


def warn_of_seal(lot: Lot, now_ms: int) -> "Warn":
    """What is left to do with a jar that did not seal."""
    early = may_go_again(lot, now_ms) is not None
    return lambda cautions: cautions.called.add("unsealed" if early else "unsealed-late")


def may_go_again(lot: Lot, now_ms: int) -> int | None:
    """Until when (Unix ms) a load here may be processed anew, as is commonly said; None: no more."""
    if lot.maker is None or not isinstance(lot.maker.body, PutUp):
        return None
    until = lot.made_earliest + DAY
    return until if now_ms < until else None


def choices(at: Desk, lot: Lot, mark: str, until: int | None) -> list[str]:
    """What can be done with what is held, as the deeds that say it; once its hours have gone, one."""
    code = at.code(lot.name)
    toss = f'girnel toss HOW-MANY {code} --mark {mark} --cause "seal failed"'
    if until is None:
        return [f"What did not seal is held ({mark}) and not to be kept: {toss}"]
    says = (
        f"What did not seal is held ({mark}): until {moment(until, at.tz)} put up anew: "
        f'girnel put-up AMOUNT "{lot.food}" --of {code}=HOW-MANY --remedy {mark}; '
        f"frozen: girnel repack AMOUNT --of {code}=HOW-MANY --form frozen --remedy {mark}; "
        f"or {toss}"
    )
    return [says]


def gone(at: Desk, holds: Sequence[Held]) -> list[str]:
    """What was eaten or given of the lots that are held, before anybody knew."""
    said = []
    for lot in (at.book.lot(hold.lot) for hold in holds):
        for line in lot.lines if lot else ():
            body = line.record.body
            if lot is None or not isinstance(body, Consumed | Gave):
                continue
            went = [posting for posting in line.postings if posting.term in GONE]
            much = shown(measure(lot.unit, *(sum(getattr(p, end) for p in went) for end in ENDS)))
            to = recipient(lot, body.to) if isinstance(body, Gave) else ""
            whom = f" to {to}" if to else ""
            did = "eaten" if isinstance(body, Consumed) else f"given{whom}"
            when = happened(line.record.at, line.record.offset, at.tz)
            said.append(f"{much} of {at.code(lot.name)} {did} ({when})")
    if not said:
        return []
    more = f"; before that {len(said) - LATEST} more (girnel trail)" if len(said) > LATEST else ""
    return [f"Gone before it was known, see who had it: {'; '.join(said[-LATEST:])}{more}"]


LATEST = 12
"""No more than so many goings of a lot are listed beside a deed."""


GONE = frozenset({"consumed", "given"})
ENDS = ("n", "low", "high")


def rest_to_look_at(at: Desk, lot: Lot, loss: Body) -> list[str]:
    """The look that the rest of a lot wants, of which a seal failed; and what failures share."""
    own = loss.amount.n if isinstance(loss, Spoiled) else None
    left = max(0, lot.on_hand - (own or 0))
    said = shared(at, lot)
    if own is None or not left or not lot.packed:
        return said
    much = shown(measure(lot.unit, left, left, left))
    are = "is" if left == GRAIN else "are"
    look = f"girnel look {at.code(lot.name)} --seen HOW-MANY --unsealed HOW-MANY"
    return [f"Look at the {much} that {are} left of it: {look}", *said]


SHARED = {"lid_box": "the lid box", "machine": "the canner", "recipe": "the recipe"}
"""Facts of a load in which failures may have their cause."""

ASKED = {"lid_box"}
"""Of those, what is said to be unknown where an older load does not say it: a box goes back."""


def shared(at: Desk, lot: Lot) -> list[str]:
    """What other loads whose seals failed have in common with this one."""
    mine = _load_of(lot)
    found = []
    untold = []
    for fact, called in SHARED.items():
        said = getattr(mine, fact, None)
        alike = _failing(at, lot, fact, said) if said else []
        if alike:
            found.append(f"{called} ({said}: {listed(alike)})")
        if said and fact in ASKED and (others := _failing(at, lot, fact, None)):
            untold.append(
                f"Whether seals that failed in {listed(others)} share {called} cannot be told: "
                "it was not recorded"
            )
    lines = [f"Other loads of which seals failed share {listed(found)}"] if found else []
    return lines + untold


def _failing(at: Desk, lot: Lot, fact: str, said: str | None) -> list[str]:
    """Codes of other loads' lots with a seal that failed and that fact; None: not recorded."""
    return sorted(
        at.code(other.name)
        for load in islice(at.book.newest_about(LOADS), LOOKED_AT)
        if load.record.name != _record(lot) and getattr(load.record.body, fact, None) == said
        for other in _lots_of(at.book, load.record)
        if _failed(other)
    )


def _lots_of(book: Book, load: Record) -> list[Lot]:
    """The lots of a load."""
    return [lot for name in makings(load) if (lot := book.lot(name)) is not None]


def _load_of(lot: Lot) -> PutUp | None:
    return lot.maker.body if lot.maker and isinstance(lot.maker.body, PutUp) else None


def _record(lot: Lot) -> str:
    return lot.maker.name if lot.maker else lot.name


def _failed(lot: Lot) -> bool:
    """Whether a jar of the lot was thrown out for its seal, or found not sealed."""
    bodies = [line.record.body for line in lot.lines]
    return any(
        (isinstance(body, Spoiled) and body.cause == SEAL_FAILED)
        or (isinstance(body, Checked) and body.finding == NOT_SEALED)
        for body in bodies
    )
