"""A note becomes a draft; where the trained reader's files are not there, the draft says so."""

from pathlib import Path

import pytest

from notepipe.draft import Draft, Note
from notepipe.reading import RULES_ALONE, network, read
from notepipe.trade import load_trade
from notepipe.transcript import Transcript

NOTE = Note(file="walk.txt", sha256="ab" * 32, warnings=("1 s lost",))
TRADE = load_trade()
TEXT = "The bell is solid brass. It needs a polish."


def drafted(text: str, *, rules_alone: bool = False) -> Draft:
    return read(Transcript(text=text), NOTE, TRADE, rules_alone=rules_alone)


def test_without_the_trained_reader_the_rules_read_and_the_draft_says_so(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(network, "reader_folder", lambda: tmp_path)
    draft = drafted(TEXT)
    assert draft.note.warnings == ("1 s lost", RULES_ALONE)
    assert draft.parts == drafted(TEXT, rules_alone=True).parts


def test_rules_asked_for_are_no_cause_for_a_warning() -> None:
    assert drafted(TEXT, rules_alone=True).note == NOTE


def test_every_part_says_which_rule_set_it() -> None:
    (part,) = drafted(TEXT, rules_alone=True).parts
    assert part.rules["metal"] == "metal.brass"
    assert [d.rule for d in part.decisions] == ["polish.polish + decided.will"]


def test_plausibility_and_safety_speak_in_the_draft() -> None:
    draft = drafted("The grille is aluminium. We'll replate the grille in chrome.", rules_alone=True)
    assert "aluminium-plated" in {d.rule for p in draft.parts for d in p.doubts}


def test_an_empty_note_is_an_empty_draft() -> None:
    assert drafted("  \n") == Draft(note=NOTE)
