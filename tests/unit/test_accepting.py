"""A learnt word stands in pack and history once a reviewer takes it, and only if it does what it says."""

from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from notepipe.accepting import Offered, as_toml, chosen, offered, refuse, take
from notepipe.cli import notepipe
from notepipe.draft import Draft, Note, Part, Quote
from notepipe.entries import Body, Change, JobClosed, JobOpened, NoteTaken, PartConfirmed, WordAccepted
from notepipe.errors import BadAnswer, BadSetting, NotFound
from notepipe.ledger import Hand, Ledger
from notepipe.reading.terms import Lexicon
from notepipe.reading.tokens import tokens_of
from notepipe.shop import Settings, Shop, start_shop
from notepipe.toml import read_toml
from notepipe.trade import Pack, load_trade

SHA = "ab" * 32
ADA = Hand(who="Ada Fenn", at="2026-11-25T10:00:00+00:00")
LAMP = Part(name="glimmer lamp", quotes=(Quote(text="the glimmer lamp", start_s=12.4, end_s=14.0),))


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    """A shop with two jobs: in both the glimmer lamp was put right, in one it went to a vendor."""
    shop = start_shop(tmp_path / "larkhill", Settings(shop="Larkhill", reviewers=("Ada Fenn",)))
    ledger = Ledger(shop.ledger)
    draft = Draft(note=Note(file="walk.m4a", sha256=SHA), parts=(LAMP,))
    for job in ("tram-7", "tram-9"):
        taken = NoteTaken(recording=SHA, file="walk.m4a", transcript="", draft=draft)
        ledger.append(job, ADA, JobOpened(name=job, client="c", what="w"), taken)
        ledger.append(job, ADA, put_right("name", "glimmer lamp", "dash lamp"))
    ledger.append("tram-7", ADA, put_right("decision 1 by", None, "Tolliver's"))
    return shop


def put_right(field: str, was: str | None, now: str) -> PartConfirmed:
    change = Change(field=field, was=was, now=now)
    return PartConfirmed(recording=SHA, record="p1", tag="001", part=LAMP, changes=(change,))


def ids(shop: Shop) -> list[str]:
    return [getattr(one.row, "id", "") for one in offered(shop, Ledger(shop.ledger))]


def take_first(shop: Shop) -> Offered:
    ledger = Ledger(shop.ledger)
    first = offered(shop, ledger)[0]
    take(shop, ledger, ADA, first)
    return first


def accepted(shop: Shop, job: str) -> list[Body]:
    return [e.body for e in Ledger(shop.ledger).entries(job) if isinstance(e.body, WordAccepted)]


def test_the_same_correction_in_two_jobs_is_one_offer_that_rests_on_both(shop: Shop) -> None:
    lamp, vendor = offered(shop, Ledger(shop.ledger))
    assert [(one.job, one.tag) for one in lamp.offer.rests_on] == [("tram-7", "001"), ("tram-9", "001")]
    assert vendor.offer.value == "Tolliver's"


def test_a_word_that_was_taken_is_read_at_once_stands_in_both_histories_and_is_not_offered_again(
    shop: Shop,
) -> None:
    lamp = take_first(shop)
    assert ids(shop) == ["shop.trade.tolliver-s"]
    assert read_toml(shop.folder / "words/learnt.toml", Pack).term == (lamp.row,)
    found = Lexicon(load_trade(shop.packs())).terms(tokens_of("Polish the glimmer lamps."))
    assert "dash lamp" in {term.value for term in found if term.kind == "part"}
    for job in ("tram-7", "tram-9"):
        assert accepted(shop, job) == [WordAccepted(row=lamp.toml, file="learnt.toml", rests_on=("001",))]


def test_a_second_word_goes_behind_the_first_and_a_line_written_by_hand_stays(shop: Shop) -> None:
    take_first(shop)
    path = shop.folder / "words/learnt.toml"
    path.write_text(path.read_text() + "# the plater's own word\n")
    take_first(shop)
    assert "# the plater's own word" in path.read_text()
    assert [t.id for t in read_toml(path, Pack).term] == ["shop.part.dash-lamp", "shop.trade.tolliver-s"]
    assert ids(shop) == []


def test_a_word_taken_by_two_people_at_once_stands_there_once(shop: Shop) -> None:
    ledger = Ledger(shop.ledger)
    lamp = offered(shop, ledger)[0]
    take(shop, ledger, ADA, lamp)
    take(shop, Ledger(shop.ledger), ADA, lamp)
    assert len(accepted(shop, "tram-7")) == 1
    assert (shop.folder / "words/learnt.toml").read_text().count("[[term]]") == 1


