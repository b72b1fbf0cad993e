"""The test strip: long and wide enough, its sheet prints clean, its K table is the reverse of reading the legs."""

import io
import math

import ezdxf
import pytest
from page.print_check import outside, overlaps

from fabgen.documents.render import paper
from fabgen.documents.without_job.bend_coupon import Coupon, coupon_files, read_coupon
from fabgen.documents.without_job.one_bend import BendOptions, bend_figures, bend_report
from fabgen.shop.bending.bend_tests import FoldedStrip, k_of
from fabgen.shop.bending.bends import least_flange

ASKED = [
    ("3", "3", "S235", None),
    ("1/8 in", None, "5754", "1 in"),
    ("10", "10", "S355", None),
    ("0.8", "0.5", "304", "6"),
]


@pytest.mark.parametrize("asked", ASKED)
@pytest.mark.parametrize("sheet", [paper.A4, paper.LETTER, paper.A3])
def test_sheet_prints_clean(asked: tuple[str, str | None, str, str | None], sheet: paper.Paper) -> None:
    files = coupon_files(read_coupon(*asked), sheet)
    pdf = files["bend-test.pdf"]
    assert overlaps(pdf) == []
    assert outside(pdf, 5.0) == []
    assert coupon_files(read_coupon(*asked), sheet) == files


@pytest.mark.parametrize("asked", ASKED)
def test_strip_reaches_over_its_tool(asked: tuple[str, str | None, str, str | None]) -> None:
    coupon = read_coupon(*asked)
    assert coupon.length / 2.0 >= least_flange(math.pi / 2.0, coupon.die).value
    assert coupon.width >= 8.0 * coupon.thickness
    (name,) = [name for name in coupon_files(coupon, paper.A4) if name.endswith(".dxf")]
    document = ezdxf.read(io.StringIO(coupon_files(coupon, paper.A4)[name].decode()))
    (bend,) = document.modelspace().query('LINE[layer=="BEND"]')
    assert bend.dxf.start[0] == pytest.approx(coupon.length / 2.0)
    assert name.endswith("_x3.dxf")


@pytest.mark.parametrize("k", [0.3, 0.42, 0.5])
def test_table_of_legs_is_read_back(k: float) -> None:
    coupon: Coupon = read_coupon("3", "4", "S235")
    half = coupon.legs(k) / 2.0
    assert k_of(FoldedStrip(coupon.length, (half, half)), 3.0, 4.0, math.pi / 2.0) == pytest.approx(k)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (("0", "3", "S235", None), "--thickness"),
        (("3", "-1", "S235", None), "--radius"),
        (("3", "3", "S23", None), "nearest: S235"),
        (("3", "3", "S235", "2"), "--die"),
    ],
)
def test_faults_name_the_option(asked: tuple[str, str, str, str | None], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        read_coupon(*asked)


def test_report_of_one_bend_over_a_tool() -> None:
    figures = bend_figures(BendOptions("3", "3", "90", "S235", None, "table", "24", "500"))
    assert figures["natural_radius_mm"] == pytest.approx(3.84)
    assert figures["least_flange_mm"] == pytest.approx(12.0 * math.sqrt(2.0), abs=1e-3)
    assert figures["force_kn"] == pytest.approx(1.33 * 510 * 500 * 9 / 24 / 1000, abs=1e-3)
    text = "\n".join(bend_report(figures))
    assert "lower tool  24 mm   opening (as given)" in text
    assert "spring back about 1°" in text
    with pytest.raises(ValueError, match="--length"):
        bend_figures(BendOptions("3", "3", "90", "S235", None, "table", None, "0"))
