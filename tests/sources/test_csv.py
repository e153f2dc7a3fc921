"""RFC 4180 (Common Format and MIME Type for CSV Files), section 2; and OWASP on CSV injection."""

import csv
import io

import pytest

from notepipe.papers.sheet import csv_text

# The RFC's own examples: (the fields, the line it prints for them).
RFC_EXAMPLES = [
    (("aaa", "bbb", "ccc"), "aaa,bbb,ccc\r\n"),  # rule 1 and 2: CRLF, also after the last line
    (("aaa", "b\r\nbb", "ccc"), 'aaa,"b\r\nbb",ccc\r\n'),  # rule 6: a line break inside quotes
    (("aaa", 'b"bb', "ccc"), 'aaa,"b""bb",ccc\r\n'),  # rule 7: a quote doubled
]


@pytest.mark.parametrize(("fields", "line"), RFC_EXAMPLES)
def test_the_rfc_s_examples_are_written_as_it_prints_them(fields: tuple[str, ...], line: str) -> None:
    assert csv_text([fields]) == line


def test_fields_with_a_comma_are_quoted_and_blanks_kept() -> None:
    """Rules 4 and 6: spaces are part of a field."""
    assert csv_text([(" a ", "b,c", "")]) == ' a ,"b,c",\r\n'


def test_every_line_has_the_same_number_of_fields() -> None:
    """Rule 4."""
    with pytest.raises(ValueError, match="a row of 1 cells among rows of 2"):
        csv_text([("a", "b"), ("c",)])


def test_a_reader_of_the_format_gets_back_what_was_written() -> None:
    rows = [
        ["tag", "part", "size"],
        ["001", 'rail, 5/8" "half-round"', "2 ft 6 in"],
        ["002", "two\r\nlines", ""],
    ]
    assert list(csv.reader(io.StringIO(csv_text(rows), newline=""), strict=True)) == rows


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_a_cell_that_a_spreadsheet_might_run_is_made_text(start: str) -> None:
    """OWASP, "CSV injection": = + - @ tab and carriage return at the start of a cell."""
    (row,) = csv.reader(io.StringIO(csv_text([(f"{start}SUM(A1)",)]), newline=""))
    assert row == [f"'{start}SUM(A1)"]