def test_a_row_whose_example_does_not_hold_is_refused_with_one_line_and_nothing_is_written(
    shop: Shop,
) -> None:
    ledger = Ledger(shop.ledger)
    lamp = offered(shop, ledger)[0]
    wrong = lamp.row.model_copy(
        update={"example": lamp.row.example.model_copy(update={"say": "Polish the bell."})}
    )
    with pytest.raises(BadSetting) as told:
        take(shop, ledger, ADA, Offered(wrong, lamp.offer))
    what = "“Polish the bell.” should give 'dash lamp', and gives 'bell'"
    assert str(told.value).splitlines()[0] == f"word 'shop.part.dash-lamp': {what}"
    assert not (shop.folder / "words/learnt.toml").exists()
    assert accepted(shop, "tram-7") == []


def test_a_refused_word_is_not_offered_again_and_its_reason_stays(shop: Shop) -> None:
    ledger = Ledger(shop.ledger)
    refuse(ledger, ADA, offered(shop, ledger)[0], "said once, in jest")
    assert ids(shop) == ["shop.trade.tolliver-s"]
    assert ledger.entries("tram-7")[-1].body.kind == "word-refused"
    with pytest.raises(BadAnswer, match="without a reason"):
        refuse(ledger, ADA, offered(shop, ledger)[0], " ")


def test_a_word_is_learnt_from_a_closed_job_too(shop: Shop) -> None:
    Ledger(shop.ledger).append("tram-9", ADA, JobClosed(reason="handed over"))
    take_first(shop)
    assert len(accepted(shop, "tram-9")) == 1


def test_a_word_is_found_by_its_number_or_its_id_and_any_other_is_told(shop: Shop) -> None:
    rows = offered(shop, Ledger(shop.ledger))
    assert chosen(rows, "2") is chosen(rows, "shop.trade.tolliver-s") is rows[1]
    for which in ("0", "3", "shop.trade.toliver-s"):
        with pytest.raises(NotFound):
            chosen(rows, which)


def test_an_id_that_the_packs_have_is_not_given_twice(shop: Shop) -> None:
    take_first(shop)
    Ledger(shop.ledger).append("tram-7", ADA, put_right("name", "gleamer", "dash lamp"))
    assert ids(shop)[-1] == "shop.part.dash-lamp-2"


def test_a_row_reads_back_from_its_toml_whatever_stands_in_it(shop: Shop, tmp_path: Path) -> None:
    row = offered(shop, Ledger(shop.ledger))[0].row
    odd = row.model_copy(update={"value": 'a "brass" \\ lamp\x7f \N{SNOWMAN}'})
    (tmp_path / "odd.toml").write_text(as_toml(odd), encoding="utf-8")
    assert read_toml(tmp_path / "odd.toml", Pack).term == (odd,)


def run(shop: Shop, *words: str) -> Any:
    return CliRunner().invoke(notepipe, ["words", "--shop", str(shop.folder), *words])


def test_the_list_shows_the_row_the_corrections_and_their_second(shop: Shop) -> None:
    told = run(shop).output
    assert "1  part 'dash lamp', for 'glimmer lamp' (put right 2 times)" in told
    assert "tram-9 001  name: glimmer lamp → dash lamp  (Ada Fenn, 2026-11-25)" in told
    assert "“the glimmer lamp” at 0:12" in told
    assert 'phrases = ["dash lamp", "glimmer lamp"]' in told


def test_only_a_reviewer_takes_a_word(shop: Shop) -> None:
    told = run(shop, "--take", "1", "--as", "Joe Marsh")
    assert isinstance(told.exception, NotFound)
    assert run(shop, "--take", "1", "--as", "Ada Fenn").exit_code == 0
    assert ids(shop) == ["shop.trade.tolliver-s"]


def test_a_word_is_not_taken_and_refused_at_once(shop: Shop) -> None:
    assert run(shop, "--take", "1", "--refuse", "1").exit_code == 2


def test_where_nothing_was_put_right_a_line_says_so(tmp_path: Path) -> None:
    empty = start_shop(tmp_path / "new", Settings(shop="New", reviewers=("Ada Fenn",)))
    assert "No word to offer" in run(empty).output
