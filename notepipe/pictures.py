"""Pictures of the parts: read from a file or a film, made upright and of one kind, and made small for lists.

What is kept is a JPEG without anything the camera wrote beside it (place, device, owner), its colours those
of every screen (sRGB). The only module that knows the library of pictures.
"""

from __future__ import annotations

import io
import warnings
from pathlib import Path
from typing import Final

import numpy as np
import pillow_heif
from numpy.typing import NDArray
from PIL import Image, ImageCms, ImageOps, UnidentifiedImageError

from notepipe.errors import BadPicture, NotFound

LARGEST_BYTES: Final = 64 * 1024 * 1024
LONGEST: Final = 2_400
"""Pixels of the longer side that are kept: a part fills a sheet of paper at 200 to the inch."""
SMALL: Final = 320
"""Pixels of the longer side of a picture in a list."""
KINDS: Final = ("JPEG", "PNG", "WEBP", "HEIF")
_MOST_PIXELS: Final = 150_000_000
_QUALITY: Final = 88
_SMALL_QUALITY: Final = 75
_DO: Final = "Give a picture as .jpg, .png, .webp or .heic."
_BROKEN: Final = (OSError, ValueError, SyntaxError, EOFError, ArithmeticError, MemoryError)

pillow_heif.register_heif_opener()


def picture_from_file(path: Path) -> bytes:
    """The picture at *path* as it is kept. Raises NotFound, BadPicture."""
    try:
        if not path.is_file():
            raise NotFound(str(path), "no such file", "Check the name and the folder.")
        if path.stat().st_size > LARGEST_BYTES:
            raise _too_large(str(path))
        return picture_from(path.read_bytes(), str(path))
    except OSError as error:
        raise BadPicture(str(path), f"can't be read ({error.strerror})", "Check who may read it.") from error


def picture_from(file: bytes, name: str) -> bytes:
    """The bytes of a picture file that came as *name*, as they are kept. Raises BadPicture."""
    if not file:
        raise BadPicture(name, "the file is empty", "Copy it again from the camera.")
    if len(file) > LARGEST_BYTES:
        raise _too_large(name)
    try:
        with warnings.catch_warnings():
            # Ours is the limit; the library would warn below it.
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            return _read(file, name)
    except UnidentifiedImageError as error:
        raise BadPicture(name, "is no picture that can be read", _DO) from error
    except Image.DecompressionBombError as error:
        raise _too_large(name) from error
    except _BROKEN as error:
        do = "Copy it again from the camera, and let the copy finish."
        raise BadPicture(name, "is cut off or damaged", do) from error


def picture_of(pixels: NDArray[np.uint8]) -> bytes:
    """A frame of a film (rows, columns, red green blue) as it is kept."""
    return _jpeg(Image.fromarray(pixels), LONGEST, _QUALITY)


def small(jpeg: bytes, longest: int = SMALL) -> bytes:
    """A kept picture for a list, *longest* pixels at its longer side. Raises BadPicture where it is none."""
    try:
        with Image.open(io.BytesIO(jpeg), formats=("JPEG",)) as picture:
            picture.draft("RGB", (longest, longest))  # Reads only as much of it as is wanted.
            return _jpeg(picture.convert("RGB"), longest, _SMALL_QUALITY)
    except _BROKEN as error:
        do = "Put the picture back into the shop's pictures, as it was."
        raise BadPicture("a kept picture", "can't be read", do) from error


def size_of(jpeg: bytes) -> tuple[int, int]:
    """Width and height of a kept picture, in pixels. Raises BadPicture where it is none."""
    try:
        with Image.open(io.BytesIO(jpeg), formats=("JPEG",)) as picture:
            return picture.size
    except _BROKEN as error:
        do = "Put the picture back into the shop's pictures, as it was."
        raise BadPicture("a kept picture", "can't be read", do) from error


def _read(file: bytes, name: str) -> bytes:
    with Image.open(io.BytesIO(file), formats=KINDS) as opened:
        if opened.width * opened.height > _MOST_PIXELS:
            raise _too_large(name)
        opened.draft("RGB", (LONGEST, LONGEST))
        opened.load()
        # The camera says which side is up, and that is taken off with the rest it wrote.
        upright = ImageOps.exif_transpose(opened)
        return _jpeg(_in_screen_colours(upright), LONGEST, _QUALITY)


def _in_screen_colours(picture: Image.Image) -> Image.Image:
    """In sRGB without a profile, on white where it was see-through: brass has to look like brass."""
    profile = picture.info.get("icc_profile")
    if "A" in picture.getbands() or "transparency" in picture.info:
        white = Image.new("RGBA", picture.size, "white")
        picture = Image.alpha_composite(white, picture.convert("RGBA"))
    elif picture.mode not in ("RGB", "L", "CMYK"):
        return picture.convert("RGB")
    if profile and picture.mode in ("RGB", "CMYK"):
        try:
            source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            turned = ImageCms.profileToProfile(
                picture, source, ImageCms.createProfile("sRGB"), outputMode="RGB"
            )
        except (ImageCms.PyCMSError, OSError):
            turned = None  # A profile that can't be used says nothing.
        if turned is not None:
            return turned
    return picture.convert("RGB")


def _jpeg(picture: Image.Image, longest: int, quality: int) -> bytes:
    picture = picture.copy()
    picture.thumbnail((longest, longest), Image.Resampling.LANCZOS, reducing_gap=2.0)
    plain = Image.new("RGB", picture.size)
    plain.paste(picture)  # So that nothing rides along: no EXIF, no comment, no profile.
    out = io.BytesIO()
    plain.save(out, "JPEG", quality=quality, optimize=True)
    return out.getvalue()


def _too_large(name: str) -> BadPicture:
    limit = f"{LARGEST_BYTES // 1024 // 1024} MB, or {_MOST_PIXELS // 1_000_000} megapixels"
    return BadPicture(name, f"is too large (more than {limit})", "Give a smaller copy of it.")
