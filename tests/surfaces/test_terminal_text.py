"""Text for any terminal: encodings without the marks, names that try to steer."""

import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetside.basis.rules import Verdict
from wetside.cli.teller import MARK, FittedStream, encodable
from wetside.sheets.takeoff import harmless
from wetside.sheets.wording import clean


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp437", "cp1252", "utf-8"])
def test_marks_stay_apart_in_every_encoding(encoding: str) -> None:
    marks = [encodable(MARK[v], encoding) for v in Verdict]
    assert len(set(marks)) == len(Verdict)
    assert all(len(m) == 1 for m in marks)


@given(st.text())
def test_any_text_can_be_written_to_latin_1_with_its_width_kept(text: str) -> None:
    fitted = encodable(text, "latin-1")
    fitted.encode("latin-1")
    assert len(fitted) == len(text)


def test_a_stream_writes_what_its_encoding_lacks_as_plain_letters() -> None:
    raw = io.BytesIO()
    stream = FittedStream(io.TextIOWrapper(raw, encoding="ascii", newline="\n"))
    stream.write("● holds 20 °C → −3\n")
    stream.flush()
    assert raw.getvalue() == b"+ holds 20 oC > -3\n"


@given(st.text())
def test_cleaned_text_holds_nothing_that_steers(text: str) -> None:
    cleaned = clean(text)
    assert not any(
        ord(c) < 32 or 127 <= ord(c) < 160 or c in "\u202a\u202b\u202d\u202e\u2066\u2067\u200f" for c in cleaned
    )
    assert len(cleaned) == len(text)


def test_an_escape_sequence_in_a_name_is_made_visible() -> None:
    assert clean("Hall\x1b[2J\u202edoor\n") == "Hall\ufffd[2J\ufffddoor "


@pytest.mark.parametrize(("cell", "shown"), [("=1+1", "'=1+1"), ("@x", "'@x"), ("-2", "'-2"), ("tee", "tee"), ("", "")])
def test_no_cell_is_a_formula(cell: str, shown: str) -> None:
    assert harmless(cell) == shown
