"""Hostile values for a field of a form, and sending a form with one of them in it."""

import os
from collections.abc import Iterator
from typing import Any
from zlib import crc32

from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.test.client import BOUNDARY, MULTIPART_CONTENT, encode_multipart

from tests.operation.form_crawl import Found
from tests.operation.page_forms import Control
from tests.operation.test_fuzz_addresses import HEADERS, MARKER, NASTY, pairs

# FUZZ_FORMS=all sends every value to every field; it takes more than an hour.
EVERYTHING = os.environ.get("FUZZ_FORMS") == "all"
EACH = 3  # values that a field gets beside the marker, other fields others
LARGE, EACH_OF_LARGE = 60, 1  # a form of so many fields meets every value all the same

MISSING, TWICE, FILE = "(left out)", "(a list)", "(a file)"
SURROGATE = "\ud800"
PLACE = "zqsurrogatezq"
VALUES = (
    MISSING, TWICE, FILE,
    *(value for value in NASTY if value != MARKER),
    "x" * 120_000, "reed\x00lake", "\x00" * 3, "Infinity", "-9999999", "1e-400", "0x10", "1_000",
    "0.1.2", "99999-01-01", "2026-13-45T25:61", "0001-01-01", "0001-01-01T00:00",
    "9999-12-31T23:59", "2026-03-29T02:30", "2026-10-25T02:30", "25:99", "no-such-choice",
    "a\r\nBcc: x@evil.example", "\r\n\r\n<b>", "//evil.example/", "javascript:alert(1)",
    "{% include 'x' %}", "%s%n{0.__class__}", "a@b", "“”’\u00a0\ufeff", "0", "2147483648",
    "9223372036854775808", "99999", "²", "1,5", " ", "\t", "__all__", "../", "Z" * 300,
)  # fmt: skip


def chosen(found: Found, field: str, elsewhere: list[str]) -> Iterator[str]:
    """The values for a field: a few that change from field to field, or all."""
    values = [*dict.fromkeys((*VALUES, *elsewhere))]
    if EVERYTHING:
        yield from (*values, MARKER)
        return
    first = crc32(f"{found.name} {field}".encode())
    each = EACH if len(found.form.controls) < LARGE else EACH_OF_LARGE
    for step in range(each):
        yield values[(first + step * (len(values) // each)) % len(values)]
    yield MARKER


def mutated(
    sent: dict[str, list[str]], files: dict[str, Any], field: str, value: str
) -> tuple[dict[str, list[str]], dict[str, Any]]:
    """What is sent with one field changed."""
    sent, files = dict(sent), dict(files)
    before = sent.pop(field, [])
    files.pop(field, None)
    if value == TWICE:
        sent[field] = [*(before or ["Reed"]), "zq second", *before]
    elif value == FILE:
        files[field] = SimpleUploadedFile("../zq\"'<b>.txt", b"\x00\xffzq")
    elif value != MISSING:
        sent[field] = [value]
    return sent, files


def send(
    client: Client, where: str, sent: dict[str, list[str]], files: dict[str, Any], at: int = 0
) -> Any:
    """Post as a browser does; text that UTF-8 cannot hold goes as bytes."""
    headers = HEADERS[at] if at < len(HEADERS) else {}
    if not files:
        lines = [pairs({name: value}) for name, values in sent.items() for value in values]
        kind = "application/x-www-form-urlencoded"
        return client.generic(
            "POST", where, "&".join(lines), content_type=kind, headers=headers
        )
    safe = {
        name.replace(SURROGATE, PLACE): [value.replace(SURROGATE, PLACE) for value in values]
        for name, values in sent.items()
    }
    body = encode_multipart(BOUNDARY, safe | files)
    body = body.replace(PLACE.encode(), SURROGATE.encode("utf-8", "surrogatepass"))
    return client.generic("POST", where, body, content_type=MULTIPART_CONTENT, headers=headers)


def can_be_shown(control: Control, value: str) -> bool:
    """Whether a page can show again what was sent in a field."""
    is_text = control.is_typed and value not in (MISSING, TWICE, FILE)
    return is_text and SURROGATE not in value and "\x00" not in value


def same_text(sent: str, shown: str) -> bool:
    """Whether a field shows what was sent; spaces at the ends and kinds of line ends aside."""
    return sent.split() == shown.split()
