"""Uploads are believed only after decoding: photos are made anew, PDFs are opened."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any

from django.core.exceptions import ValidationError

if TYPE_CHECKING:
    from PIL.Image import Image

MAX_PHOTO_BYTES = 12 * 1024 * 1024
MAX_PHOTO_PIXELS = 50_000_000
MAX_PDF_BYTES = 25 * 1024 * 1024
MAX_PDF_PAGES = 500
LONGEST_SIDE_PX = 2400
PHOTO_FORMATS = ("JPEG", "PNG", "WEBP", "HEIF")


class TooManyPixels(Exception):
    pass


def _read(file: Any, *, limit: int, name: str) -> bytes:
    content = bytes(file.read(limit + 1))
    if not content:
        raise ValidationError(f"{name}: the file is empty.")
    if len(content) > limit:
        raise ValidationError(f"{name}: {limit // 1024 // 1024} MB at most.")
    return content


def clean_photo(file: Any, *, name: str = "Photo") -> bytes:
    """A new JPEG with the picture only: no position, no camera data, no hidden payload."""
    from PIL import Image

    content = _read(file, limit=MAX_PHOTO_BYTES, name=name)
    try:
        upright = _decoded(content)
    except TooManyPixels as error:
        raise ValidationError(
            f"{name}: {MAX_PHOTO_PIXELS // 1_000_000} megapixels at most."
        ) from error
    except Exception as error:
        raise ValidationError(
            f"{name}: this is not a photo that can be read; send a JPEG, PNG, WebP or HEIC."
        ) from error
    upright.thumbnail((LONGEST_SIDE_PX, LONGEST_SIDE_PX))
    bare = Image.new("RGB", upright.size)
    bare.paste(upright)
    made = io.BytesIO()
    bare.save(made, "JPEG", quality=85, optimize=True)
    return made.getvalue()


def _decoded(content: bytes) -> Image:
    from pi_heif import register_heif_opener
    from PIL import Image, ImageOps

    register_heif_opener()
    with Image.open(io.BytesIO(content), formats=PHOTO_FORMATS) as photo:
        if photo.width * photo.height > MAX_PHOTO_PIXELS:
            raise TooManyPixels
        return ImageOps.exif_transpose(photo).convert("RGB")


def clean_pdf(file: Any, *, name: str = "Document") -> bytes:
    """The PDF as sent, after opening it and reading every page's entry."""
    from pypdf import PdfReader

    content = _read(file, limit=MAX_PDF_BYTES, name=name)
    if not content.startswith(b"%PDF-"):
        raise ValidationError(f"{name}: this is not a PDF.")
    try:
        reader = PdfReader(io.BytesIO(content))
        pages = None if reader.is_encrypted else len(reader.pages)
    except Exception as error:
        raise ValidationError(f"{name}: this PDF is damaged and cannot be read.") from error
    if pages is None:
        raise ValidationError(f"{name}: this PDF is locked with a password; send it unlocked.")
    if not 1 <= pages <= MAX_PDF_PAGES:
        raise ValidationError(f"{name}: {MAX_PDF_PAGES} pages at most, and one at least.")
    return content
