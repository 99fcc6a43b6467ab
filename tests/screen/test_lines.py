"""Encodings: read as marked or stated, refused once with line, byte and what to do."""

from __future__ import annotations

import codecs
import hashlib
import io

import pytest
from flat_rows import EXAMPLES, entries, entry

from configurator.errors import InputError
from configurator.screen.lines import CHUNK, ENCODINGS, Source
from configurator.screen.sources import read_list

UMLAUT = "\N{LATIN SMALL LETTER U WITH DIAERESIS}"
TEXT = f"shop,name,trigger,viscosity,at\r\nM{UMLAUT}hle,glue,none,20 Pa*s,23 degC\r\n"


class Slow(io.BytesIO):
    """Bytes that come one at a time, as from a slow pipe."""

    def read1(self, size: int | None = -1, /) -> bytes:
        return super().read1(min(1, size or 1))


def refusal(data: bytes, **options: str) -> str:
    with pytest.raises(InputError) as caught:
        entries(data, **options)
    (line,) = str(caught.value).splitlines()
    assert line.isprintable()
    return line


@pytest.mark.parametrize(
    ("data", "encoding"),
    [
        (TEXT.encode(), None),
        (TEXT.encode(), "utf-8"),
        (TEXT.encode("utf-8-sig"), None),
        (TEXT.encode("utf-8-sig"), "utf-8"),
        (codecs.BOM_UTF16_LE + TEXT.encode("utf-16-le"), None),
        (codecs.BOM_UTF16_BE + TEXT.encode("utf-16-be"), None),
        (codecs.BOM_UTF16_BE + TEXT.encode("utf-16-be"), "utf-16"),
        (TEXT.encode("utf-16-le"), "utf-16-le"),
        (TEXT.encode("utf-16-be"), "UTF-16-BE"),
        (TEXT.encode("latin-1"), "latin-1"),
        (TEXT.encode("cp1252"), "cp1252"),
    ],
)
def test_encodings_of_spreadsheets_are_read(data: bytes, encoding: str | None) -> None:
    assert entry(data, encoding=encoding).cells["shop"] == f"M{UMLAUT}hle"

    slowly = read_list(Slow(data), "own.csv", encoding=encoding, base=EXAMPLES, folder=EXAMPLES)
    assert [each.cells["shop"] for each in slowly] == [f"M{UMLAUT}hle"]


def test_bytes_that_are_no_utf_8_are_refused_with_line_byte_and_what_to_do() -> None:
    data = TEXT.encode("latin-1")
    line = refusal(data)

    assert line.startswith("own.csv, line 2: byte ")
    assert data[int(line.partition("byte ")[2].partition(":")[0]) - 1] == 0xFC
    assert "0xfc" in line
    assert line.endswith("if it was saved as Latin-1, state --encoding latin-1")


@pytest.mark.parametrize("before", [b"", b"x\n", b"x\r\n", b"x\r", b"\xc3\xbc\r\n\r\n", b"\r" * 9])
@pytest.mark.parametrize("padding", [0, 1, CHUNK - 7, CHUNK - 1, CHUNK, CHUNK + 1, 3 * CHUNK + 5])
@pytest.mark.parametrize("mark", [b"", codecs.BOM_UTF8])
def test_line_and_byte_are_right_wherever_chunks_begin(
    before: bytes, padding: int, mark: bytes
) -> None:
    data = mark + b"a" * padding + before + b"ok \xff"
    with pytest.raises(InputError) as caught:
        Source(io.BytesIO(data), "own.csv", None).drain()
    lines = len((before + b".").decode().replace("\r\n", "\n").replace("\r", "\n").split("\n"))

    assert f"own.csv, line {lines}: byte {len(data)}:" in str(caught.value)


def test_a_character_cut_off_at_the_end_is_refused() -> None:
    assert "line 3: byte" in refusal(TEXT.encode() + b"\xc3")
    assert "UTF-16-LE" in refusal(TEXT.encode("utf-16") + b"a")


def test_a_stated_encoding_that_cannot_be_is_refused_without_a_guess() -> None:
    line = refusal(TEXT.replace(UMLAUT, "\x81").encode("latin-1"), encoding="cp1252")

    assert "0x81, which is no CP1252 here" in line
    assert "latin-1" not in line


@pytest.mark.parametrize(
    ("data", "encoding", "said"),
    [
        (TEXT.encode("utf-8-sig"), "latin-1", "the mark of UTF-8 at the beginning"),
        (codecs.BOM_UTF16_LE + b"", "utf-16-be", "the mark of UTF-16-LE at the beginning"),
        (codecs.BOM_UTF32_LE + b"a\0\0\0", None, "the mark of UTF-32 at the beginning"),
        (TEXT.encode("utf-16-le"), "utf-16", "no mark"),
        (TEXT.encode("utf-16-le"), None, "state --encoding utf-16-le"),
        (TEXT.encode("utf-16-be"), None, "state --encoding utf-16-be"),
    ],
)
def test_a_mark_that_contradicts_is_refused(data: bytes, encoding: str | None, said: str) -> None:
    assert said in refusal(data, encoding=encoding)


@pytest.mark.parametrize(
    ("data", "what"),
    [(b"PK\x03\x04rest", "a workbook"), (b"\x1f\x8brest", "a compressed"), (b"PAR1", "a Parquet")],
)
def test_other_kinds_of_files_are_called_by_their_kind(data: bytes, what: str) -> None:
    assert f"own.csv: file: given '{what}" in refusal(data)


def test_an_unknown_encoding_is_refused_with_the_nearest() -> None:
    assert refusal(b"", encoding="latin1").endswith("did you mean latin-1?")
    for encoding in ENCODINGS:
        assert codecs.lookup(encoding)


def test_the_hash_is_that_of_the_bytes_as_they_are() -> None:
    data = TEXT.encode("utf-16")

    source = Source(io.BytesIO(data), "own.csv", None)
    source.drain()

    assert source.sha256 == hashlib.sha256(data).hexdigest()
    assert source.lines == len(TEXT.splitlines()) - (not TEXT.endswith("\n"))


def test_a_stream_that_breaks_off_is_a_clear_line() -> None:
    class Broken(io.BytesIO):
        def read1(self, _: int | None = -1, /) -> bytes:
            raise OSError(5, "Input/output error")

    with pytest.raises(InputError, match="file: given 'Input/output error'"):
        read_list(Broken(), "own.csv", base=EXAMPLES, folder=EXAMPLES)
