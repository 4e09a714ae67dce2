"""Pictures that come in: known by what they hold, opened no further than is safe, drawn anew with nothing else in."""

import io
import warnings
from typing import TYPE_CHECKING

from ampwright.errors import BadRecord, Fault

if TYPE_CHECKING:
    from PIL.Image import Image

MOST_BYTES = 15_000_000
MOST_PIXELS = 50_000_000
_READ = ("JPEG", "PNG", "WEBP")
# The brands under which phones write HEIC and its kin, at the fifth byte behind the word ftyp.
_HEIC = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1", b"avif", b"avis")


def photo_from(data: bytes, name: str, long_side_px: int) -> "Image":
    """A photo, upright, on white, no longer than asked, with nothing but its pixels."""
    from PIL import Image

    drawn = _drawn(data, name, (long_side_px, long_side_px))
    clean = Image.new("RGB", drawn.size, "white")
    if drawn.mode in ("RGBA", "LA", "PA") or "transparency" in drawn.info:
        drawn = drawn.convert("RGBA")
        clean.paste(drawn, mask=drawn.getchannel("A"))
    else:
        clean.paste(drawn.convert("RGB"))
    return clean


def as_jpeg(image: "Image", long_side_px: int | None = None) -> bytes:
    """A picture as JPEG; made smaller where asked."""
    if long_side_px is not None:
        image = image.copy()
        image.thumbnail((long_side_px, long_side_px))
    file = io.BytesIO()
    image.save(file, "JPEG", quality=85, optimize=True)
    return file.getvalue()


def logo_from(data: bytes, name: str, most_px: tuple[int, int]) -> bytes:
    """A logo as PNG, no larger than asked, with its transparency and nothing else."""
    from PIL import Image

    drawn = _drawn(data, name, most_px).convert("RGBA")
    clean = Image.new("RGBA", drawn.size)
    clean.paste(drawn)
    file = io.BytesIO()
    clean.save(file, "PNG", optimize=True)
    return file.getvalue()


def _drawn(data: bytes, name: str, most_px: tuple[int, int]) -> "Image":
    """Open what a file holds by its first bytes, look at its size, and only then draw it, upright."""
    _check_what_it_is(data, name)
    from PIL import Image, ImageOps

    warnings.filterwarnings("error", category=Image.DecompressionBombWarning)
    try:
        with Image.open(io.BytesIO(data), formats=_READ) as image:
            width, height = image.size
            if width * height > MOST_PIXELS:
                raise _refused(name, f"has {width} x {height} pixels; {MOST_PIXELS // 1_000_000} million are the most.")
            image.seek(0)
            image.thumbnail(_either_way(image, most_px))
            return ImageOps.exif_transpose(image)
    except BadRecord:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise _refused(name, f"has more than {MOST_PIXELS // 1_000_000} million pixels. Make it smaller.") from None
    except Exception:  # a decoder that is fed nonsense raises whatever its code ran into
        raise _refused(name, "is damaged: it cannot be drawn. Take or save it again.") from None


def _either_way(image: "Image", most_px: tuple[int, int]) -> tuple[int, int]:
    """The room there is, turned over for a picture that will be turned by a quarter."""
    orientation = 0x0112
    turned = image.getexif().get(orientation) in (5, 6, 7, 8)
    return (most_px[1], most_px[0]) if turned else most_px


def _check_what_it_is(data: bytes, name: str) -> None:
    if not data:
        raise _refused(name, "is empty. Choose another.")
    if len(data) > MOST_BYTES:
        raise _refused(name, f"is larger than {MOST_BYTES // 1_000_000} MB. Send it smaller.")
    if data[4:8] == b"ftyp" and data[8:12] in _HEIC:
        sentence = "is in HEIC, which is not read here. Set the phone's camera to JPEG, or save the photo as JPEG."
        raise _refused(name, sentence)
    known = data.startswith((b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n")) or (data[:4] == b"RIFF" and data[8:12] == b"WEBP")
    if not known:
        raise _refused(name, "is no photo in JPEG, PNG or WebP, whatever its name says. Save it as JPEG.")


def _refused(name: str, sentence: str) -> BadRecord:
    return BadRecord(name or "the picture", [Fault("the file", sentence)])
