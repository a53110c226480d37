"""Draws docs/page.png: the first screen of the demo field's page. Run by hand; needs a Chromium.

`python tests/benchmarks/draw_page_picture.py`
"""

import io
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "made")]

import browser  # noqa: E402
from demo_plan import demo_plan  # noqa: E402
from PIL import Image  # noqa: E402
from playwright.sync_api import sync_playwright  # noqa: E402

from zoning.show import page  # noqa: E402

SIZE = {"width": 1280, "height": 1120}
COLOURS = 128  # so that the picture stays small


def main() -> None:
    path = browser.chromium()
    if path is None:
        raise SystemExit("no Chromium here")
    with sync_playwright() as started, tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "page.html"
        page.write(demo_plan(), file)
        driver = started.chromium.launch(executable_path=path, args=["--no-sandbox"])
        tab = driver.new_page(viewport=SIZE)
        # on the day of the plan, before its pass
        tab.clock.set_fixed_time(f"{demo_plan().today.isoformat()}T12:00:00")
        tab.goto(file.as_uri())
        shown = Image.open(io.BytesIO(tab.screenshot()))
        driver.close()
    shown.convert("P", palette=Image.Palette.ADAPTIVE, colors=COLOURS).save(
        ROOT / "docs" / "page.png", optimize=True
    )


if __name__ == "__main__":
    main()
