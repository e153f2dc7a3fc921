"""A letter that goes out is numbered, kept before it is entered, and checked against its hash."""

from pathlib import Path

import pytest

from notepipe.draft import Decision, Draft, Note, Part, Question
from notepipe.entries import JobOpened, NoteTaken, PaperIssued, PartConfirmed, QuestionConfirmed
from notepipe.errors import BadLedger, CannotWrite, NotFound
from notepipe.folding import fold
from notepipe.issuing import Recipient, altered, asked_in, issue, stood_when_issued
from notepipe.ledger import Hand, Ledger
from notepipe.register import Register
from notepipe.shop import Settings, Shop, sha256_of

ADA = Hand(who="Ada Fenn", at="2026-12-03T10:00:00+00:00")
SHA = "ab" * 32
MUSEUM = Recipient(to="Fennimore Museum", way="by e-mail")
BELL = Part(name="bell", decisions=(Decision(action="polish", standing="asking", quote="polish it"),))
COLOUR = Question(to="client", about="panel", text="Which colour?", quote="which colour")


@pytest.fixture
def ledger() -> Ledger:
    """A job with a bell that waits for the client, and a question about a panel."""
    ledger = Ledger(None)
    draft = Draft(note=Note(file="walk.txt", sha256=SHA))
    ledger.append(
        "tram-7",
        ADA,
        JobOpened(name="tram-7", client="Fennimore Museum", what="Tram 7"),
        NoteTaken(recording=SHA, file="walk.txt", transcript="", draft=draft),
        PartConfirmed(recording=SHA, record="p1", tag="001", part=BELL),
        QuestionConfirmed(recording=SHA, record="q1", tag="Q01", question=COLOUR),
    )
    return ledger


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return Shop(tmp_path, Settings(shop="Larkhill"))


def plainly(now: Register, since: Register | None) -> str:
    return f"{len(now.parts)} parts{'' if since is None else f', {len(since.parts)} before'}\n"


def gone_out(ledger: Ledger, shop: Shop) -> PaperIssued:
    return issue(ledger, "tram-7", ADA, MUSEUM, plainly, shop).body


def test_what_goes_out_is_entered_with_its_number_hash_and_questions(ledger: Ledger, shop: Shop) -> None:
    body = gone_out(ledger, shop)
    kept = shop.folder / "papers" / "tram-7" / "update-1.txt"
    assert kept.read_text(encoding="utf-8") == "1 parts\n"
    assert (body.number, body.sha256, body.up_to) == (1, sha256_of(kept), 4)
    assert (body.to, body.way, body.asked) == ("Fennimore Museum", "by e-mail", ("Q01", "001"))
    assert ledger.entries("tram-7")[-1].body == body
    assert fold(ledger.entries("tram-7")).question("Q01").asked_in == (1,)


def test_the_next_letter_is_written_against_what_the_last_one_was_written_from(
    ledger: Ledger, shop: Shop
) -> None:
    assert stood_when_issued(ledger.entries("tram-7")) is None
    before = fold(ledger.entries("tram-7"))
    gone_out(ledger, shop)
    ledger.append("tram-7", ADA, PartConfirmed(recording=SHA, record="p2", tag="002", part=BELL))
    assert stood_when_issued(ledger.entries("tram-7")) == before
    assert gone_out(ledger, shop).number == 2
    assert shop.issued("tram-7", 2).read_text(encoding="utf-8") == "2 parts, 1 before\n"


def test_a_letter_that_cannot_be_written_or_kept_is_not_entered(ledger: Ledger, shop: Shop) -> None:
    def broken(now: Register, since: Register | None) -> str:
        raise CannotWrite("here", "no", "do")

    with pytest.raises(CannotWrite):
        issue(ledger, "tram-7", ADA, MUSEUM, broken, shop)
    (shop.folder / "papers").write_text("a file where the folder should be", encoding="utf-8")
    with pytest.raises(CannotWrite, match="is no folder to write in"):
        gone_out(ledger, shop)
    assert len(ledger.entries("tram-7")) == 4


def test_a_text_left_by_a_power_cut_is_taken_over_by_the_next_try(ledger: Ledger, shop: Shop) -> None:
    shop.keep_issued("tram-7", 1, "cut off before it was entered")
    body = gone_out(ledger, shop)
    assert list(altered(shop, fold(ledger.entries("tram-7")))) == []
    assert body.number == 1


def test_a_kept_letter_that_was_changed_or_is_gone_is_told_in_a_line(ledger: Ledger, shop: Shop) -> None:
    gone_out(ledger, shop)
    kept = shop.issued("tram-7", 1)
    register = fold(ledger.entries("tram-7"))
    kept.write_text("1 part\n", encoding="utf-8")
    (wrong,) = altered(shop, register)
    assert isinstance(wrong, BadLedger)
    assert "update 1 was changed after it was issued to Fennimore Museum on 2026-12-03" in str(wrong)
    kept.unlink()
    (wrong,) = altered(shop, register)
    assert isinstance(wrong, NotFound)
    assert "update 1, issued to Fennimore Museum on 2026-12-03, is not there" in str(wrong)


def test_what_is_asked_is_what_the_letter_asks(ledger: Ledger) -> None:
    assert asked_in(fold(ledger.entries("tram-7"))) == ("Q01", "001")


@pytest.mark.parametrize(
    ("job", "other"), [("tram/7", "tram-7"), ("..", "--"), ("a b", "a-b"), ("CON?", "CON-")]
)
def test_a_jobs_letters_lie_in_a_folder_of_its_own_whatever_its_name(
    shop: Shop, job: str, other: str
) -> None:
    path = shop.issued(job, 1)
    assert path.parent.parent == shop.papers
    assert path.parent != shop.issued(other, 1).parent
