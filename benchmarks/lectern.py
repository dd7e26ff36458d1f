"""How soon the lectern stands, shows its first page, and follows a key.

Run with ``python benchmarks/lectern.py``. Chromium and playwright are needed. The stage is a
divider stage with a registered transistor on the device rung; a key steps its collector resistor.
Printed are the time from the command to the listening port, to the first page, to the drawing, and
from a key press to the last change of the page (and to the frame that shows it).
"""

from __future__ import annotations

import os
import re
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

SHEET = """\
title: Kalimba pickup

VCC = 9 V
Q1 = 2N3904
from VCC through R1 150k to Q1 base
from Q1 base through R2 39k to ground
from VCC through RC 3k9 to Q1 collector
from Q1 emitter through RE 820 to ground
from IN through C1 2u2 to Q1 base
"""
KEYS = 120
ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
ARGUMENTS += ["--disable-component-update", "--disable-sync"]
WATCH = """
window.taken = []; window.framed = [];
let begun = 0;
addEventListener("keydown", (event) => { begun = event.timeStamp; }, true);
document.addEventListener("steady-shown", () => {
  if (!begun) return;
  const from = begun;
  begun = 0;
  taken.push(performance.now() - from);
  requestAnimationFrame(() => framed.push(performance.now() - from));
});
"""


def main() -> None:
    """Measure and print."""
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory() as place, sync_playwright() as playwright:
        (Path(place) / "kalimba.circuit").write_text(SHEET, encoding="utf-8")
        browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=ARGUMENTS)
        page = browser.new_page(viewport={"width": 1440, "height": 900})
        page.add_init_script(WATCH)
        page.goto("about:blank")
        begun = time.perf_counter()
        process = subprocess.Popen(  # noqa: S603  our own command
            [sys.executable, "-m", "steadypoint", "lectern", place, "--port", "0"],
            stdout=subprocess.PIPE,
            text=True,
            env=os.environ,
        )
        assert process.stdout is not None  # noqa: S101
        try:
            found = re.search(r"http://\S+", process.stdout.readline())
            assert found is not None  # noqa: S101
            start = time.perf_counter()
            page.goto(f"{found[0]}desk/kalimba.circuit/working", wait_until="commit")
            page.wait_for_selector(".fold a")
            first = time.perf_counter()
            page.wait_for_selector("#stage svg")
            drawn = time.perf_counter()
            print(f"start              {1e3 * (start - begun):7.0f} ms")
            print(f"first page after   {1e3 * (first - start):7.0f} ms")
            print(f"with the drawing   {1e3 * (drawn - start):7.0f} ms")
            for area in ("loadline", "working", "drawing"):
                measure(page, found[0], area)
        finally:
            process.terminate()
            process.wait()
            browser.close()


def measure(page: Any, address: str, area: str) -> None:
    """Press a key many times in an area and print how long the page took."""
    page.goto(f"{address}desk/kalimba.circuit/{area}?model=device")
    page.wait_for_selector("#areaname")
    page.wait_for_timeout(1500)
    page.locator('[data-given="RC"]').focus()
    for number in range(KEYS):
        page.keyboard.press("ArrowUp" if number % 8 < 4 else "ArrowDown")
        page.wait_for_timeout(60)
    for name, what in (("taken", "changed"), ("framed", "in a frame")):
        found = sorted(page.evaluate(name)[5:])
        middle, late = statistics.median(found), found[int(0.95 * len(found))]
        print(f"{area:9} {what:10} median {middle:5.1f} ms, p95 {late:5.1f} ms, {len(found)} keys")


if __name__ == "__main__":
    main()
