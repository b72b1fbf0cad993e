"""Make the README's pictures from the demo's real output.

    python tests/page/readme_pictures.py

Needs the test extra (pypdfium2, Pillow) and Debian's chromium; run it after a change to the pages.
"""

from __future__ import annotations

import subprocess
import tempfile
from pathlib import Path

import pypdfium2 as pdfium
from PIL import Image, ImageOps
from typer.testing import CliRunner

from fabgen.cli import app

SAMPLES = Path(__file__).parents[2] / "sample_parts"
WANTED = {
    # picture: (document, a text that stands on the page wanted)
    "cut-list.png": ("cut-list.pdf", "Job map"),
    "template.png": ("tube-templates.pdf", "T10 start"),
    "angle.png": ("drawings.pdf", "CUR-01-A1"),
    "assembly.png": ("drawings.pdf", "Assembly, isometric"),
    "bracket.png": ("drawings.pdf", "CUR-01-B4"),
    "check-table.png": ("check-table.pdf", "Crosswise"),
}
PAGES = {"curlew-trailer": "page.png", "curlew-rack": "rack.png"}
"""Jobs of which the README shows the page."""
DOTS_PER_POINT = 1.25
VIEW = (18, 174, 657, 716)
"""The 3D view on a screenshot of the page, pixels."""
BLANK = 12
"""What is left above and below of the paper that nothing is drawn on, pixels."""


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        result = CliRunner().invoke(app, ["make", str(SAMPLES / "curlew-trailer.toml"), "--out", folder])
        assert result.exit_code == 0, result.output
        for name, (document, text) in WANTED.items():
            pages = pdfium.PdfDocument(Path(folder) / "curlew-trailer" / document)
            page = next(page for page in pages if text in page.get_textpage().get_text_range())
            picture = page.render(scale=DOTS_PER_POINT, grayscale=True).to_pil()
            picture.quantize(16).save(SAMPLES / "pictures" / name, optimize=True)
        for job, name in PAGES.items():
            result = CliRunner().invoke(app, ["look", str(SAMPLES / f"{job}.toml"), "--out", folder])
            assert result.exit_code == 0, result.output
            photograph(Path(folder) / job / "page.html", SAMPLES / "pictures" / name)


def photograph(page: Path, picture: Path) -> None:
    """What the page first shows of the job in 3D."""
    shot = page.with_name("shot.png")
    options = "--headless --no-sandbox --disable-gpu --disable-background-networking --window-size=1280,860"
    profile = f"--user-data-dir={page.parent / 'browser'}"
    command = ["chromium", *options.split(), profile, "--virtual-time-budget=30000", f"--screenshot={shot}"]
    subprocess.run([*command, page.as_uri()], check=True, capture_output=True)
    view = Image.open(shot).convert("RGB").crop(VIEW)
    drawn = ImageOps.invert(view).getbbox()
    assert drawn is not None, f"{page} shows nothing"
    view.crop((0, max(drawn[1] - BLANK, 0), view.width, drawn[3] + BLANK)).quantize(64).save(picture, optimize=True)


if __name__ == "__main__":
    main()
