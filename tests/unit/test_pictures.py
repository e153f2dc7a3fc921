"""Stills are those of the second that was asked for; pictures are kept upright, plain and of one kind."""

from __future__ import annotations

import hashlib
import io
import subprocess
from pathlib import Path

import numpy as np
import pillow_heif
import pytest
from PIL import Image, ImageCms

from notepipe.attaching import Album, Sent, altered_pictures
from notepipe.draft import Draft, Note, Part, Quote
from notepipe.entries import JobOpened, NoteTaken, PartConfirmed
from notepipe.errors import BadAnswer, BadPicture, BadRecording, NotFound
from notepipe.jobs import register_of
from notepipe.ledger import Hand, Ledger
from notepipe.papers.letter import Letter
from notepipe.papers.picture_sheet import picture_sheet
from notepipe.pictures import LONGEST, SMALL, picture_from, picture_from_file, picture_of, size_of, small
from notepipe.recording import form_of, frame_at
from notepipe.shop import Settings, Shop, start_shop
from notepipe.stills import moments, named_at

HAND = Hand(who="Ada Fenn", at="2026-11-25T10:00:00+00:00")
BRASS = (181, 140, 60)


# Stills


@pytest.mark.parametrize("gop", [1, 12, 250])
@pytest.mark.parametrize("at_s", [0.0, 0.5, 1.0, 1.02, 2.999, 3.37, 5.9, 5.97])
def test_the_still_is_the_frame_seen_at_that_second(
    tmp_path: Path, filming, number_in, gop: int, at_s: float
):
    film = filming(tmp_path / "walk.mp4", gop=gop)
    frame = frame_at(film, at_s)
    assert abs(number_in(frame.pixels) - int(at_s * 25 + 1e-6)) <= 1
    assert abs(frame.at_s - at_s) <= 0.05


@pytest.mark.parametrize(("name", "codec"), [("w.mov", "libx264"), ("w.webm", "libvpx"), ("w.mkv", "mpeg4")])
def test_other_containers_are_sought_in_as_well(tmp_path: Path, filming, number_in, name: str, codec: str):
    frame = frame_at(filming(tmp_path / name, codec=codec), 3.4)
    assert abs(number_in(frame.pixels) - 85) <= 1


def test_the_second_is_counted_from_the_first_sound_as_the_words_are(tmp_path: Path, filming, number_in):
    film = filming(tmp_path / "walk.mp4", late_s=1.0)
    assert abs(number_in(frame_at(film, 2.0).pixels) - 75) <= 2


@pytest.mark.parametrize(("at_s", "number"), [(-5.0, 0), (60.0, 149), (1e6, 149)])
def test_outside_the_film_it_is_the_nearest_frame(
    tmp_path: Path, filming, number_in, at_s: float, number: int
):
    assert abs(number_in(frame_at(filming(tmp_path / "walk.mp4"), at_s).pixels) - number) <= 1


def test_a_film_of_a_telephone_held_upright_stands_upright(tmp_path: Path, filming):
    film = filming(tmp_path / "walk.mp4")
    before = frame_at(film, 1.0).pixels
    one, lying = (1 << 16).to_bytes(4, "big"), bytes(4)
    # ISO/IEC 14496-12, 8.3.2: the matrix of the track; here a quarter turn clockwise, as telephones write it.
    plain = one + lying * 3 + one + lying * 3
    turned = lying + one + lying + (-1 << 16).to_bytes(4, "big", signed=True) + lying * 4
    head, _, picture = film.read_bytes().partition(b"tkhd")
    film.write_bytes(head + b"tkhd" + picture.replace(plain, turned, 1))
    frame = frame_at(film, 1.0).pixels
    assert frame.shape == (160, 120, 3)
    assert np.abs(np.rot90(before, -1).astype(int) - frame).mean() < 3


