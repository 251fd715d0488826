"""The grammar of a line: one deed or several, each with what, how much, where, when and who.

Every reading that the line allows is handed back, not the likeliest. Whatever is left over makes
the line not understood: there is no skipping of words. What the names mean is not asked here.
"""

import re
from collections.abc import Iterable
from functools import lru_cache

from lark import Lark, Token, Tree, UnexpectedInput
from lark.visitors import CollapseAmbiguities
from msgspec import Struct

from service.console.speech.lexicon import (
    DAYS,
    EVENTS,
    FACTS,
    LOADS,
    MEANT,
    MONTHS,
    NUMBERS,
    OUTAGES,
    PACKED,
    RESERVED,
    UNDOING,
    VERBS,
    Lexicon,
)
from service.errors import WrongUse

SHARED = """
amount: (QTY UNIT QTY UNIT | QTY UNIT | QTY | REST) _OF?
place: PLACE | KNOWN
%ignore / +/
"""

OF_DEEDS = """
start: (WHEN _COMMA?)? deed (_AND deed)*
deed: (_THE? WHO)? VERB part (_AND part)*
    | (_THE? WHO)? READ shown
    | (_THE? WHO)? EMPTY vessels
shown: READING (_COMMA? tail)* -> part
vessels: VESSELS (_COMMA? tail)* -> part
part: amount? _THE? (_LOT? CODE | _LOT CODED | NAME | KNOWN) (_COMMA? tail)*
tail: FROM _THE? place -> from
    | TO _THE? place -> to
    | IN _THE? place -> inside
    | WHEN -> when
    | FOR _THE? NAME -> purpose
    | FOR PRICE -> price
    | UNTIL DAY -> until
    | _DUE DAY -> due
    | QTY UNIT? SEEN -> seen
    | LEFT -> left
    | WHY TEXT -> why
"""

OF_OWN_FORM = """
start: (WHEN _COMMA?)? own
own: UNDO -> undo
    | _SETTLED WHICH _SAYING TEXT -> settle
    | _THE? FACT _OF _THE? what _IS _THE? FACTED -> fact
    | _THE? what _BELONGS _THE? FACTED -> belongs
    | _THE? what _PUT _AT HEIGHT -> height
    | _THE? what _PUT _WITHOUT -> acidless
    | _THE? what (_PUT | _MADE) DAY -> made
    | _THE? OUTAGE IN _THE? place span* -> befell
    | _THE? place BEFELL span* -> befell
    | _THERE? EVENT (IN | _GOT) _THE? place span* -> befell
    | (_THE? WHO)? LOADED sizes _OF? _THE? what into? FROM source (_AND source)* into? (_COMMA? WHEN)? -> load
    | (_THE? WHO)? REPACKED source (FROM _THE? place)? TO sizes holds? stands? (_COMMA? WHEN)? -> repack
sizes: QTY UNIT (_AND QTY UNIT)*
source: amount _THE? what stands?
stands: IN _THE? place
into: TO _THE? place
holds: _OF QTY UNIT
span: WHEN -> when
    | _SINCE WHEN -> since
    | BETWEEN -> between
    | FROMTO -> fromto
what: _LOT? CODE | _LOT CODED | NAME | KNOWN
"""

CLOCK = r"[0-9]{1,2}(?::[0-9]{2}(?: ?[ap]m)?| ?[ap]m)"
FIGURE = r"[0-9]+[ -][0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]+(?:[.,][0-9]+)* ?[½¼¾⅓⅔⅛]|[0-9]+(?:[.,][0-9]+)*|[½¼¾⅓⅔⅛]"
ONE_READ = r"(?:minus |-)?[0-9]+(?:\.[0-9]+)? ?(?:(?:° ?|degrees )?[cf](?!\w)|%|percent(?!\w))"
HOW_LOADS = (
    "A load is said with what went in, as in “canned 7 quarts of beans from 14 lb of beans”, or "
    "with girnel put-up and girnel repack."
)
_MADE = re.compile(
    rf"^(?:[\w ]+?,? )?(?:{'|'.join(LOADS)}) (?:an?|{'|'.join(NUMBERS)}|[0-9½¼¾⅓⅔⅛][^ ]*) [a-z]",
    re.IGNORECASE,
)
"""A load and how much was made of it; "froze" alone may be what befell a store."""
_WENT_IN = re.compile(r"\b(?:from|out of|off)\b", re.IGNORECASE)
_LOAD = re.compile(r"\b(?:put up|canned|froze|repacked|packed anew)\b", re.IGNORECASE)
APART = ("reading", "jars")
"""Commands that are not of food, and whose words stand otherwise."""

