"""The grammar of a line: one deed or several, each with what, how much, where, when and who.

Every reading that the line allows is handed back, not the likeliest. Whatever is left over makes
the line not understood: there is no skipping of words. What the names mean is not asked here.
"""

import re
from collections.abc import Iterable

from lark import Lark, Token, Tree, UnexpectedInput
from lark.visitors import CollapseAmbiguities
from msgspec import Struct

from service.console.speech.lexicon import DAYS, MEANT, MONTHS, NUMBERS, RESERVED, VERBS, Lexicon
from service.errors import WrongUse

RULES = """
start: (WHEN _COMMA?)? deed (_AND deed)*
deed: (_THE? WHO)? VERB part (_AND part)*
    | (_THE? WHO)? READ shown
    | (_THE? WHO)? EMPTY vessels
shown: READING (_COMMA? tail)* -> part
vessels: VESSELS (_COMMA? tail)* -> part
part: amount? _THE? (_LOT? CODE | NAME | KNOWN) (_COMMA? tail)*
amount: (QTY UNIT QTY UNIT | QTY UNIT | QTY | REST) _OF?
tail: FROM _THE? place -> from
    | TO _THE? place -> to
    | IN _THE? place -> inside
    | WHEN -> when
    | FOR _THE? NAME -> purpose
    | FOR PRICE -> price
    | UNTIL DAY -> until
    | QTY UNIT? SEEN -> seen
    | LEFT -> left
    | WHY TEXT -> why
place: PLACE | KNOWN
%ignore / +/
"""

CLOCK = r"[0-9]{1,2}(?::[0-9]{2}(?: ?[ap]m)?| ?[ap]m)"
FIGURE = r"[0-9]+[ -][0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]+(?:[.,][0-9]+)* ?[½¼¾⅓⅔⅛]|[0-9]+(?:[.,][0-9]+)*|[½¼¾⅓⅔⅛]"
ONE_READ = r"(?:minus |-)?[0-9]+(?:\.[0-9]+)? ?(?:(?:° ?|degrees )?[cf](?!\w)|%|percent(?!\w))"
LOADS = "A load is said with girnel put-up, food packed anew with girnel repack."
_LOAD = re.compile(r"\b(?:put up|canned|repacked|packed anew)\b", re.IGNORECASE)
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


class Reading(Struct, frozen=True):
    """One way to read a line."""

    when: str | None
    deeds: tuple[Deed, ...]


def read(line: str, lexicon: Lexicon) -> list[Reading]:
    """Every reading of a line, none twice.

    Raises:
        WrongUse: it is not wholly understood; the sentence says what was read and what was not.
    """
    parser = Lark(
        RULES + _terminals(lexicon), parser="earley", lexer="dynamic", ambiguity="explicit"
    )
    try:
        tree = parser.parse(line)
    except UnexpectedInput as error:
        elsewhere = f" {LOADS}" if _LOAD.search(line) else ""
        raise WrongUse(_not_read(line, error.pos_in_stream) + elsewhere) from None
    found: list[Reading] = []
    for each in CollapseAmbiguities().transform(tree):
        reading = _reading(each)
        if reading not in found:
            found.append(reading)
    return found


def _not_read(line: str, position: int | None) -> str:
    at = len(line) if position is None or position < 0 else position
    while 0 < at < len(line) and line[at - 1].isalnum() and line[at].isalnum():
        at -= 1
    before, rest = line[:at].strip(" ,"), line[at:].strip(" ,")
    if not rest:
        return f'Read: "{before}", and then more was expected. Nothing was written.'
    if not before:
        return f'Not read: "{rest}". A line begins with who or what was done. Nothing was written.'
    return f'Read: "{before}". Not read: "{rest}". Nothing was written.'


def _terminals(lexicon: Lexicon) -> str:
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
    return "|".join(
        f"{form}{end}"
        for form in (
            "the day before yesterday",
            "yesterday",
            "today",
            r"(?:on )?[0-9]{4}-[0-9]{2}-[0-9]{2}",
            rf"(?:on )?(?:the )?[0-9]{{1,2}}(?:st|nd|rd|th)?(?: of)? (?:{months}){year}",
            rf"(?:on )?(?:{months}) (?:the )?[0-9]{{1,2}}(?:st|nd|rd|th)?{year}",
            f"on the {nth}",
            f"(?:on last|on|last) (?:{_any(DAYS)})",
            f"(?:{_any(DAYS)})",
            f"(?:{_any(NUMBERS)}|[0-9]{{1,3}}) (?:day|week)s? ago",
        )
    )


def _once(end: str) -> str:
    """What must not be lost in a free text: another deed, a day."""
    return rf"(?<![\w-])(?:{_any({*MEANT, *DAYS, 'yesterday', 'today', 'until'})}){end}"


def _any(words: Iterable[str]) -> str:
    """One of the words; of none, what matches nothing."""
    longest = sorted(words, key=lambda word: (-len(word), word))
    return "|".join(re.escape(word) for word in longest) or r"(?!)x"


# -- from trees to readings --------------------------------------------------------------------


def _reading(tree: "Tree[Token]") -> Reading:
    whens = [_text(child) for child in tree.children if isinstance(child, Token)]
    deeds = tuple(_deed(child) for child in tree.children if isinstance(child, Tree))
    return Reading(whens[0] if whens else None, deeds)


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