def test_a_film_with_damage_in_it_still_gives_a_picture(tmp_path: Path, filming, number_in):
    film = filming(tmp_path / "walk.mkv", codec="mpeg4", gop=25)
    whole = bytearray(film.read_bytes())
    middle = len(whole) // 2
    whole[middle : middle + 3_000] = bytes(3_000)
    film.write_bytes(whole)
    assert abs(number_in(frame_at(film, 5.5).pixels) - 137) <= 1


def test_sound_and_text_have_no_picture(tmp_path: Path):
    (tmp_path / "walk.txt").write_text("Six lamps.", encoding="utf-8")
    with pytest.raises(BadRecording):
        frame_at(tmp_path / "walk.txt", 1.0)
    with pytest.raises(NotFound):
        frame_at(tmp_path / "gone.mp4", 1.0)


def test_a_part_is_shown_where_it_is_named_first_in_the_middle_of_the_words():
    part = Part(
        name="lamp",
        quotes=(
            Quote(text="those", start_s=9.0, end_s=9.5),
            Quote(text="six lamps", start_s=4.0, end_s=5.0),
            Quote(text="lamps", start_s=1.0, end_s=2.0, recording="b"),
        ),
    )
    assert named_at(part, "a", "a") == 4.5
    assert named_at(part, "b", "a") == 1.5
    assert named_at(Part(name="lamp", quotes=(Quote(text="lamp"),)), "a", "a") is None


def test_there_are_five_stills_to_choose_from_within_a_second_and_a_half_and_none_outside_the_film():
    assert moments(10.0, 60.0) == (10.0, 8.5, 9.25, 10.75, 11.5)
    assert moments(0.2, 1.0) == (0.2, 0.0, 0.95, 1.0)


# Pictures from files


