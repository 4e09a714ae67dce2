"""Photos of a job: known by what they hold, drawn anew upright and small enough, and with nothing else in them."""

import io
import struct
import zlib

import pytest
from PIL import Image, ImageDraw
from PIL.PngImagePlugin import PngInfo
from sqlalchemy import insert

from ampwright.desk.cases import photos as case
from ampwright.desk.cases.shop import now, open_shop
from ampwright.errors import BadRecord
from ampwright.storage import tables
from ampwright.storage.kept import NotKept
from ampwright.storage.photos import MOST_PHOTOS

ORIENTATION, GPS = 0x0112, 0x8825


@pytest.fixture
def shop(tmp_path):
    """A shop with the jobs 1 and 2."""
    opened = open_shop(str(tmp_path))
    with opened.database.writing() as connection:
        for number in ("1", "2"):
            values = {"number": number, "revision": 1, "state": "open", "created": now(), "changed": now()}
            connection.execute(insert(tables.jobs).values(values))
    yield opened
    opened.close()


def picture(size=(60, 40), mode="RGB"):
    """A picture that is red in its upper left corner and white elsewhere."""
    image = Image.new(mode, size, "white")
    ImageDraw.Draw(image).rectangle((0, 0, size[0] // 2 - 1, size[1] // 2 - 1), fill="red")
    return image


def file_of(image, kind, **how):
    """A picture as a file."""
    file = io.BytesIO()
    image.save(file, kind, **how)
    return file.getvalue()


def kept(shop, photo, number="1", small=False):
    """A kept photo, drawn."""
    media_type, data = case.photo_data(shop, number, photo.id, small)
    assert media_type == "image/jpeg"
    return Image.open(io.BytesIO(data))


def is_red(image, place):
    """Whether a picture is red in a place, as well as JPEG holds colours."""
    red, green, blue = image.convert("RGB").getpixel(place)
    return red > 200 and green < 80 and blue < 80


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_photo_is_known_by_what_it_holds_and_kept_as_jpeg(shop, kind):
    photo = case.add_photo(shop, "1", file_of(picture(), kind), "left side.heic")
    image = kept(shop, photo)
    assert (image.format, image.size, photo.name) == ("JPEG", (60, 40), "left side.heic")
    assert is_red(image, (5, 5))
    assert not is_red(image, (50, 30))


# EXIF 2.3, tag Orientation: where the first row and the first column of what is stored belong
@pytest.mark.parametrize(
    ("orientation", "corner"),
    list(enumerate(["left top", "right top", "right bottom", "left bottom"] * 2, start=1)),
)
def test_a_photo_is_turned_upright(shop, orientation, corner):
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    photo = case.add_photo(shop, "1", file_of(picture(), "JPEG", exif=exif, quality=95), "a.jpg")
    image = kept(shop, photo)
    # by hand: five to eight lie on their side
    assert image.size == (photo.width_px, photo.height_px) == ((40, 60) if orientation >= 5 else (60, 40))
    across, down = corner.split()
    place = (5 if across == "left" else image.width - 5, 5 if down == "top" else image.height - 5)
    assert is_red(image, place)


def test_nothing_but_the_pixels_is_kept(shop):
    exif = Image.Exif()
    exif[0x010F] = "a maker"
    exif.get_ifd(GPS)[1] = "N"
    exif.get_ifd(GPS)[2] = (51.0, 30.0, 0.0)
    data = file_of(picture((400, 300)), "JPEG", exif=exif, comment=b"secret words", icc_profile=b"secret profile")
    assert b"secret words" in data
    photo = case.add_photo(shop, "1", data, "a.jpg")
    for small in (False, True):
        image = kept(shop, photo, small=small)
        assert len(image.getexif()) == 0
        assert {"comment", "icc_profile", "exif", "xmp"} & set(image.info) == set()
        assert b"secret" not in case.photo_data(shop, "1", photo.id, small)[1]
    words = PngInfo()
    words.add_text("where", "secret place")
    photo = case.add_photo(shop, "1", file_of(picture(), "PNG", pnginfo=words), "a.png")
    assert b"secret" not in case.photo_data(shop, "1", photo.id)[1]


def test_a_large_photo_is_made_smaller_and_a_small_one_is_left(shop):
    photo = case.add_photo(shop, "1", file_of(picture((3000, 1500)), "JPEG"), "a.jpg")
    assert (photo.width_px, photo.height_px) == kept(shop, photo).size == (2000, 1000)
    assert kept(shop, photo, small=True).size == (320, 160)
    photo = case.add_photo(shop, "1", file_of(picture((30, 20)), "PNG"), "b.png")
    assert kept(shop, photo).size == kept(shop, photo, small=True).size == (30, 20)


@pytest.mark.parametrize("mode", ["1", "L", "P", "LA", "RGBA", "CMYK", "I;16"])
def test_every_way_of_keeping_colours_is_drawn(shop, mode):
    kind = "TIFF" if mode == "CMYK" else "PNG"
    image = Image.new(mode, (20, 10)) if mode == "I;16" else picture((20, 10), "RGB").convert(mode)
    data = file_of(image, "JPEG" if kind == "TIFF" else kind)
    assert kept(shop, case.add_photo(shop, "1", data, "a")).mode == "RGB"


def test_what_is_transparent_becomes_white(shop):
    clear = Image.new("RGBA", (20, 10), (0, 0, 0, 0))
    image = kept(shop, case.add_photo(shop, "1", file_of(clear, "PNG"), "a.png"))
    assert min(image.getpixel((5, 5))) > 250


def test_of_a_moving_picture_the_first_frame_is_kept(shop):
    frames = [picture(), Image.new("RGB", (60, 40), "blue")]
    for kind in ("PNG", "WEBP"):
        data = file_of(frames[0], kind, save_all=True, append_images=frames[1:])
        assert is_red(kept(shop, case.add_photo(shop, "1", data, "a")), (5, 5))


def png_of(width: int, height: int) -> bytes:
    """A PNG that says it is of a size, and holds next to nothing."""

    def piece(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + piece(b"IHDR", head) + piece(b"IDAT", zlib.compress(b"\0")) + piece(b"IEND", b"")


HOSTILE = {
    "empty": (b"", "is empty"),
    "large": (b"\xff\xd8\xff" + b"\0" * 15_000_000, "is larger than 15 MB"),
    "heic": (b"\0\0\0\x18ftypheic" + b"\0" * 100, "is in HEIC"),
    "text": (b"not a picture", "is no photo in JPEG, PNG or WebP"),
    "gif": (file_of(picture(), "GIF"), "is no photo in JPEG, PNG or WebP"),
    "drawing": (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "is no photo in JPEG, PNG or WebP"),
    "bomb": (png_of(8_000, 8_000), "has 8000 x 8000 pixels"),
    "large bomb": (png_of(12_000, 12_000), "million pixels"),
    "huge bomb": (png_of(2**31 - 1, 2**31 - 1), "million pixels"),
    "no pixels": (png_of(0, 5), "is damaged"),
    "half": (file_of(picture((500, 500)), "JPEG")[:1_500], "is damaged"),
    "half png": (file_of(Image.effect_noise((200, 200), 50), "PNG")[:5_000], "is damaged"),
    "head": (b"\xff\xd8\xff\xe0", "is damaged"),
    "webp head": (b"RIFF\x10\0\0\0WEBPVP8 ", "is damaged"),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_what_is_no_photo_or_too_large_is_refused_in_one_sentence(shop, name):
    data, sentence = HOSTILE[name]
    with pytest.raises(BadRecord) as caught:
        case.add_photo(shop, "1", data, "a.jpg")
    assert sentence in str(caught.value)
    assert len(caught.value.faults) == 1
    assert case.photos_of(shop, "1") == []


def test_a_job_holds_forty_photos(shop):
    data = file_of(picture((4, 4)), "PNG")
    for _ in range(MOST_PHOTOS):
        case.add_photo(shop, "1", data, "a.png")
    with pytest.raises(BadRecord, match="a job holds 40"):
        case.add_photo(shop, "1", data, "a.png")
    case.remove_photo(shop, "1", case.photos_of(shop, "1")[0].id)
    case.add_photo(shop, "1", data, "a.png")


def test_a_photo_belongs_to_one_job(shop):
    photo = case.add_photo(shop, "1", file_of(picture(), "PNG"), "a.png")
    assert case.photos_of(shop, "1") == [photo]
    assert case.photos_of(shop, "2") == []
    for ask in (case.photo_data, case.remove_photo):
        with pytest.raises(NotKept, match="Job 2 has no photo"):
            ask(shop, "2", photo.id)
        with pytest.raises(NotKept, match="No job 3 is kept"):
            ask(shop, "3", photo.id)
    with pytest.raises(NotKept):
        case.add_photo(shop, "3", b"", "a.png")
    with pytest.raises(NotKept):
        case.photos_of(shop, "3")
    case.remove_photo(shop, "1", photo.id)
    assert case.photos_of(shop, "1") == []


# by hand
@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("../../etc/left.jpg", "left.jpg"),
        ("C:\\photos\\left.jpg", "left.jpg"),
        ("le\x00ft\r\n\u202egpj.jpg", "leftgpj.jpg"),
        ("", "photo"),
        ("..", "photo"),
        ("x" * 300, "x" * 80),
    ],
)
def test_a_name_is_shown_without_its_folders_and_without_tricks(name, shown):
    assert case.shown_name(name) == shown
