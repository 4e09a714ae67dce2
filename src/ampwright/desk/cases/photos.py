"""Photos of a job: taken in, drawn anew without what else the phone wrote into them, shown, taken away."""

import unicodedata

from ampwright.desk.cases.shop import Shop, now
from ampwright.errors import BadRecord, Fault
from ampwright.storage import photos
from ampwright.storage.kept import NotKept
from ampwright.storage.kept import Photo as Photo
from ampwright.storage.pictures import as_jpeg, photo_from

LONG_SIDE_px = 2000
SMALL_SIDE_px = 320
_LONGEST_NAME = 80
# What a database can hold as the number of a row.
_MOST_ID = 2**63 - 1


def add_photo(shop: Shop, number: str, data: bytes, name: str) -> Photo:
    """
    Keep a photo with a job, upright and as JPEG; JPEG, PNG and WebP come in.

    Where it was taken, when, and with what is not kept: the phone writes that into the file, and no paper needs it.
    """
    shown = shown_name(name)
    with shop.database.reading() as connection:
        _check_there_is_room(photos.count(connection, photos.job_id(connection, number)), shown)
    image = photo_from(data, shown, LONG_SIDE_px)  # before the writers' turn, which others wait for
    width, height = image.size
    new = photos.NewPhoto(shown, "image/jpeg", width, height, as_jpeg(image), as_jpeg(image, SMALL_SIDE_px))
    with shop.database.writing() as connection:
        job = photos.job_id(connection, number)
        _check_there_is_room(photos.count(connection, job), shown)
        return photos.add(connection, job, new, now())


def photos_of(shop: Shop, number: str) -> list[Photo]:
    """A job's photos, oldest first."""
    with shop.database.reading() as connection:
        return photos.of_job(connection, photos.job_id(connection, number))


def photo_data(shop: Shop, number: str, photo_id: int, small: bool = False) -> tuple[str, bytes]:
    """A photo of a job as its media type and bytes; the small one for lists."""
    _check_id(number, photo_id)
    with shop.database.reading() as connection:
        found = photos.data(connection, photos.job_id(connection, number), photo_id, small=small)
    if found is None:
        raise _not_kept(number, photo_id)
    return found


def remove_photo(shop: Shop, number: str, photo_id: int) -> None:
    """Take a photo away for good."""
    _check_id(number, photo_id)
    with shop.database.writing() as connection:
        if not photos.remove(connection, photos.job_id(connection, number), photo_id):
            raise _not_kept(number, photo_id)


def shown_name(name: str) -> str:
    """
    A file's name as it may be shown: without its folders, and without signs that do not print or turn the line.

    >>> shown_name("C:\\\\photos\\\\left side.jpg"), shown_name("../../x.png")
    ('left side.jpg', 'x.png')
    """
    last = name.replace("\\", "/").rstrip("/").rpartition("/")[2]
    plain = "".join(sign for sign in last if unicodedata.category(sign)[0] != "C").strip()
    return plain[:_LONGEST_NAME].strip(". ") or "photo"


def _check_there_is_room(count: int, name: str) -> None:
    if count >= photos.MOST_PHOTOS:
        sentence = f"is one too many: a job holds {photos.MOST_PHOTOS}. Take one away first."
        raise BadRecord(name, [Fault("the photo", sentence)])


def _check_id(number: str, photo_id: int) -> None:
    if not 0 < photo_id <= _MOST_ID:
        raise _not_kept(number, photo_id)


def _not_kept(number: str, photo_id: int) -> NotKept:
    return NotKept(f"Job {number} has no photo {str(photo_id)[:20]}. It may have been taken away on another page.")
