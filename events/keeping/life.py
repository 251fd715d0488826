"""How long a food keeps by the published tables: which rows are for it, and which of them decides.

It chooses by the kind of store and says why. What a known temperature changes stands in `rates`. It
never reckons a food safe, and a food without a published row gets none: "no published life", by
age. Rows read second-hand or from memory decide nothing; they are handed on to be named as such.
"""

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from statistics import median
from typing import TypeAlias

from msgspec import Struct

from events.keeping.bands import assumed, beyond, fits
from events.tables import FoodName, Keeping, Source, Tables, plain

BETWEEN = frozenset({"fruit", "vegetable"})
PRODUCE = BETWEEN | {"root-crop", "potato"}
LOW_ACID = "acid not known, read as low"
NO_ACID = "put up without acid, read as low"
SOME_ACID = "acid was added, how much is not known, read as low"
LONG_PACKS = ("#10 can", "long-term pack", "oxygen-absorbed", "oxygen removed", "low oxygen")
STEPS = frozenset({"curing", "cure"})
"""Steps that food goes through, typed as its form; the form that goes without saying is meant."""
CANS = frozenset({"can", "tin"})
GLASS = frozenset({"jar", "bottle"})
UNUSUAL = "cooler and drier than usual"


class Question(Struct, frozen=True, kw_only=True):
    """What is to be kept, and in what kind of store.

    `names`: what the household calls the food, its own name first, then other names it gave; before
    them the variety with the name ("butternut squash"), which is a food's name too.
    `form`, `variety`: as typed, "" where not said. `kind`: the store's, None where not known.
    """

    names: tuple[str, ...]
    form: str = ""
    variety: str = ""
    kind: str | None = None
    opened: bool = False
    bought: bool = False
    """from a shop, as far as was said"""
    vessel: str = ""
    """what it is packed in, "" where it is loose"""
    acid: str = ""
    """what was said of acid in jars: "added", "left out"; "" nothing"""
    source: str = ""
    """the source that the household goes by for this food, by its id; "": the usual choice"""


class Life(Struct, frozen=True, kw_only=True):
    """The published life of a food in a kind of store, in days from when its keeping starts."""

    low_days: int
    high_days: int | None
    """None: open ("1 year or more")"""
    row: Keeping
    """the row that decides: of all that fit, or of those from the household's own choice of
    source, the one with the lowest low end"""
    source: Source
    derived: bool
    """the low end is not printed: the high one times the form's usual low over high"""
    fitting: tuple[Keeping, ...]
    """every published row that fits, the deciding one among them"""
    assumed: str
    """the temperature that the store was taken to have, "" where the row needs none"""
    said: tuple[str, ...]
    """what is not quite so, one clause each"""


class NoLife(Struct, frozen=True, kw_only=True):
    """Nothing published says how long: the lot is listed by age, and never dated."""

    reason: str
    second_hand: tuple[Keeping, ...] = ()
    """rows that would fit, had they been read at their source"""


Answer: TypeAlias = Life | NoLife


