"""A shop's folder is found, its settings checked, and what is kept in it is kept whole or not at all."""

import errno
import hashlib
import os
from datetime import date
from pathlib import Path

import pytest

from notepipe.errors import BadSetting, CannotWrite, NotFound
from notepipe.shop import Settings, Shop, cannot_write, find_shop, start_shop, write_whole
from notepipe.toml import read_toml
from notepipe.trade import Pack

LARKHILL = Settings(shop="Larkhill Tramway Workshop", reviewers=("Ada Fenn", "Joe Marsh"))


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return start_shop(tmp_path / "larkhill", LARKHILL)


def full_disk(*_: object) -> None:
    raise OSError(errno.ENOSPC, "No space left on device")


def test_a_new_folder_has_its_settings_as_given_and_its_places(shop: Shop) -> None:
    assert shop.settings == LARKHILL
    assert {p.name for p in shop.folder.iterdir()} == {
        "shop.toml", "recordings", "transcripts", "words", "templates",
    }  # fmt: skip


@pytest.mark.parametrize("name", ['Tom\'s "Old" Shop', "C:\\shop", "Werkstatt Grün", "#1 = [x]"])
def test_any_name_on_one_line_survives_the_settings_file(tmp_path: Path, name: str) -> None:
    assert start_shop(tmp_path / "x", Settings(shop=name, reviewers=(name,))).settings.reviewers == (name,)


def test_a_name_over_two_lines_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadSetting, match="line break"):
        start_shop(tmp_path / "x", Settings(shop="two\nlines"))


def test_a_folder_that_is_a_shop_is_not_started_again(shop: Shop) -> None:
    with pytest.raises(CannotWrite, match="already"):
        start_shop(shop.folder, Settings(shop="Another"))
    assert find_shop(shop.folder).settings == LARKHILL


def test_starting_leaves_files_that_are_there_alone(tmp_path: Path) -> None:
    (tmp_path / "words").mkdir()
    (tmp_path / "words" / "shop.toml").write_text("# mine\n", encoding="utf-8")
    start_shop(tmp_path, LARKHILL)
    assert (tmp_path / "words" / "shop.toml").read_text(encoding="utf-8") == "# mine\n"


def test_the_example_among_the_own_words_is_valid_once_it_is_uncommented(shop: Shop) -> None:
    text = (shop.folder / "words" / "shop.toml").read_text(encoding="utf-8")
    lines = [line.removeprefix("# ") for line in text.splitlines() if line[2:3] in ("[", "i", "k", "p", "e")]
    path = shop.folder / "words" / "tried.toml"
    path.write_text("\n".join(lines), encoding="utf-8")
    assert read_toml(path, Pack).term[0].phrases == ("trolley head",)


def test_a_shop_is_found_from_any_folder_inside_it(shop: Shop) -> None:
    inside = shop.folder / "recordings" / "deeper"
    inside.mkdir()
    assert find_shop(inside).folder == shop.folder
    assert find_shop(shop.folder / "words").folder == shop.folder


def test_no_shop_upwards_says_how_to_make_one(tmp_path: Path) -> None:
    with pytest.raises(NotFound, match="notepipe start"):
        find_shop(tmp_path)


def test_a_folder_given_that_is_no_shop_is_not_searched_upwards(shop: Shop) -> None:
    with pytest.raises(NotFound, match=r"no shop\.toml"):
        find_shop(shop.folder, shop.folder / "words")


@pytest.mark.parametrize(
    ("line", "slip", "hint"),
    [
        ("paper_witdh = 70", "no field 'paper_witdh'", "Did you mean 'paper_width'"),
        ('date_form = "25.11.2026"', "date_form", "Did you mean '25/11/2026'"),
        ("paper_width = 3", "paper_width", "Mend"),
        ('reviewers = "Ada"', "reviewers", "Mend"),
        ("[[", "TOML", "Mend"),
    ],
)
def test_a_broken_shop_toml_is_named_by_line_and_field(shop: Shop, line: str, slip: str, hint: str) -> None:
    (shop.folder / "shop.toml").write_text(f'shop = "x"\n{line}\n', encoding="utf-8")
    with pytest.raises(BadSetting) as caught:
        find_shop(shop.folder)
    assert caught.value.where.endswith("shop.toml:2")
    assert slip in caught.value.what
    assert hint in caught.value.do


