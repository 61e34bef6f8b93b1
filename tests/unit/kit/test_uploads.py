import io
from pathlib import Path
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image
from pypdf import PdfWriter

from fitout.kit import uploads

pytestmark = pytest.mark.pure


def picture(kind: str = "JPEG", size: tuple[int, int] = (40, 20), **save: Any) -> bytes:
    made = io.BytesIO()
    Image.new("RGB", size, (200, 30, 30)).save(made, kind, **save)
    return made.getvalue()


def sent(content: bytes, name: str = "photo.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content)


def refusal_of(clean: Any, content: bytes) -> str:
    with pytest.raises(ValidationError) as error:
        clean(sent(content))
    return str(error.value.messages[0])


def made_pdf(pages: int = 1, password: str = "") -> bytes:
    writer = PdfWriter()
    for _ in range(pages):
        writer.add_blank_page(width=100, height=100)
    if password:
        writer.encrypt(password, algorithm="RC4-128")
    made = io.BytesIO()
    writer.write(made)
    return made.getvalue()


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_photo_of_any_common_kind_becomes_a_jpeg(kind: str) -> None:
    made = Image.open(io.BytesIO(uploads.clean_photo(sent(picture(kind)))))
    assert (made.format, made.size) == ("JPEG", (40, 20))


def test_a_phone_photo_of_the_newer_kind_becomes_a_jpeg() -> None:
    content = (Path(__file__).parent / "cases" / "phone.heic").read_bytes()
    assert b"Secret camera" in content
    cleaned = uploads.clean_photo(sent(content, "phone.heic"))
    made = Image.open(io.BytesIO(cleaned))
    assert (made.format, made.size) == ("JPEG", (64, 48))
    assert b"Secret camera" not in cleaned


def test_place_and_camera_are_gone_and_the_picture_stands_upright() -> None:
    exif = Image.Exif()
    exif[0x0112] = 6  # turned by 90 degrees
    exif[0x010F] = "Secret camera"
    exif.get_ifd(0x8825)[1] = "N"
    content = uploads.clean_photo(sent(picture(exif=exif, comment=b"hidden words")))
    made = Image.open(io.BytesIO(content))
    assert made.size == (20, 40)
    assert dict(made.getexif()) == {}
    assert b"Secret camera" not in content
    assert b"hidden words" not in content


def test_a_payload_behind_the_picture_is_gone() -> None:
    assert b"<script>" not in uploads.clean_photo(sent(picture() + b"<script>alert(1)</script>"))


def test_a_large_photo_is_made_smaller() -> None:
    made = Image.open(io.BytesIO(uploads.clean_photo(sent(picture(size=(4000, 1000))))))
    assert made.size == (2400, 600)


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"", "Photo: the file is empty."),
        (b"x" * (12 * 1024 * 1024 + 1), "Photo: 12 MB at most."),
        (picture("GIF"), "Photo: this is not a photo that can be read"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "Photo: this is not a photo"),
        (b"MZ\x90\x00 a program", "Photo: this is not a photo"),
        (picture()[:200], "Photo: this is not a photo"),
        (picture("PNG", size=(10_001, 5_000)), "Photo: 50 megapixels at most."),
    ],
    ids=["empty", "too big", "gif", "svg", "program", "cut off", "too many pixels"],
)
def test_what_is_no_photo_is_refused_with_the_reason(content: bytes, message: str) -> None:
    assert refusal_of(uploads.clean_photo, content).startswith(message)


def test_a_pdf_is_kept_as_sent() -> None:
    content = made_pdf()
    assert uploads.clean_pdf(sent(content)) == content


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"", "Document: the file is empty."),
        (b"hello", "Document: this is not a PDF."),
        (b"%PDF-1.7\nnonsense", "Document: this PDF is damaged and cannot be read."),
        (made_pdf(password="x"), "Document: this PDF is locked with a password"),
        (made_pdf(pages=501), "Document: 500 pages at most"),
        (b"%PDF-" + b"x" * (25 * 1024 * 1024), "Document: 25 MB at most."),
    ],
    ids=["empty", "text", "damaged", "locked", "too long", "too big"],
)
def test_what_is_no_pdf_is_refused_with_the_reason(content: bytes, message: str) -> None:
    assert refusal_of(uploads.clean_pdf, content).startswith(message)
