"""Make the README's pictures from the demo's real output.

    python tests/page/readme_pictures.py

Needs the test extra (pypdfium2); run it after a change to the pages.
"""

from __future__ import annotations

import tempfile
from pathlib import Path

import pypdfium2 as pdfium
from typer.testing import CliRunner

from fabgen.cli import app

SAMPLES = Path(__file__).parents[2] / "sample_parts"
WANTED = {
    # picture: (document, a text that stands on the page wanted)
    "cut-list.png": ("cut-list.pdf", "Job map"),
    "template.png": ("tube-templates.pdf", "T10 start"),
    "assembly.png": ("drawings.pdf", "Assembly, isometric"),
    "bracket.png": ("drawings.pdf", "CUR-01-B2"),
}
DOTS_PER_POINT = 1.25


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        result = CliRunner().invoke(app, ["make", str(SAMPLES / "curlew-trailer.toml"), "--out", folder])
        assert result.exit_code == 0, result.output
        for name, (document, text) in WANTED.items():
            pages = pdfium.PdfDocument(Path(folder) / "curlew-trailer" / document)
            page = next(page for page in pages if text in page.get_textpage().get_text_range())
            picture = page.render(scale=DOTS_PER_POINT, grayscale=True).to_pil()
            picture.quantize(16).save(SAMPLES / "pictures" / name, optimize=True)


if __name__ == "__main__":
    main()