def test_a_recording_is_kept_unchanged_under_its_hash_and_read_only(shop: Shop, tmp_path: Path) -> None:
    walk = tmp_path / "walk.M4A"
    walk.write_bytes(b"sound" * 500_000)
    kept = shop.keep(walk)
    assert kept.name == hashlib.sha256(walk.read_bytes()).hexdigest() + ".m4a"
    assert kept.read_bytes() == walk.read_bytes()
    assert not kept.stat().st_mode & 0o222
    assert shop.recording(kept.name[:64]) == kept


def test_keeping_twice_keeps_one_and_mends_one_that_was_damaged(shop: Shop, tmp_path: Path) -> None:
    walk = tmp_path / "walk.wav"
    walk.write_bytes(b"sound")
    kept = shop.keep(walk)
    kept.chmod(0o644)
    kept.write_bytes(b"other")
    assert shop.keep(walk) == kept
    assert kept.read_bytes() == b"sound"
    assert list(shop.recordings.iterdir()) == [kept]


def test_a_recording_that_is_gone_is_named(shop: Shop) -> None:
    with pytest.raises(NotFound, match="abcabc"):
        shop.recording("abcabc" + "0" * 58)


def test_a_recording_that_is_not_there_can_t_be_kept(shop: Shop, tmp_path: Path) -> None:
    with pytest.raises(NotFound, match="nowhere"):
        shop.keep(tmp_path / "nowhere.wav")
    assert not list(shop.recordings.iterdir())


def test_a_full_disk_is_one_clear_line_and_leaves_nothing_half_written(
    shop: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    walk = tmp_path / "walk.wav"
    walk.write_bytes(b"sound")
    monkeypatch.setattr(os, "fsync", full_disk)
    with pytest.raises(CannotWrite, match="disk is full"):
        shop.keep(walk)
    assert not list(shop.recordings.iterdir())


def test_a_write_that_fails_leaves_the_old_file_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_whole(tmp_path / "update.txt", "old\n")
    monkeypatch.setattr(os, "fsync", full_disk)
    with pytest.raises(CannotWrite):
        write_whole(tmp_path / "update.txt", "new\n")
    assert (tmp_path / "update.txt").read_bytes() == b"old\n"
    assert len(list(tmp_path.iterdir())) == 1


def test_a_folder_below_a_file_is_no_folder_to_write_in(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x", encoding="utf-8")
    with pytest.raises(CannotWrite, match="no folder"):
        start_shop(tmp_path / "file" / "shop", LARKHILL)


@pytest.mark.parametrize(
    ("number", "what"),
    [
        (errno.EACCES, "can't be written"),
        (errno.EROFS, "can't be"),
        (errno.EDQUOT, "full"),
        (errno.EIO, "Input"),
    ],
)
def test_each_reason_for_not_writing_has_its_words(number: int, what: str) -> None:
    assert what in cannot_write("here", OSError(number, os.strerror(number))).what


def test_what_was_heard_is_remembered_for_its_model_only(shop: Shop) -> None:
    shop.remember("ab" * 32, "base", "words")
    assert shop.remembered("ab" * 32, "base") == "words"
    assert shop.remembered("ab" * 32, "small") is None
    shop.remember("ab" * 32, "../models/my own", "other")
    assert shop.remembered("ab" * 32, "../models/my own") == "other"
    assert all(path.parent == shop.transcripts for path in shop.folder.rglob("*.json"))


@pytest.mark.parametrize(
    ("form", "words"),
    [("25 November 2026", "3 May 2026"), ("November 25, 2026", "May 3, 2026"), ("25/11/2026", "03/05/2026"),
     ("11/25/2026", "05/03/2026"), ("2026-11-25", "2026-05-03")],
)  # fmt: skip
def test_dates_are_written_in_the_form_of_the_example(form: str, words: str) -> None:
    settings = Settings.model_validate({"shop": "x", "date_form": form})
    assert settings.date_in_words(date(2026, 5, 3)) == words


def test_only_listed_people_may_review_whatever_capitals_they_type() -> None:
    assert LARKHILL.reviewer(" ada fenn") == "Ada Fenn"
    with pytest.raises(NotFound, match="Did you mean 'Joe Marsh'"):
        LARKHILL.reviewer("Jo Marsh")


def test_nobody_may_review_while_the_list_is_empty() -> None:
    with pytest.raises(NotFound, match="nobody may review yet"):
        Settings(shop="x").reviewer("Ada Fenn")