PARTS = "half an?|a quarter of an?|a third of an?|three quarters of an?|two thirds of an?"
MANY = "a few|few|several|some|many|plenty"


class Said(Struct, frozen=True):
    """One part of a deed as it was said: `rule` and the words that stand under it."""

    rule: str
    words: tuple[str, ...]


class Part(Struct, frozen=True):
    """How much of what, and what is said of it."""

    amount: tuple[str, ...]
    """figures and units in turn; empty where none was said"""
    what: str
    tails: tuple[Said, ...]


class Deed(Struct, frozen=True):
    """A verb with its parts."""

    who: str | None
    verb: str
    parts: tuple[Part, ...]


class Source(Struct, frozen=True):
    """So much of what went into a load, and where it stood."""

    amount: tuple[str, ...]
    what: str
    place: str | None


class Own(Struct, frozen=True):
    """A deed that is said in a form of its own: `rule`, and what stands under which name."""

    who: str | None
    rule: str
    said: dict[str, tuple[str, ...]]
    sources: tuple[Source, ...] = ()


class Reading(Struct, frozen=True):
    """One way to read a line."""

    when: str | None
    deeds: tuple[Deed, ...]
    own: Own | None = None
    """the line is this one deed"""


def read(line: str, lexicon: Lexicon) -> list[Reading]:
    """Every reading of a line, none twice.

    Raises:
        WrongUse: it is not wholly understood; the sentence says what was read and what was not.
    """
    found: list[Reading] = []
    reached = 0
    for rules in (OF_DEEDS, OF_OWN_FORM) if _OWN.search(line) else (OF_DEEDS,):
        own = rules is OF_OWN_FORM
        try:
            tree = _parser(SHARED + rules + _terminals(lexicon, own=own)).parse(line)
        except UnexpectedInput as error:
            reached = max(reached, _place(error.pos_in_stream, line))
            continue
        for each in CollapseAmbiguities().transform(tree):
            reading = _reading(each)
            if reading not in found:
                found.append(reading)
    if not found:
        if _MADE.search(line) and not _WENT_IN.search(line):
            raise WrongUse(
                f'"{line}" does not say what went in: write "from" and that. {HOW_LOADS}'
            )
        elsewhere = f" {HOW_LOADS}" if _LOAD.search(line) else ""
        raise WrongUse(_not_read(line, reached) + elsewhere)
    return found


@lru_cache(maxsize=16)
def _parser(rules: str) -> Lark:
    """A grammar made ready; lines of the same units and names share one."""
    return Lark(rules, parser="earley", lexer="dynamic", ambiguity="explicit")


def _place(position: int | None, line: str) -> int:
    """Where reading stopped; at the end where more was expected."""
    return len(line) if position is None or position < 0 else position


def _not_read(line: str, at: int) -> str:
    while 0 < at < len(line) and line[at - 1].isalnum() and line[at].isalnum():
        at -= 1
    before, rest = line[:at].strip(" ,"), line[at:].strip(" ,")
    if not rest:
        return f'Read: "{before}", and then more was expected. Nothing was written.'
    if not before:
        return f'Not read: "{rest}". A line begins with who or what was done. Nothing was written.'
    return f'Read: "{before}". Not read: "{rest}". Nothing was written.'


