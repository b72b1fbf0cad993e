"""Labels: the codes are read back by an independent reader, the places are where the packet says, nothing touches."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pypdfium2 as pdfium
import pytest
from page.print_check import outside, overlaps
from typer.testing import CliRunner

from fabgen.cli import app
from fabgen.documents.lists.label_sheets import LabelOptions, label_pages, link
from fabgen.documents.lists.label_stock import LabelStock, read_label_stock
from fabgen.documents.render import paper
from fabgen.documents.render.pdf import Page, render
from fabgen.job.reader import read_job
from fabgen.job.tables.definitions import Header
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Piece

ROOT = Path(__file__).parents[2]
STOCKS = {
    "3 x 8": paper.A4,
    "2 x 7 of 99.1 x 38.1, gap 2.5 x 0": paper.A4,
    "5 x 13 of 38.1 x 21.2, gap 2.5 x 0": paper.A4,
    "3 x 10 of 2 5/8 in x 1 in, gap 1/8 in x 0, edge 3/16 in x 1/2 in": paper.LETTER,
}


@cache
def demo() -> tuple[Header, list[Piece]]:
    job = read_job(ROOT / "sample_parts" / "curlew-trailer.toml").definitions
    return job.job, all_pieces(job)


def pages(stock: str, sheet: paper.Paper, first: int = 1, address: str = "") -> list[Page]:
    header, pieces = demo()
    return label_pages(pieces, header, sheet, LabelOptions(read_label_stock(stock), first, address))


@pytest.mark.parametrize(("stock", "sheet"), STOCKS.items(), ids=lambda v: str(v) if isinstance(v, str) else v.name)
def test_labels_print_clean(stock: str, sheet: paper.Paper) -> None:
    pdf = render(pages(stock, sheet), "labels")
    assert overlaps(pdf) == []
    assert outside(pdf, paper.PRINTER.left - 0.5) == []


@pytest.mark.parametrize(("stock", "sheet"), STOCKS.items(), ids=lambda v: str(v) if isinstance(v, str) else v.name)
def test_every_code_is_read_back(stock: str, sheet: paper.Paper) -> None:
    """Decoded by zxing-cpp, a reader of ISO/IEC 18004 codes that shares nothing with the writer."""
    zxing = pytest.importorskip("zxingcpp")
    address = "http://192.168.1.20:8000/page.html"
    document = pdfium.PdfDocument(render(pages(stock, sheet, 1, address), "labels"))
    read: list[str] = []
    for number in range(len(document)):
        image = document[number].render(scale=300 / 72, grayscale=True).to_numpy().squeeze()
        read += [found.text for found in zxing.read_barcodes(image)]
    expected = [f"{address}#part-{piece.mark}" for piece in demo()[1] for _ in range(piece.quantity)]
    assert sorted(read) == sorted(expected)


def test_a_mark_with_a_blank_is_escaped_and_no_address_means_the_page_s_own() -> None:
    assert link("T 1", "") == "page.html#part-T%201"
    assert link("T1", "https://shed.example/p.html#") == "https://shed.example/p.html#part-T1"


def test_places_by_the_packet() -> None:
    """2 x 7 of 99.1 x 38.1 with 2.5 mm between on A4: 4.65 mm left, 15.15 mm above (arithmetic)."""
    boxes = read_label_stock("2 x 7 of 99.1 x 38.1, gap 2.5 x 0").boxes(paper.A4)
    assert len(boxes) == 14
    assert boxes[0] == pytest.approx((4.65, 297.0 - 15.15 - 38.1, 103.75, 297.0 - 15.15))
    assert boxes[1][0] == pytest.approx(4.65 + 99.1 + 2.5)
    assert boxes[2][3] == pytest.approx(boxes[0][1])
    inch = read_label_stock("3 x 10 of 2 5/8 in x 1 in, gap 1/8 in x 0, edge 3/16 in x 1/2 in").boxes(paper.LETTER)
    assert inch[0] == pytest.approx((4.7625, 279.4 - 12.7 - 25.4, 4.7625 + 66.675, 279.4 - 12.7))


def test_a_sheet_already_begun_is_used_on() -> None:
    count = sum(piece.quantity for piece in demo()[1])
    assert len(pages("3 x 8", paper.A4)) == -(-count // 24)
    assert len(pages("3 x 8", paper.A4, 24)) == 1 + -(-(count - 1) // 24)


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("three by eight", "cannot read"),
        ("0 x 8", "cannot read"),
        ("3 x 8 of 70", "cannot read '70'"),
        ("3 x 8 of 70 x ham", "cannot read '70 x ham'"),
    ],
)
def test_what_cannot_be_read_is_refused(text: str, what: str) -> None:
    with pytest.raises(ValueError, match=what) as caught:
        read_label_stock(text)
    assert "accepted: columns x rows" in str(caught.value)


def test_labels_that_do_not_fit_are_refused() -> None:
    with pytest.raises(ValueError, match=r"take 280\.0 x 297\.0 mm and A4"):
        LabelStock(4, 8, (70.0, 37.125)).boxes(paper.A4)
    with pytest.raises(ValueError, match="too small to print on"):
        LabelStock(10, 30).boxes(paper.A4)


def test_the_command_and_its_settings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    settings = tmp_path / "settings.toml"
    settings.write_text(
        '[labels]\nsheet = "2 x 7 of 99.1 x 38.1, gap 2.5 x 0"\npage = "https://shed.example/page.html"\n'
    )
    monkeypatch.setenv("FABGEN_SETTINGS", str(settings))
    job = str(ROOT / "templates" / "tubes.toml")
    done = CliRunner().invoke(app, ["make", job, "--out", str(tmp_path), "--labels"])
    assert done.exit_code == 0, done.output
    assert "labels.pdf" in done.output
    assert (tmp_path / "tubes" / "labels.pdf").exists()
    for wrong in (["--label-sheet", "9 x 3 of 40 x 20"], ["--labels", "--first-label", "99"]):
        bad = CliRunner().invoke(app, ["make", job, "--out", str(tmp_path / "no"), *wrong])
        assert bad.exit_code == 2
        assert "accepted" in bad.output
        assert not (tmp_path / "no").exists()
    settings.write_text('[labels]\nsheet = "many"\n')
    bad = CliRunner().invoke(app, ["make", job, "--out", str(tmp_path / "no"), "--labels"])
    assert bad.exit_code == 2
    assert "[labels] sheet" in bad.output


def test_settings_of_labels_are_kept_when_a_printer_is_set(tmp_path: Path) -> None:
    from fabgen.app.settings import Labels, Settings, read_settings, write_settings
    from fabgen.documents.render.correction import Correction

    path = tmp_path / "settings.toml"
    kept = Settings(labels=Labels("3 x 8", "https://shed.example/page.html")).with_correction(
        paper.A4, Correction(1.001, 0.999)
    )
    write_settings(kept, path)
    assert read_settings(path) == kept
