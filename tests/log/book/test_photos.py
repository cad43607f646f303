"""Photos are kept by what is in them, turned, shrunk, and without what the camera wrote beside."""

import io
import struct
import zlib

import pytest
from PIL import Image

from estimator.log.book.photos import keep_photo
from estimator.words.errors import UnreadableError, UsageError

ORIENTATION, GPS, MAKER = 0x0112, 0x8825, 0x010F  # tags of Exif 2.3, CIPA DC-008


def photo(kind="JPEG", size=(400, 200), mode="RGB", orientation=None, **options):
    """The bytes of a picture, its left half white."""
    picture = Image.new(mode, size)
    picture.paste(Image.new(mode, (size[0] // 2, size[1]), "white"), (0, 0))
    exif = Image.Exif()
    if orientation:
        exif[ORIENTATION] = orientation
        exif[MAKER] = "Invented Camera"
        exif.get_ifd(GPS)[1] = "N"
    out = io.BytesIO()
    picture.save(out, kind, exif=exif, **options)
    return out.getvalue()


def kept(folder, data):
    name = keep_photo(folder, data)
    with Image.open(folder / "photos" / name) as picture:
        picture.load()
        return name, picture


def test_a_photo_of_eight_megabytes_is_no_large_one(tmp_path):
    assert kept(tmp_path, photo() + bytes(8_000_000))[1].size == (400, 200)


def test_a_photo_is_turned_as_it_was_held_and_loses_what_the_camera_wrote(tmp_path):
    data = photo(orientation=6)  # 6: the top of the scene lies at the right of the picture
    assert b"Invented Camera" in data
    name, picture = kept(tmp_path, data)
    assert (picture.size, picture.format, name[-4:]) == ((200, 400), "JPEG", ".jpg")
    assert picture.getpixel((100, 20))[0] > 240
    assert picture.getpixel((100, 380))[0] < 20
    assert len(picture.getexif()) == 0
    assert b"Invented Camera" not in (tmp_path / "photos" / name).read_bytes()


def test_a_large_photo_is_shrunk_and_a_small_one_is_not(tmp_path):
    assert kept(tmp_path, photo(size=(4000, 3000)))[1].size == (2000, 1500)
    assert kept(tmp_path, photo(size=(640, 480)))[1].size == (640, 480)


def test_a_picture_that_one_sees_through_stays_so(tmp_path):
    name, picture = kept(tmp_path, photo("PNG", mode="RGBA"))
    assert (name[-4:], picture.mode) == (".png", "RGBA")


def test_what_is_written_into_a_png_goes_too(tmp_path):
    from PIL.PngImagePlugin import PngInfo

    info = PngInfo()
    info.add_text("Place", "Invented Bay")
    name, _ = kept(tmp_path, photo("PNG", pnginfo=info))
    assert b"Invented Bay" not in (tmp_path / "photos" / name).read_bytes()


def test_a_remark_in_a_jpeg_and_a_profile_of_colours_go_too(tmp_path):
    data = photo(comment=b"Invented Bay", icc_profile=b"Invented Screen")
    assert b"Invented Bay" in data
    for one in (data, photo("PNG", icc_profile=b"Invented Screen")):
        name, picture = kept(tmp_path, one)
        held = (tmp_path / "photos" / name).read_bytes()
        assert b"Invented Bay" not in held
        assert "icc_profile" not in picture.info


def test_the_same_photo_is_kept_once(tmp_path):
    assert keep_photo(tmp_path, photo()) == keep_photo(tmp_path, photo())
    assert len(list((tmp_path / "photos").iterdir())) == 1


def png_that_claims(width, height):
    """The head of a PNG of that size, with nothing in it."""

    def chunk(kind, data):
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"")) + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"", "no photo that can be read"),
        (b"GIF89a" + bytes(100), "no photo that can be read"),
        (photo()[:700], "broken"),
        (png_that_claims(9_400, 9_400), "is not unpacked"),
        (png_that_claims(60_000, 60_000), r"no photo that can be read|is not unpacked"),
        (photo() + bytes(20_000_000), "20 MB"),
    ],
)
def test_what_is_no_photo_or_too_much_of_one_is_refused(tmp_path, data, why):
    with pytest.raises(UnreadableError, match=why):
        keep_photo(tmp_path, data)
    assert not (tmp_path / "photos").exists()


def test_a_photo_that_cannot_be_written_is_said(tmp_path):
    (tmp_path / "photos").write_text("a file", "utf-8")
    with pytest.raises(UsageError, match="cannot be written"):
        keep_photo(tmp_path, photo())


@pytest.mark.parametrize(
    ("kind", "mode", "kept_as"),
    [
        ("JPEG", "L", "RGB"), ("JPEG", "CMYK", "RGB"), ("PNG", "L", "RGB"), ("PNG", "1", "RGB"),
        ("PNG", "LA", "RGBA"), ("PNG", "P", "RGBA"),
    ],
)  # fmt: skip
def test_grey_printed_and_painted_pictures_are_kept_in_colours(tmp_path, kind, mode, kept_as):
    name, picture = kept(tmp_path, photo(kind, mode=mode))
    assert (picture.mode, picture.format) == (kept_as, kind)
    assert len(name) == 28  # twenty-four signs and the ending


def test_a_tall_photo_is_shrunk_by_its_height(tmp_path):
    assert kept(tmp_path, photo(size=(1000, 4000)))[1].size == (500, 2000)
    assert kept(tmp_path, photo(size=(4000, 1000), orientation=6))[1].size == (500, 2000)
    assert kept(tmp_path, photo(size=(2000, 10)))[1].size == (2000, 10)
