"""Who reads the digest by mail: members with an address, and what each of them chose.

What a member chose is a fact of the member, said with `girnel member`: `mail` the address, `digest`
weekly, urgent (weekly, and notes of what cannot wait) or none, `sections` those to be sent. Pure; it
sends nothing.
"""

from msgspec import Struct

from events.book import Book
from service.digests.digest import Digest
from service.settings import ADDRESS

CHOICES = ("weekly", "urgent", "none")

SECTIONS = {
    "changed": "Changed since the last digest",
    "use first": "Use first",
    "look": "Go and look",
    "carry": "Dig and carry",
    "get": "Get",
    "does not add up": "What does not add up",
    "standing": "Still standing",
    "figures": "Last week in figures",
}
"""What a reader may choose, and the heading it stands under. Cautions are never left off."""


class Reader(Struct, frozen=True, kw_only=True):
    """A member who gets mail."""

    name: str
    address: str
    weekly: bool
    urgent: bool
    headings: frozenset[str]
    """empty: all of them"""
    since: int
    """when the address or the choice was said, Unix ms: what came due before is not owed"""


def readers(book: Book) -> list[Reader]:
    """Every member with an address that mail can go to, by name."""
    found = []
    for name, facts in sorted(book.settings.members.items()):
        address = facts.get("mail", "")
        if not ADDRESS.fullmatch(address) or not name.isprintable():
            continue
        choice = facts.get("digest", "weekly")
        stamps = [
            stamp[0] >> 16
            for fact in ("mail", "digest")
            if (stamp := book.settings.stamps.get(("member", name, fact)))
        ]
        found.append(
            Reader(
                name=name,
                address=address,
                weekly=choice in {"weekly", "urgent"},
                urgent=choice == "urgent",
                headings=headings(facts.get("sections", "")),
                since=max(stamps, default=0),
            )
        )
    return found


def headings(said: str) -> frozenset[str]:
    """The headings of the sections a reader chose ("use first; get"); names unknown are passed over."""
    chosen = (part.strip().casefold() for part in said.split(";"))
    return frozenset(SECTIONS[part] for part in chosen if part in SECTIONS)


def wrong(fact: str, text: str) -> str | None:
    """What is wrong with a fact of a member about mail, in a sentence; None: nothing."""
    if fact == "mail" and not ADDRESS.fullmatch(text):
        return f'"{text}" is no mail address: write it like name@host, in plain letters.'
    if fact == "digest" and text not in CHOICES:
        return f'digest "{text}" is none of {", ".join(CHOICES)}.'
    if fact == "sections":
        unknown = [p for part in text.split(";") if (p := part.strip().casefold()) not in SECTIONS]
        if unknown:
            return f'"{unknown[0]}" is no section: write some of {"; ".join(SECTIONS)}.'
    return None


def for_reader(digest: Digest, reader: Reader) -> Digest:
    """The digest with the sections that a reader chose, and all its cautions."""
    if not reader.headings:
        return digest
    kept = tuple(
        section
        for section in digest.sections
        if section.heading in reader.headings
        or (section.heading.endswith("in figures") and SECTIONS["figures"] in reader.headings)
    )
    return Digest(
        title=digest.title,
        sections=kept,
        cautions=digest.cautions,
        quiet=digest.quiet if not digest.sections else "Nothing this week in your sections.",
        closing=digest.closing,
    )
