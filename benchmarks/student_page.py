"""Size of a student page, and how long a redraw takes in headless Chromium.

The bars are 150 KB and 2 ms. Needs Chromium; run ``python benchmarks/student_page.py``.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

from steadypoint.circuit import arrangements
from steadypoint.lesson import parse_lesson, student_page

RUNS = 200
REDRAW = """() => {
  const [stage] = steadypointStages;
  const [slider] = stage.sliders;
  const start = performance.now();
  for (let k = 0; k < RUNS; k++) {
    slider.value = k % Number(slider.max);
    stage.update(true);
  }
  return (performance.now() - start) / RUNS;
}""".replace("RUNS", str(RUNS))


def main() -> None:
    """Measure and print."""
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    if chromium is None:
        sys.exit("Chromium is not installed.")
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        for one in arrangements():
            text = f"# {one.name}\n\n```circuit\narrangement: {one.name}\n```\n"
            page = student_page(parse_lesson(text)).encode("utf-8")
            file = Path(folder) / "page.html"
            file.write_bytes(page)
            tab = browser.new_page(viewport={"width": 390, "height": 844})
            tab.goto(file.as_uri())
            took = tab.evaluate(REDRAW)
            tab.close()
            print(f"{one.name:45} {len(page) / 1024:5.0f} KB  {took:5.2f} ms a redraw")
        browser.close()


if __name__ == "__main__":
    main()