def _terminals(lexicon: Lexicon, *, own: bool) -> str:
    end = r"(?![\w'½¼¾⅓⅔⅛-])"
    word = rf"(?!(?:{_any(RESERVED)}){end})[^\W\d_][^\W\d_]*(?:['\u2019-][^\W\d_]+)*{end}"
    first = rf"(?!(?:{_any(RESERVED)}){end})[^\W\d_][\w'\u2019-]*{end}"
    more = rf"(?:{word}|[0-9]+{end})"
    shelf = r"[^\W\d_][\w'\u2019-]*(?:/[\w'\u2019-]+)+"
    units = _any(lexicon.units)
    figure = rf"(?:{FIGURE})(?=(?:{units}){end}|[^\w/.½¼¾⅓⅔⅛]|$)"
    number = rf"{figure} ?(?:-|to |or ){figure}|{figure}(?: or more{end}| ?\+(?= |$))?"
    about = rf"(?:(?:about|around|roughly|exactly|at least|up to){end} ?|~ ?)?"
    day = _day(end)
    part = rf"(?: (?:in the |at )?(?:morning|afternoon|evening|night){end}| at {CLOCK}{end})?"
    whole = "this morning|this afternoon|this evening|tonight|last night|last evening|last month"
    other = f"(?!.*{_once(end)})"
    terminals = {
        "WHO": rf"(?:{_any({'i', *lexicon.members})}){end}",
        "VERB": rf"(?:{_any(verb for verb in MEANT if MEANT[verb] not in APART)}){end}",
        "READ": rf"(?:{_any(VERBS['reading'])}){end}",
        "EMPTY": rf"(?:{_any(VERBS['jars'])}){end}",
        "READING": rf"{ONE_READ}(?: and {ONE_READ})?",
        "VESSELS": rf"[0-9]+ (?:dozen )?{word}(?: {word})*",
        "CODE": rf"(?=[a-z-]*[0-9*~$=])[0-9a-z][0-9a-z-]{{3,}}(?:[0-9a-z*~$=]|:[0-9]+:[0-9]+){end}",
        "CODED": rf"[0-9a-z][0-9a-z-]{{3,}}[0-9a-z*~$=]{end}",
        "NAME": rf"{word}(?: {word})*",
        "KNOWN": rf"(?:{_any(lexicon.known)}){end}",
        "PLACE": rf"{shelf}{end}|{first}(?: {more})*",
        "UNIT": rf"(?:{units}){end}",
        "QTY": rf"{about}(?:{number}|(?:{PARTS}|{MANY}|{_any(NUMBERS)}){end})",
        "REST": rf"(?:the rest|rest|all){end}",
        "WHEN": rf"(?:{whole}){end}|(?:{day}){part}|at {CLOCK}{end}",
        "DAY": day,
        "FROM": rf"(?:from|out of|off){end}",
        "TO": rf"(?:into|to){end}",
        "IN": rf"in{end}",
        "FOR": rf"for{end}",
        "PRICE": rf"[£$€]?[0-9]+(?:\.[0-9]+)?(?: (?:pounds|dollars|euros|pence|cents))?{end}",
        "UNTIL": rf"until{end}",
        "SEEN": rf"(?:seen|sound|wrong|not sound){end}",
        "LEFT": rf"left{end}",
        "_DUE": rf"due{end}",
        **(_own(end, word, day) if own else {}),
        "WHY": rf":|because{end}",
        "TEXT": rf"{other}[^\s:;][^:;]*",
        "_THE": rf"(?:the|our|my){end}",
        "_OF": rf"of{end}",
        "_LOT": rf"lot{end}",
        "_COMMA": ",",
        "_AND": rf", ?and then{end}|, ?and{end}|and then{end}|and{end}|, ?then{end}|,|;",
    }
    slash = r"\/"
    return "\n".join(
        f"{name}: /{pattern.replace('/', slash)}/i" for name, pattern in terminals.items()
    )


def _day(end: str) -> str:
    """A day told in words or figures."""
    months, nth = _any(MONTHS), "[0-9]{1,2}(?:st|nd|rd|th)"
    year = r"(?:,? [0-9]{4})?"
    two = "[0-9]{1,2}(?:st|nd|rd|th)?"
    return "|".join(
        f"{form}{end}"
        for form in (
            "the day before yesterday",
            "yesterday",
            "today",
            r"(?:on )?[0-9]{4}-[0-9]{2}-[0-9]{2}",
            rf"(?:on )?(?:the )?[0-9]{{1,2}}(?:st|nd|rd|th)?(?: of)? (?:{months}){year}",
            rf"(?:on |between |from )?(?:the )?{two} ?(?:-|to|and) ?{two}(?: of)? (?:{months}){year}",
            rf"(?:on )?(?:{months}) (?:the )?[0-9]{{1,2}}(?:st|nd|rd|th)?{year}",
            f"on the {nth}",
            f"(?:on last|on|last) (?:{_any(DAYS)})",
            f"(?:{_any(DAYS)})",
            f"(?:{_any(NUMBERS)}|[0-9]{{1,3}}) (?:day|week)s? ago",
        )
    )


_OWN = re.compile(
    rf"{UNDOING.pattern}|\b(?:settled?|belongs?|was|were|got|came|flooded|froze|thawed|repacked|"
    rf"{'|'.join((*FACTS, *OUTAGES, *EVENTS, *LOADS, *PACKED))})\b",
    re.IGNORECASE,
)
"""A word of a deed that is said in a form of its own: only then is its grammar made."""


