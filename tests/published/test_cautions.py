"""What cautions say, asserted against the publications that they name; typed in from those.

Their sentences are our own; what is held here is what is to be done, the figures, and whose they
are. Cautions that were not read at a source are not asserted here.
"""

import pytest

from events.tables import load

TABLES = load()

SPOILED = "Complete Guide to Home Canning, AIB 539: identifying and handling spoiled canned food"
STORING = "Complete Guide to Home Canning, AIB 539: storing canned foods"

SAID = [
    # AIB 539, guide 1: swollen, leaking or unsealed low-acid jars as if they held the toxin; there
    # may be no sign; tomatoes go with them once spoiled; never taste
    ("home-canned-low-acid", SPOILED, ("botulinum", "no sign", "Never taste")),
    ("home-canned-tomato", SPOILED, ("botulinum", "Never taste")),
    # the same: a lid not concave; streaks of dried food from the top, looked for at eye level
    ("home-canned-seal", SPOILED, ("middle is not sunk in", "streak", "eye level")),
    # the same: spurting, bubbles, off smell, cotton-like mould on food or under the lid
    ("home-canned-high-acid", SPOILED, ("bubbles", "spurting", "off smell", "mould", "untasted")),
    ("mould-jar", SPOILED, ("under its lid", "do not taste", "do not scrape")),
    # the fuller copy: boiled in water that covers them, 30 minutes
    (
        "home-canned-disposal",
        "Identifying and handling spoiled canned food (fuller copy)",
        ("30 minutes under water",),
    ),
    # AIB 539, guide 1, storing: above 95 F quality goes within weeks or months
    ("home-canned-hot", STORING, ("95 F", "35 C", "weeks or months")),
    # the same: freezing softens and does not spoil while the seal holds; damp corrodes lids
    ("home-canned-frozen", STORING, ("soft", "while its seal holds")),
    ("home-canned-damp", STORING, ("rust",)),
    ("potato", "Properly store your fall produce", ("shrivelled", "green", "sprouts")),
    (
        "mould-dried",
        "So Easy to Preserve drying guide: packaging and storing dried foods",
        ("thrown out",),
    ),
    ("rancid-oil", "Try these tips for food storage", ("almost no smell",)),
]


@pytest.mark.parametrize(("key", "title", "words"), SAID)
def test_a_caution_says_what_its_source_says(key: str, title: str, words: tuple[str, ...]) -> None:
    caution = TABLES.cautions[key]
    source = TABLES.sources[caution.source_id]
    assert source.title == title
    assert source.published
    assert all(word in caution.caution for word in words)
    assert caution.quoted == ""
