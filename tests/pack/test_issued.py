"""A date stands in the pack only where SOURCE_DATE_EPOCH asks for one (reproducible-builds.org)."""

import io

import pypdf
import pytest

from pixel2make.errors import PackError
from pixel2make.pack.drawing import general_arrangement
from pixel2make.pack.issued import VARIABLE, date_of_issue
from pixel2make.pack.pens.pdf import pdf_bytes
from pixel2make.pack.report import report_bytes
from tests.pack.catalogue import book


@pytest.mark.parametrize(
    ("seconds", "day"),
    # POSIX time: day number times 86400; 2000-02-29 is day 11016 and 2026-01-01 day 20454 since 1970-01-01
    [
        ("0", "1970-01-01"),
        (str(11016 * 86400), "2000-02-29"),
        (str(20454 * 86400 - 1), "2025-12-31"),
        ("", ""),
    ],
)
def test_seconds_become_a_day(monkeypatch, seconds, day):
    monkeypatch.setenv(VARIABLE, seconds)
    assert date_of_issue() == day


@pytest.mark.parametrize("text", ["yesterday", "-5", "1.5", "²", "9" * 30])
def test_anything_else_is_refused_in_one_line(monkeypatch, text):
    monkeypatch.setenv(VARIABLE, text)
    with pytest.raises(PackError, match=VARIABLE) as error:
        date_of_issue()
    assert "\n" not in str(error.value)


def test_no_date_without_being_asked(monkeypatch):
    monkeypatch.delenv(VARIABLE, raising=False)
    drawing = general_arrangement(book())
    found = pypdf.PdfReader(io.BytesIO(pdf_bytes(drawing, "A4")))
    assert found.metadata.creation_date is None and found.metadata.modification_date is None
    assert found.metadata.title == drawing.title and found.metadata.creator == "pixel2make"
    assert pdf_bytes(drawing, "A4") == pdf_bytes(drawing, "A4")
    assert b"Date of issue" not in report_bytes(book(), {})


def test_the_day_that_was_asked_for_stands_on_sheet_page_and_file(monkeypatch):
    monkeypatch.setenv(VARIABLE, str(11016 * 86400))
    drawing = general_arrangement(book())
    assert "2000-02-29" in {text.value for text in drawing.texts}
    found = pypdf.PdfReader(io.BytesIO(pdf_bytes(drawing, "A4")))
    assert found.metadata.creation_date.date().isoformat() == "2000-02-29"
    assert "2000-02-29" in found.pages[0].extract_text()
    assert b"2000-02-29" in report_bytes(book(), {})
