"""A caution is switched off for a reason that stays, however the part is put right, and comes back."""

import pytest

from notepipe.draft import Caution, Part
from notepipe.entries import JobOpened, PartConfirmed
from notepipe.errors import BadAnswer, NotFound
from notepipe.folding import fold
from notepipe.ledger import Hand, Ledger
from notepipe.months.heeding import switched_off, switched_on

ADA = Hand(who="Ada Fenn", at="2026-11-25T10:00:00+00:00")
LIFTING = Caution(id="lifting", text="Does it lift?", defer_to="a rigger", acknowledge=True)
CHROME = Caution(id="chrome", text="Is it chrome?", defer_to="the plater")
EYE = Part(name="lifting eye", quantity=2, cautions=(LIFTING, CHROME))


def confirmed(part: Part) -> PartConfirmed:
    return PartConfirmed(recording="ab", record="p1", tag="001", part=part)


@pytest.fixture
def ledger() -> Ledger:
    ledger = Ledger(None)
    ledger.append("tram-7", ADA, JobOpened(name="tram-7", client="F", what="T"), confirmed(EYE))
    return ledger


def off(ledger: Ledger, name: str = "lifting", reason: str = "a dummy") -> None:
    ledger.decide("tram-7", ADA, lambda entries: (switched_off(entries, "001", name, reason)[0],))


def standing(ledger: Ledger) -> list[str]:
    return [caution.id for caution in fold(ledger.entries("tram-7")).part("001").part.cautions]


def test_switched_off_it_is_gone_from_what_stands_and_its_reason_is_kept(ledger: Ledger) -> None:
    off(ledger)
    assert standing(ledger) == ["chrome"]
    ledger.append("tram-7", ADA, confirmed(EYE.model_copy(update={"quantity": 3})))
    assert standing(ledger) == ["chrome"]
    assert ledger.entries("tram-7")[2].body.reason == "a dummy"  # type: ignore[union-attr]


def test_switched_on_again_it_stands_as_it_stood_though_the_part_was_put_right(
    ledger: Ledger,
) -> None:
    off(ledger)
    bare = fold(ledger.entries("tram-7")).part("001").part
    ledger.append("tram-7", ADA, confirmed(bare.model_copy(update={"quantity": 3})))
    ledger.decide("tram-7", ADA, lambda entries: (switched_on(entries, "001", "lifting", "it lifts")[0],))
    assert set(standing(ledger)) == {"lifting", "chrome"}
    assert LIFTING in fold(ledger.entries("tram-7")).part("001").part.cautions
    off(ledger)
    assert standing(ledger) == ["chrome"]


def test_what_cannot_be_switched_is_told_in_a_line(ledger: Ledger) -> None:
    with pytest.raises(NotFound, match=r"001 lifting eye: no caution 'liftin'\nDid you mean 'lifting'"):
        off(ledger, "liftin")
    with pytest.raises(BadAnswer, match="no reason given"):
        off(ledger, reason=" ")
    with pytest.raises(NotFound, match="no caution 'lifting' was switched off"):
        switched_on(ledger.entries("tram-7"), "001", "lifting", "why")
    with pytest.raises(NotFound, match="no part '009'"):
        switched_off(ledger.entries("tram-7"), "009", "lifting", "why")
    off(ledger)
    with pytest.raises(BadAnswer, match=r"off already\nIts history tells"):
        off(ledger)
