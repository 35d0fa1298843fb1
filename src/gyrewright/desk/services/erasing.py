"""Photos and personal content beside the chain: taking in, and erasing without breaking it."""

from __future__ import annotations

import hashlib
import io
import secrets
import warnings

from django.conf import settings
from django.db import connection, transaction
from PIL import Image, ImageOps, UnidentifiedImageError

from gyrewright.desk.book import chain
from gyrewright.desk.book.kinds.operation import PersonalErased
from gyrewright.desk.book.models import Personal, Photo, Record
from gyrewright.desk.book.reading import record_with_id
from gyrewright.desk.book.record import Kept, Outcome
from gyrewright.desk.book.writing import disk_in_words
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services.records import record_act

LONGEST_PX = 1600
MOST_PX = 60_000_000
QUALITY = 80


def keep_photo(*, content: bytes, person: str, id: str = "") -> str:
    """Return the fingerprint under which a photo is kept, re-encoded: smaller, and with nothing but the picture in it.

    A photo that was given an id where it was taken is kept once, however often it is handed in.

    Raises:
        Refused: It is no photo, or too large.
    """
    if len(content) > settings.PHOTO_BYTES:
        raise Refused(
            f"the photo has {len(content) / 1e6:.0f} MB; at most {settings.PHOTO_BYTES / 1e6:.0f} MB are taken in:"
            " take it again smaller"
        )
    # An id is as random as a salt; with the content in it, another picture under the same id is another photo.
    salt = hashlib.sha256(id.encode() + content).hexdigest()[:32] if id else secrets.token_hex(16)
    known = Photo.objects.filter(salt=salt).values_list("fingerprint", flat=True).first() if id else None
    if known is not None:
        return str(known)
    jpeg = reencoded(content)
    name = chain.fingerprint(salt=salt, content=jpeg)
    with disk_in_words(), transaction.atomic():
        Photo.objects.create(fingerprint=name, salt=salt, person=person, jpeg=jpeg)
    return name


def reencoded(content: bytes) -> bytes:
    """Return a picture as a fresh JPEG of at most 1,600 pixels on its longer side.

    Raises:
        Refused: It is no JPEG, PNG or WebP picture, or has too many pixels.
    """
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(io.BytesIO(content), formats=("JPEG", "PNG", "WEBP")) as opened:
                if opened.width * opened.height > MOST_PX:
                    raise Refused(
                        f"the photo has {opened.width} x {opened.height} pixels; at most {MOST_PX // 1_000_000} million"
                        " are taken in: take it again smaller"
                    )
                opened.draft("RGB", (LONGEST_PX, LONGEST_PX))
                upright = ImageOps.exif_transpose(opened).convert("RGB")
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, Image.DecompressionBombError) as error:
        if isinstance(error, Refused):
            raise
        raise Refused("this file is no photo that can be read; take it again as JPEG or PNG") from None
    upright.thumbnail((LONGEST_PX, LONGEST_PX))
    out = io.BytesIO()
    upright.save(out, "JPEG", quality=QUALITY, optimize=True)
    return out.getvalue()


def erase_personal(*, id: str, person: str, ground: str, by: str) -> Kept:
    """Erase every personal content and photo of a person. The records stay, and the chain still verifies.

    The erasure is recorded first, by fingerprint; the database refuses an erasure that no record announces. Copies
    made earlier still hold the content: the ground should say what is to become of them.
    """
    if not ground.strip():
        raise Refused("an erasure needs its ground in writing: who asked for it, and why nothing has to be kept")
    if Record.objects.filter(id=id).exists():
        return Kept(Outcome.AGAIN, record_with_id(id))
    with disk_in_words(), connection.cursor() as cursor:
        # Deleted rows are overwritten in the file, and the write-ahead log that held them is cut off afterwards.
        cursor.execute("PRAGMA secure_delete = ON")
    with disk_in_words(), transaction.atomic():
        contents = sorted(Personal.objects.filter(person=person).values_list("fingerprint", flat=True))
        photos = sorted(Photo.objects.filter(person=person).values_list("fingerprint", flat=True))
        if not contents and not photos:
            raise Refused(f"nothing personal of {person!r} lies beside the book; there is nothing to erase")
        kept = record_act(
            id=id, act=PersonalErased(fingerprints=(*contents, *photos), ground=ground.strip()), by=by, about=person
        )
        Personal.objects.filter(fingerprint__in=contents).delete()
        Photo.objects.filter(fingerprint__in=photos).delete()
    with disk_in_words(), connection.cursor() as cursor:
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return kept