class Lives:
    """The tables, ready to be asked; every answer is kept."""

    def __init__(self, tables: Tables) -> None:
        self.tables = tables
        self.rows: dict[str, list[Keeping]] = {}
        for row in tables.keeping:
            self.rows.setdefault(row.food, []).append(row)
        self.ratios = _ratios(tables)
        self.answers: dict[Question, Answer] = {}

    def of(self, question: Question) -> Answer:
        """The published life, or why there is none."""
        answer = self.answers.get(question)
        if answer is None:
            answer = self.answers[question] = self._choose(question)
        return answer

    def named(self, names: Sequence[str]) -> FoodName | None:
        """The table's food of the first name it knows, one that has rows of its own before others."""
        known = [found for name in names if (found := self.tables.foods.get(plain(name)))]
        return next((found for found in known if found.foods), known[0] if known else None)

    def form(self, question: Question) -> str:
        """The table's word for the form, "" where none was said and none is usual."""
        typed = " ".join(question.form.casefold().split())
        if not typed or typed in STEPS:
            return self._usual(question)
        form = self.tables.forms.get(typed, typed)
        if form == "canned":
            return "commercially-canned" if question.bought else "home-canned"
        return form

    def _usual(self, question: Question) -> str:
        """The form that goes without saying: of produce in a tin or a bought jar never fresh.

        Nobody can tell how jars and tins that came from no shop were put up; they have none.
        """
        named = self.named(question.names)
        if named is None:
            return ""
        produce = bool(BETWEEN & {*named.groups})
        loose = named.form == "dry-staple" and not _canned_unsaid(named)
        if loose or question.vessel not in CANS | (GLASS if produce else frozenset()):
            return named.form
        if named.form not in {"", "fresh", "dry-staple"}:
            return named.form
        known = produce or bool(named.acid)
        return "commercially-canned" if known and question.bought else ""

    def is_produce(self, names: Sequence[str]) -> bool:
        """Whether it is a fruit or vegetable that is meant fresh where nothing else is said."""
        named = self.named(names)
        if named is None or named.form != "fresh":
            return False
        return bool(PRODUCE & {*named.foods, *named.groups})

    def acid(self, names: Sequence[str]) -> str:
        """Acid class that home canning goes by: "low", "high", "" not known."""
        named = self.named(names)
        return named.acid if named else ""

    def _acid(self, question: Question) -> str:
        """The acid class; a fruit or vegetable between the two is of the high one with acid added."""
        named = self.named(question.names)
        if named is None or named.acid or question.acid != "added":
            return named.acid if named else ""
        return "high" if BETWEEN & {*named.groups} else ""

    def _choose(self, question: Question) -> Answer:
        if not self.form(question):
            return NoLife(reason="its form is not recorded")
        if question.kind == "ground":
            return NoLife(reason="in the ground")
        fit = [row for row in self.candidates(question) if fits(row, question.kind)]
        published = [row for row in fit if self.tables.sources[row.source_id].published]
        second_hand = tuple(row for row in fit if row not in published)
        published = self._of_kind(question, published)
        numbered = self.numbered(question, published)
        if not numbered:
            return NoLife(
                reason=_why_none(published, opened=question.opened), second_hand=second_hand
            )
        return self._decide(numbered, published, question.kind, self.clauses(question, numbered))

    def clauses(self, question: Question, numbered: list[Keeping]) -> list[str]:
        """What is to be said whatever the temperature."""
        canned = self.form(question) == "home-canned" and not question.opened
        said = []
        if canned and not self._acid(question):
            words = {"added": SOME_ACID, "left out": NO_ACID}
            said.append(words.get(question.acid, LOW_ACID))
        if question.source and numbered[0].source_id == question.source:
            said.append("the source you chose")
        return said

    def candidates(self, question: Question) -> list[Keeping]:
        """Every row about the food in its form and package, whatever the store."""
        named, form = self.named(question.names), self.form(question)
        about = self._about(question, named, form, self._acid(question)) if form else ()
        return [row for row in about if _package_fits(row, opened=question.opened)]

    def numbered(self, question: Question, rows: Iterable[Keeping]) -> list[Keeping]:
        """Of these rows the published ones with a number, of the variety and the chosen source."""
        published = [row for row in rows if self.tables.sources[row.source_id].published]
        of_kind = self._of_kind(question, published)
        found = [row for row in of_kind if row.life_high_days or row.life_low_days]
        return [row for row in found if row.source_id == question.source] or found

    def _of_kind(self, question: Question, rows: list[Keeping]) -> list[Keeping]:
        named = self.named(question.names)
        return list(_of_variety(rows, question.variety, named.variety if named else ""))

    def _about(
        self, question: Question, named: FoodName | None, form: str, acid: str
    ) -> Iterator[Keeping]:
        """Rows about the food, its groups and any food, in the forms that this form may be."""
        forms = _table_forms(form, acid, opened=question.opened)
        foods: tuple[str, ...] = ()
        if named is not None:
            foods = (*named.foods, *named.groups)
        else:
            foods = tuple(plain(name).replace(" ", "-") for name in question.names)
        if form == "jam":
            foods = ("jam",)
        if form != "dried" or (named and {"fruit", "vegetable"} & {*named.groups}):
            foods = (*foods, "any")
        for food in dict.fromkeys(foods):
            for row in self.rows.get(food, ()):
                if row.form in forms:
                    yield row

    def _decide(
        self,
        numbered: list[Keeping],
        fitting: list[Keeping],
        kind: str | None,
        said: list[str],
    ) -> Life:
        low, high, _, row, derived = min(
            (
                (*self.ends(row), number, row, self.derived(row))
                for number, row in enumerate(numbered)
            ),
            key=lambda found: (found[0], found[1] or 10**9, found[2]),
        )
        band = assumed(kind)
        needed = band is not None and (row.temp_as_printed or row.form == "frozen")
        said.extend(clause for clause in (beyond(row, kind),) if clause)
        return Life(
            low_days=low,
            high_days=high,
            row=row,
            source=self.tables.sources[row.source_id],
            derived=derived,
            fitting=tuple(fitting),
            assumed=band.words if band is not None and needed else "",
            said=tuple(said),
        )

    def ends(self, row: Keeping) -> tuple[int, int | None]:
        """(low, high) in days; a single number and "up to" go by it and the form's ratio."""
        low, high = row.life_low_days, row.life_high_days
        if high is None:
            return low or 0, None
        if not self.derived(row):
            return low or 0, high
        return int(high * self.ratios.get(row.form, self.ratios[""])), high

    @staticmethod
    def derived(row: Keeping) -> bool:
        """Whether the row prints no low end of its own."""
        return row.life_high_days is not None and row.life_low_days in {None, row.life_high_days}


