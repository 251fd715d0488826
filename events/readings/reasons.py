"""Why a food stands where it does in the order of use: what was printed, who says it, who differs.

Sentences for a person who wants the source at hand. Nothing is worked out here that the order did
not rest on; rows read second-hand are told as such and never as published.
"""

from events.keeping.life import Life
from events.readings.rotation import Use
from events.readings.stamped import means
from events.tables import Keeping, Source, Tables


def short(use: Use) -> str:
    """The reason in a few words, with its source's name."""
    if use.by_maker and use.maker is not None:
        return means(use.maker)
    answer = use.life
    if not isinstance(answer, Life):
        return f"{answer.reason}: by age" if use.group == "by age" else answer.reason
    derived = ("low end derived",) if answer.derived else ()
    warmth = any(answer.row.temp_as_printed in clause for clause in answer.said)
    life = answer.row.life_as_printed if warmth else printed(answer.row)
    clauses = (life, *derived, *answer.said)
    return f"{', '.join(clauses)} ({publisher(answer.source)})"


def reasons(use: Use, tables: Tables) -> list[str]:
    """All that the place of a food in the order rests on, a sentence each."""
    said: list[str] = []
    if use.maker is not None:
        opened = "" if use.opened is None else " It was printed for a closed package."
        said.append(f"{_upper(means(use.maker))}.{opened}")
    answer = use.life
    if not isinstance(answer, Life):
        if not use.by_maker:
            said.append(f"{_upper(answer.reason)}.")
        said += [_second_hand(row, tables) for row in answer.second_hand]
        return said
    beside = "Published beside it: " if use.by_maker else ""
    said.append(f"{beside}{_row(answer.row, answer.source)}.")
    if answer.derived:
        said.append(
            "Its low end is not printed: it is the high one cut as such ranges usually are."
        )
    if not use.by_maker and use.likely_ms not in (None, use.from_ms):
        said.append("Likely is the middle of its range: none is published.")
    said += [f"{_upper(clause)}." for clause in answer.said]
    if answer.assumed:
        said.append(f"Assumed by the kind of store: {answer.assumed}.")
    for row in answer.fitting:
        if row != answer.row:
            said.append(f"Elsewhere: {_row(row, tables.sources[row.source_id])}.")
    return said


def printed(row: Keeping) -> str:
    """What the row prints, with the temperature that it prints it for."""
    if not _degrees(row):
        return row.life_as_printed
    joint = " " if row.temp_as_printed.startswith(("at ", "above ", "below ")) else " at "
    return f"{row.life_as_printed}{joint}{row.temp_as_printed}"


def publisher(source: Source) -> str:
    return source.publisher.partition(" (")[0]


def _degrees(row: Keeping) -> bool:
    return any(sign.isdigit() for sign in row.temp_as_printed)


def _row(row: Keeping, source: Source) -> str:
    """A row with its source, by the id that the household can choose it by."""
    food = "any food" if row.food == "any" else row.food.replace("-", " ")
    what = " ".join(word for word in (row.variety, food) if word)
    form = row.form
    for acid in ("-low-acid", "-high-acid"):
        form = form.replace(acid, f", {acid[1:]}")
    how = f", {row.packaging}" if row.packaging not in {"", row.temp_as_printed} else ""
    where = "" if _degrees(row) or not row.temp_as_printed else f", {row.temp_as_printed}"
    when = f", {source.year}" if source.year else ""
    return (
        f"{what}, {form}{how}{where}: {printed(row)}. {source.title}, {publisher(source)}{when}"
        f" [{source.source_id}]"
    )


def _second_hand(row: Keeping, tables: Tables) -> str:
    source = tables.sources[row.source_id]
    how = "from memory" if source.read_as == "memory" else f"quoted second-hand from {source.title}"
    return f"Not gone by, {how}: {printed(row)} [{source.source_id}]."


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]
