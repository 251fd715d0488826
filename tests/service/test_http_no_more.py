"""A reader's mail program ends their digest with one press, and nothing else does."""

from pathlib import Path

from events.kinds import MemberSet
from service.digests.message import no_more
from service.digests.readers import readers
from service.drafts import Draft
from service.jobs.household import BOX
from service.storage.mail import open_mail
from tests.serving import Served, problem, serving

SECRET = "a secret of the house"


async def ready(home: Path, served: Served) -> None:
    box = await open_mail(home / BOX, writing=True)
    await box.know({"secret": SECRET})
    await box.close()
    for name in ("cook", "teen"):
        facts = {"mail": f"{name}@example.org", "digest": "urgent"}
        await served.ledger.write([Draft(body=MemberSet(member=name, facts=facts))])


def choices(served: Served) -> dict[str, tuple[bool, bool]]:
    return {one.name: (one.weekly, one.urgent) for one in readers(served.ledger.book)}


async def test_one_press_ends_one_readers_mail(tmp_path: Path) -> None:
    async with serving(tmp_path) as served:
        await ready(tmp_path, served)
        answer = await served.ask(
            "POST", f"/v1/no-more/{no_more(SECRET, 'cook')}", None,
            files={"List-Unsubscribe": (None, "One-Click")},
        )  # fmt: skip
        assert answer.status_code == 200
        assert answer.text == "No more of it.\n"
        assert choices(served) == {"cook": (False, False), "teen": (True, True)}
        again = await served.ask(
            "POST", f"/v1/no-more/{no_more(SECRET, 'cook')}", None,
            data={"List-Unsubscribe": "One-Click"},
        )  # fmt: skip
        assert again.status_code == 200
        said = [
            e.record.body for e in served.ledger.entries if isinstance(e.record.body, MemberSet)
        ]
        assert [body.facts for body in said].count({"digest": "none"}) == 1


async def test_a_program_that_follows_links_ends_nothing(tmp_path: Path) -> None:
    async with serving(tmp_path) as served:
        await ready(tmp_path, served)
        path = f"/v1/no-more/{no_more(SECRET, 'cook')}"
        for method in ("GET", "HEAD", "OPTIONS", "PUT"):
            answer = await served.ask(method, path, None)
            assert answer.status_code in (401, 405), method
        assert choices(served) == {"cook": (True, True), "teen": (True, True)}


async def test_a_word_that_nobody_says_is_refused_and_not_for_ever(tmp_path: Path) -> None:
    async with serving(tmp_path) as served:
        words = ["0" * 32, "é", no_more("another secret", "cook")]
        assert {
            (await served.ask("POST", f"/v1/no-more/{w}", None)).status_code for w in words
        } == {404}
        await ready(tmp_path, served)
        for word in words:
            problem(await served.ask("POST", f"/v1/no-more/{word}", None))
        answers = [
            (await served.ask("POST", f"/v1/no-more/{'1' * 32}", None)).status_code
            for _ in range(60)
        ]
        assert answers[-1] == 429
        assert choices(served) == {"cook": (True, True), "teen": (True, True)}