def _ratios(tables: Tables) -> dict[str, Fraction]:
    """Median of low over high of the published ranges of each form; "" of all forms."""
    found: dict[str, list[Fraction]] = {"": []}
    for row in tables.keeping:
        low, high = row.life_low_days, row.life_high_days
        if low and high and low < high and tables.sources[row.source_id].published:
            ratio = Fraction(low, high)
            found[""].append(ratio)
            found.setdefault(row.form, []).append(ratio)
    return {form: median(ratios) for form, ratios in found.items()}


def _canned_unsaid(named: FoodName) -> bool:
    """A staple that a tin holds cooked: beans, unless they are called dry."""
    return named.acid == "low" and not named.name.startswith(("dry ", "dried "))


def _table_forms(form: str, acid: str, *, opened: bool) -> frozenset[str]:
    """The tables' forms that food of this form may stand under."""
    if form == "home-canned":
        forms = {f"home-canned-{acid or 'low'}-acid"}
        if acid == "high":
            forms.add("canned-high-acid")
    elif form == "commercially-canned":
        classes = (acid,) if acid else ("low", "high")
        forms = {form, *(f"{form}-{known}-acid" for known in classes)}
        if acid != "low":
            forms.add("canned-high-acid")
    elif form == "dried":
        forms = {"dried", "dry-staple"}
    else:
        forms = {form}
    if opened:
        forms.add("opened")
    return frozenset(forms)


def _package_fits(row: Keeping, *, opened: bool) -> bool:
    """Rows for opened packages are for opened ones; long-term packs are told apart nowhere yet."""
    if row.packaging.startswith("cut") or row.note.startswith(UNUSUAL):
        return False
    if any(words in row.packaging for words in LONG_PACKS):
        return False
    return (row.form == "opened" or row.packaging.startswith("opened")) == opened


def _of_variety(rows: list[Keeping], typed: str, named: str) -> Iterator[Keeping]:
    """Of each food the rows for the variety typed; else for that of its name; else for none; else
    all of them.
    """
    varieties = [part for part in (plain(typed).replace(" ", "-"), typed, named) if part]
    by_food: dict[str, list[Keeping]] = {}
    for row in rows:
        by_food.setdefault(row.food, []).append(row)
    for of_food in by_food.values():
        exact = ([row for row in of_food if one in {row.variety, *row.variety.split("-")}]
                 for one in varieties)  # fmt: skip
        blank = [row for row in of_food if not row.variety]
        yield from next((found for found in exact if found), blank or of_food)


def _why_none(published: list[Keeping], *, opened: bool) -> str:
    if published:
        return f"published in words only: {published[0].life_as_printed}"
    return "no published life once open" if opened else "no published life"
