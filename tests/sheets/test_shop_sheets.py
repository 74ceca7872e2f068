"""The cut sheet and the buy sheet, as CSV and as a workbook."""

import csv
import io

import openpyxl
import pytest

from wetside.sheets.buy import COLUMNS, BuyRow, BuySheet, buy_csv, buy_xlsx
from wetside.sheets.said import as_data, key
from wetside.sheets.xlsx import column, xlsx


def sheet(*rows: BuyRow) -> BuySheet:
    return BuySheet(
        job="x", units="metric", currency="", buy=rows, total=0.0, unpriced=0, chance=0.01, accepted=0.05, trip=40.0,
        return_fee=0.15, assumed=(), prices_assumed=0, curve=(), returns=(), back=0.0,
    )  # fmt: skip


def row(item: str, size: str = "22 mm", each: float | None = None) -> BuyRow:
    return BuyRow(
        group="fittings 22 mm", item=item, size=size, need=4, spare=1, buy=5, pack="", each=each,
        cost=None if each is None else 5 * each, note="",
    )  # fmt: skip


LIST = sheet(row("elbow 90°", each=2.35), row("=1+1"), row("tee", '3/4 × 3/4 × 1/2 "<&>" in'))


def test_a_workbook_that_others_open() -> None:
    book = openpyxl.load_workbook(io.BytesIO(buy_xlsx(LIST)))
    assert book.sheetnames == ["buy"]
    rows = list(book["buy"].values)
    assert rows[0] == COLUMNS
    assert rows[1] == ("fittings 22 mm", "elbow 90°", "22 mm", 4, 1, 5, None, 2.35, 11.75, None)
    assert rows[2][1] == "=1+1"
    assert book["buy"]["B3"].data_type == "s"
    assert rows[3][2] == '3/4 × 3/4 × 1/2 "<&>" in'


def test_the_same_list_gives_the_same_bytes() -> None:
    assert buy_xlsx(LIST) == buy_xlsx(LIST)


def test_as_csv() -> None:
    rows = list(csv.reader(io.StringIO(buy_csv(LIST))))
    assert tuple(rows[0]) == COLUMNS
    assert rows[1][1:9] == ["elbow 90°", "22 mm", "4", "1", "5", "", "2.35", "11.75"]
    # no cell is taken for a formula
    assert rows[2][1] == "'=1+1"


@pytest.mark.parametrize(("index", "letters"), [(0, "A"), (25, "Z"), (26, "AA"), (51, "AZ"), (52, "BA"), (702, "AAA")])
def test_columns(index: int, letters: str) -> None:
    assert column(index) == letters


def test_text_that_no_workbook_may_hold() -> None:
    book = openpyxl.load_workbook(io.BytesIO(xlsx('a "b" <c>' + "x" * 40, [["a\x00b\x0bc", 1.5, None, -3]])))
    assert list(book.active.values) == [("abc", 1.5, None, -3)]
    assert len(book.sheetnames[0]) == 31


def test_a_word_that_python_keeps_for_itself() -> None:
    assert (key("from_"), key("to")) == ("from", "to")
    assert "item" in as_data(LIST)["buy"][0]