def _own(end: str, word: str, day: str) -> dict[str, str]:
    """The words of the deeds that are said in a form of their own."""
    hour = r"(?:noon|[0-9]{1,2}(?::[0-9]{2})? ?[ap]m|[0-9]{1,2}(?::[0-9]{2})?)"
    to = "(?:to|until|till)"
    was = "(?:was|were|is|are)"
    return {
        "UNDO": rf"(?:{UNDOING.pattern}){end}",
        "_SETTLED": rf"(?:settled|settle) concern{end}",
        "WHICH": rf"[0-9]{{1,3}}{end}",
        "_SAYING": ":|,",
        "FACT": rf"(?:{_any(FACTS)}){end}",
        "_IS": rf"{was}{end}",
        "FACTED": rf"(?:{word}|[0-9]+{end})(?: (?:{word}|[0-9]+{end}))*",
        "_BELONGS": rf"belongs? to{end}",
        "_PUT": rf"(?:was|were) (?:put up|canned|processed){end}",
        "_MADE": rf"(?:was|were) made{end}",
        "_AT": rf"at{end}",
        "HEIGHT": rf"[0-9][0-9,.]* ?(?:ft|feet|m|metres|meters){end}",
        "_WITHOUT": rf"without (?:its |the |any )?acid{end}",
        "OUTAGE": rf"(?:{_any(OUTAGES)}) (?:was out|went out|was off|went off|failed|was cut){end}",
        "BEFELL": rf"(?:was )?flooded{end}|froze{end}|thawed{end}|was off{end}"
        rf"|was (?:left )?open{end}",
        "_THERE": rf"there was{end}",
        "EVENT": rf"(?:a |an )?(?:{_any(EVENTS)}){end}",
        "_GOT": rf"(?:got|came) in(?:to)?{end}|(?:were|was) in{end}",
        "_SINCE": rf"since{end}",
        "BETWEEN": rf"(?:from|between) {hour} {to} {hour}{end}",
        "FROMTO": rf"from (?:{day})(?: at)? {hour} {to} (?:(?:{day})(?: at)? )?{hour}{end}",
        "LOADED": rf"(?:{_any(LOADS)}){end}",
        "REPACKED": rf"(?:{_any(PACKED)}){end}",
    }


def _once(end: str) -> str:
    """What must not be lost in a free text: another deed, a day."""
    words = {*MEANT, *PACKED, *DAYS, "yesterday", "today", "until", "put up", "undo"}
    made = rf"(?:{_any(LOADS)}) (?:{_any(NUMBERS)}|[0-9½¼¾⅓⅔⅛])"
    return rf"(?<![\w-])(?:(?:{_any(words)}){end}|{made})"


def _any(words: Iterable[str]) -> str:
    """One of the words; of none, what matches nothing."""
    longest = sorted(words, key=lambda word: (-len(word), word))
    return "|".join(re.escape(word) for word in longest) or r"(?!)x"


# -- from trees to readings --------------------------------------------------------------------


def _reading(tree: "Tree[Token]") -> Reading:
    whens = [_text(child) for child in tree.children if isinstance(child, Token)]
    when = whens[0] if whens else None
    trees = [child for child in tree.children if isinstance(child, Tree)]
    if trees and trees[0].data != "deed":
        return Reading(when, (), _own_deed(trees[0]))
    return Reading(when, tuple(_deed(child) for child in trees))


def _own_deed(tree: "Tree[Token]") -> Own:
    """What stands under which name: a word by its terminal, a group by its rule."""
    said: dict[str, tuple[str, ...]] = {}
    sources: list[Source] = []
    for child in tree.children:
        words: tuple[str, ...] = ()
        if isinstance(child, Token):
            name, words = child.type.casefold(), (_text(child),)
        elif child.data == "source":
            sources.append(_source(child))
            continue
        else:
            name, words = str(child.data), _words(child)
        said[name] = (*said.get(name, ()), *words)
    who = said.pop("who", (None,))[0]
    return Own(who, str(tree.data), said, tuple(sources))


def _source(tree: "Tree[Token]") -> Source:
    parts = {str(child.data): _words(child) for child in tree.children if isinstance(child, Tree)}
    return Source(parts["amount"], parts["what"][-1], parts.get("stands", (None,))[-1])


def _deed(tree: "Tree[Token]") -> Deed:
    tokens = {child.type: _text(child) for child in tree.children if isinstance(child, Token)}
    parts = tuple(_part(child) for child in tree.children if isinstance(child, Tree))
    verb = next(tokens[name] for name in ("VERB", "READ", "EMPTY") if name in tokens)
    return Deed(tokens.get("WHO"), verb.casefold(), parts)


def _part(tree: "Tree[Token]") -> Part:
    amount: tuple[str, ...] = ()
    what, tails = "", []
    for child in tree.children:
        if isinstance(child, Token):
            what = _text(child)
        elif child.data == "amount":
            amount = _words(child)
        else:
            tails.append(Said(str(child.data), _words(child)))
    return Part(amount, what, tuple(tails))


def _words(tree: "Tree[Token]") -> tuple[str, ...]:
    return tuple(_text(token) for token in tree.scan_values(lambda _: True))


def _text(token: Token) -> str:
    return " ".join(str(token).split())