def lamp(size: tuple[int, int] = (400, 300)) -> Image.Image:
    """Brass, its upper left corner black."""
    picture = Image.new("RGB", size, BRASS)
    picture.paste((0, 0, 0), (0, 0, size[0] // 4, size[1] // 4))
    return picture


def saved(picture: Image.Image, form: str, **options: object) -> bytes:
    out = io.BytesIO()
    picture.save(out, form, **options)  # type: ignore[arg-type]
    return out.getvalue()


def opened(jpeg: bytes) -> Image.Image:
    picture = Image.open(io.BytesIO(jpeg))
    assert picture.format == "JPEG"
    return picture


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP", "HEIF"])
def test_each_kind_of_picture_is_kept_as_a_plain_jpeg(form: str):
    pillow_heif.register_heif_opener()
    kept = opened(picture_from(saved(lamp(), form), f"lamp.{form.lower()}"))
    assert kept.size == (400, 300)
    assert np.abs(np.array(kept)[-20, -20].astype(int) - BRASS).max() < 12


def test_the_camera_tells_which_side_is_up_and_nothing_else_is_kept_of_what_it_wrote():
    exif = Image.Exif()
    exif[0x0112] = 6  # To be seen it has to be turned clockwise.
    exif[0x010E] = "in the yard of Larkhill"
    exif.get_ifd(0x8825)[1] = "N"
    kept = picture_from(saved(lamp(), "JPEG", exif=exif, comment=b"taken by a telephone"), "lamp.jpg")
    picture = opened(kept)
    assert picture.size == (300, 400)
    assert np.array(picture)[10, -10].max() < 60  # The black corner went from the left to the right.
    assert not picture.getexif()
    assert not {"exif", "comment", "icc_profile", "xmp"} & set(picture.info)
    assert b"Larkhill" not in kept
    assert b"telephone" not in kept


def test_a_large_picture_is_made_smaller_and_a_small_one_is_left_as_large_as_it_is():
    assert size_of(picture_from(saved(lamp((4_000, 3_000)), "JPEG"), "a.jpg")) == (LONGEST, LONGEST * 3 // 4)
    assert size_of(picture_from(saved(lamp((64, 48)), "PNG"), "a.png")) == (64, 48)


def test_what_can_be_seen_through_lies_on_white():
    clear = Image.new("RGBA", (40, 40), (0, 0, 0, 0))
    assert np.array(opened(picture_from(saved(clear, "PNG"), "a.png"))).min() > 240


def test_colours_of_another_profile_are_those_of_every_screen():
    wide = ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB"))
    for profile in (wide.tobytes(), b"no profile at all"):
        kept = picture_from(saved(lamp(), "JPEG", icc_profile=profile), "a.jpg")
        assert "icc_profile" not in opened(kept).info


@pytest.mark.parametrize(
    ("file", "what"),
    [
        (b"", "empty"),
        (b"hello", "no picture"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "no picture"),
        (saved(lamp(), "JPEG")[:-900], "cut off"),
        (saved(lamp(), "PNG")[:120], "cut off"),
        (saved(lamp(), "GIF"), "no picture"),
        (b"%PDF-1.7", "no picture"),
    ],
)
def test_a_bad_file_gets_one_clear_line(file: bytes, what: str):
    with pytest.raises(BadPicture) as told:
        picture_from(file, "lamp.jpg")
    assert what in told.value.what
    assert told.value.where == "lamp.jpg"
    assert str(told.value).count("\n") == 1


def test_a_picture_that_would_fill_the_memory_is_refused_before_it_does():
    huge = saved(Image.new("1", (30_000, 30_000)), "PNG")
    assert len(huge) < 1_000_000
    with pytest.raises(BadPicture, match="too large"):
        picture_from(huge, "huge.png")


def test_a_file_that_is_not_there_is_told(tmp_path: Path):
    with pytest.raises(NotFound):
        picture_from_file(tmp_path / "none.jpg")


def test_the_small_one_for_lists_is_small():
    jpeg = picture_from(saved(lamp((2_000, 1_500)), "JPEG"), "a.jpg")
    assert size_of(small(jpeg)) == (SMALL, SMALL * 3 // 4)
    with pytest.raises(BadPicture):
        small(b"nothing")


# Put to a part


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return start_shop(
        tmp_path / "larkhill", Settings(shop="Larkhill Tramway Workshop", reviewers=("Ada Fenn",))
    )


@pytest.fixture
def album(shop: Shop, tmp_path: Path, filming) -> Album:
    """A job with a filmed note and the part 001, named from second 2 to 3; 002 was added without words."""
    recording = shop.keep(filming(tmp_path / "walk.mp4")).name[:64]
    ledger = Ledger(shop.ledger)
    part = Part(name="lamp", quantity=6, quotes=(Quote(text="six lamps", start_s=2.0, end_s=3.0),))
    draft = Draft(note=Note(file="walk.mp4", sha256=recording, duration_s=6.0), parts=(part,))
    place = {"recording": recording, "record": "p1"}
    ledger.append(
        "tram-7",
        HAND,
        JobOpened(name="tram-7", client="Fennimore Museum of Transport", what="Tram number 7"),
        NoteTaken(recording=recording, file="walk.mp4", transcript="six lamps", draft=draft),
        PartConfirmed(tag="001", part=part, **place),
        PartConfirmed(tag="002", part=Part(name="<b>step</b>"), recording=recording, record="added-1"),
    )
    return Album(shop, ledger, "tram-7")


def pictures(shop: Shop, tag: str):
    return register_of(Ledger(shop.ledger), "tram-7").part(tag).pictures


def test_a_still_is_kept_under_its_hash_with_the_moment_it_shows(shop: Shop, album: Album, number_in):
    album.add_still(HAND, "001", "walk.mp4", None)
    (picture,) = pictures(shop, "001")
    kept = shop.picture(picture.sha256)
    assert hashlib.sha256(kept.read_bytes()).hexdigest() == picture.sha256
    assert (picture.file, picture.at_s) == ("walk.mp4", 2.5)
    assert abs(number_in(np.array(Image.open(kept))) - 62) <= 1


def test_of_a_part_without_timed_words_the_second_is_asked_for(album: Album):
    with pytest.raises(BadAnswer, match="--at"):
        album.add_still(HAND, "002", "walk.mp4", None)


def test_the_same_picture_is_not_put_to_a_part_twice_but_to_another_it_is(shop: Shop, album: Album):
    sent = Sent(name="lamp.png", file=saved(lamp(), "PNG"))
    album.add(HAND, "001", sent)
    with pytest.raises(BadAnswer, match="already"):
        album.add(HAND, "001", sent)
    album.add(HAND, "002", sent)
    assert len(list(shop.pictures.iterdir())) == 1


def test_a_picture_taken_off_stays_on_the_disk_and_in_the_history(shop: Shop, album: Album):
    added = album.add(HAND, "001", Sent(name="lamp.png", file=saved(lamp(), "PNG")))
    with pytest.raises(BadAnswer, match="reason"):
        album.remove(HAND, "001", "lamp.png", " ")
    album.remove(HAND, "001", added.sha256[:8], "it is blurred")
    assert pictures(shop, "001") == ()
    assert shop.picture(added.sha256).is_file()
    with pytest.raises(NotFound):
        album.remove(HAND, "001", "lamp.png", "again")


def test_a_picture_that_was_changed_or_is_gone_is_found(shop: Shop, album: Album) -> None:
    for tag, form in (("001", "PNG"), ("002", "JPEG")):
        album.add(HAND, tag, Sent(name=f"{tag}.{form}", file=saved(lamp(), form)))
    assert list(altered_pictures(shop, register_of(Ledger(shop.ledger), "tram-7"))) == []
    changed, gone = (shop.picture(pictures(shop, tag)[0].sha256) for tag in ("001", "002"))
    changed.chmod(0o644)
    changed.write_bytes(b"another")
    gone.unlink()
    found = altered_pictures(shop, register_of(Ledger(shop.ledger), "tram-7"))
    assert sorted(type(error).__name__ for error in found) == ["BadLedger", "NotFound"]


def test_a_tag_that_is_not_there_is_told_before_anything_is_kept(shop: Shop, album: Album):
    with pytest.raises(NotFound):
        album.add(HAND, "099", Sent(name="lamp.png", file=saved(lamp(), "PNG")))
    assert not shop.pictures.exists()


@pytest.mark.parametrize("name", ["../shop.toml", "", "x" * 64, "a" * 63, "/etc/passwd"])
def test_only_a_hash_finds_a_picture(shop: Shop, name: str):
    with pytest.raises(NotFound):
        shop.picture(name)


def test_the_picture_sheet_holds_its_pictures_and_no_name_becomes_part_of_the_page(shop: Shop, album: Album):
    album.add(HAND, "002", Sent(name="<script>.png", file=saved(lamp(), "PNG")))
    letter = Letter(shop="Larkhill Tramway Workshop", date="25 November 2026", leave_out=True)
    register = register_of(Ledger(shop.ledger), "tram-7")
    page = picture_sheet(register, letter, lambda picture: shop.picture(picture.sha256).read_bytes())
    assert page.count('src="data:image/jpeg;base64,') == 1
    assert "<b>step" not in page
    assert "<script>" not in page
    assert "Without a picture: 001" in page
    assert "http" not in page.replace("http-equiv", "")


def test_a_still_frame_is_kept_no_larger_than_a_picture():
    assert size_of(picture_of(np.zeros((2_160, 3_840, 3), np.uint8))) == (LONGEST, 1_350)


def test_a_sleeve_glued_to_a_sound_is_no_film(tmp_path: Path):
    (tmp_path / "sleeve.png").write_bytes(saved(lamp(), "PNG"))
    song = tmp_path / "song.m4a"
    sound = ["-f", "lavfi", "-i", "sine=d=1", "-i", str(tmp_path / "sleeve.png"), "-map", "0", "-map", "1"]
    packed = ["-c:a", "aac", "-c:v", "copy", "-disposition:v:0", "attached_pic", str(song)]
    command = ["ffmpeg", "-v", "error", *sound, *packed]
    if subprocess.run(command, capture_output=True, check=False).returncode:
        pytest.skip("no ffmpeg here")
    assert not form_of(song).filmed
    with pytest.raises(BadRecording, match="no moving pictures"):
        frame_at(song, 0.5)
