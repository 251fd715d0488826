"""A week's digest as a value: what it says, before anybody lays it out as text or mail."""

from msgspec import Struct


class Bar(Struct, frozen=True, kw_only=True):
    """How much of its life a food has used, for a bar: parts of its whole length, in per cent."""

    used: int
    """how far it is filled, at most 100"""
    start: int
    """where `from` stands"""
    likely: int | None
    """where `likely` stands; None: its end is open, and the bar ends at `from`"""
    says: str
    """the same in words, for who sees no bar"""


class Item(Struct, frozen=True, kw_only=True):
    """One thing to do or to know. `text` is a line; `why` what it rests on, may be left off."""

    text: str
    why: str = ""
    brief: str = ""
    """what it rests on in fewer words, laid out where `why` does not fit into a line"""
    spare: bool = False
    """`why` is told elsewhere too, as a published life is by the order of use: where there is no
    room for it, it is left off"""
    more: str = ""
    """in full, for programs: who, when, what to do; never laid out"""
    lot: str = ""
    key: str = ""
    """what it is about, the same from week to week; "" is known by its words"""
    short: str = ""
    """in a word or two, for the list of what still stands; "" is its food or its first words"""
    bar: Bar | None = None
    quiet: bool = False
    """the household does not want it told as news yet"""
    before: bool = False
    """news of an earlier week: it still stands, and is counted only"""


class Section(Struct, frozen=True, kw_only=True):
    """Items under a heading, the most needed first; `rest` says what was not worth an item."""

    heading: str
    items: tuple[Item, ...]
    rest: str = ""
    assumed: str = ""
    """what was taken for granted for its items; where there is no room for it, it is left off"""
    least: int = 1
    """how many items are shown however little room there is"""


class Care(Struct, frozen=True, kw_only=True):
    """A caution: in full for a deed and for programs, and short for a line of the list."""

    about: str
    says: str
    brief: str
    """"" where it belongs to a deed alone"""


class Digest(Struct, frozen=True, kw_only=True):
    """A household's work list for a week. A section that would be empty is not there."""

    title: str
    sections: tuple[Section, ...]
    cautions: tuple[Care, ...]
    """never left off"""
    quiet: str
    """what to say where there is no section"""
    closing: str
