"""Photos of boards, kept beside the book: named by what is in them, turned as they were held, and without a place."""

from __future__ import annotations

import hashlib
import io
from pathlib import Path

from estimator.log.book.backups import PHOTOS
from estimator.log.files import write_whole
from estimator.words.errors import UnreadableError, UsageError

MOST_BYTES = 20_000_000
MOST_PIXELS = 80_000_000  # a picture that unpacks to more is no photo of a board
LONGEST_SIDE = 2_000  # pixels
QUALITY = 88
ENDINGS = {"JPEG": ".jpg", "PNG": ".png"}


def keep_photo(folder: Path, data: bytes) -> str:
    """Keeps a photo in a workshop's folder, and returns its name; the same photo is kept once.

    It is turned as it was held, shrunk to LONGEST_SIDE, and loses all else that a camera writes into it: day, place,
    and whose camera it is.

    data: a JPEG or a PNG

    Raises UnreadableError for anything else, or one too large; UsageError where it cannot be written.
    """
    if len(data) > MOST_BYTES:
        raise UnreadableError(
            f"that picture has {len(data) / 1e6:.0f} MB, and {MOST_BYTES / 1e6:.0f} are the most",
            "Send a smaller one.",
        )
    ending, cleaned = _cleaned(data)
    name = f"{hashlib.sha256(cleaned).hexdigest()[:24]}{ending}"
    path = folder / PHOTOS / name
    try:
        path.parent.mkdir(exist_ok=True)
        if not path.exists():
            write_whole(path, cleaned)
    except OSError as error:
        raise UsageError(f"{path} cannot be written.", "See whether the disk is full.") from error
    return name


def _cleaned(data: bytes) -> tuple[str, bytes]:
    """The ending and the bytes of a picture as it is kept."""
    from PIL import Image, ImageOps, UnidentifiedImageError

    try:
        with Image.open(io.BytesIO(data), formats=tuple(ENDINGS)) as picture:
            width, height = picture.size  # said in its head, before anything is unpacked
            if width * height > MOST_PIXELS:
                raise UnreadableError(
                    f"that picture has {width:,} times {height:,} points, and is not unpacked",
                    "Send a smaller one.",
                )
            kind = picture.format or "JPEG"
            picture.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
            turned = ImageOps.exif_transpose(picture)
            turned.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
            clear = kind == "PNG" and turned.mode in {"RGBA", "LA", "P", "PA"}
            plain = turned.convert("RGBA" if clear else "RGB")
    except (UnidentifiedImageError, Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise UnreadableError("that is no photo that can be read", "Send a JPEG or a PNG.") from error
    except (OSError, SyntaxError, ValueError) as error:  # how a broken picture is told
        raise UnreadableError("that photo is broken", "Send it again.") from error
    plain.info.clear()
    out = io.BytesIO()
    options = {"quality": QUALITY, "optimize": True} if kind == "JPEG" else {"optimize": True}
    plain.save(out, kind, **options)
    return ENDINGS[kind], out.getvalue()
