"""How long the panel of lesson 03 takes from a key on the slider to the new picture. Not a test.

    .venv/bin/python tests/benchmarks/slider_latency.py

Starts the lessons, opens lesson 03 in headless Chromium, presses the arrow key on the rotation
slider and measures, in the page, from the key to the frame after the picture changed. Then drags
fast and measures how long the picture lags behind the last movement.
"""

import re
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from playwright.sync_api import sync_playwright

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "tests"))

from conftest import FLAGS, browser_path  # noqa: E402

MEASURE = """() => new Promise((done) => {
  const label = () => document.querySelector('.as-panel svg.as-pic')?.getAttribute('aria-label');
  const before = label();
  let start = 0;
  document.addEventListener('keydown', () => { start = performance.now(); }, {once: true, capture: true});
  const look = () => {
    if (start && label() && label() !== before) done(performance.now() - start);
    else requestAnimationFrame(look);
  };
  requestAnimationFrame(look);
})"""


def main(presses=80):
    """Print the median and the 95th percentile, and the lag after a fast drag."""
    with tempfile.TemporaryDirectory() as work, open(Path(work) / "said.txt", "w+") as said:
        command = [sys.executable, str(ROOT / "lessons"), "--no-browser", "--work", work]
        server = subprocess.Popen(command, stdout=said, stderr=subprocess.STDOUT)
        try:
            address = None
            while address is None and server.poll() is None:
                time.sleep(0.2)
                address = re.search(r"http://\S+token=\S+", (Path(work) / "said.txt").read_text())
            measure(address.group(0).replace("start.md", "03_nozzle_reaction.ipynb"), presses)
        finally:
            server.terminate()
            server.wait(20)


def measure(url, presses):
    """Drive the browser."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=browser_path(), args=FLAGS)
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        page.goto(url)
        page.wait_for_selector(".as-panel svg.as-pic", timeout=60_000)
        page.wait_for_timeout(3000)
        row = page.locator(".as-controls > .widget-vbox", has_text="Nozzle off the line")
        handle = row.locator(".noUi-handle")
        handle.focus()
        times = []
        for press in range(presses):
            page.evaluate(f"() => {{ window.__took = ({MEASURE})(); }}")
            page.keyboard.press("ArrowRight" if press % 40 < 20 else "ArrowLeft")
            times.append(page.evaluate("window.__took"))
        times.sort()
        middle, late = statistics.median(times), times[int(0.95 * len(times))]
        print(f"key to picture, {presses} presses: median {middle:.0f} ms, 95 % {late:.0f} ms")
        box = handle.bounding_box()
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        page.mouse.move(x, y)
        page.mouse.down()
        for step in range(60):
            page.mouse.move(x + step, y)
        page.mouse.up()
        end = time.monotonic()
        wanted = abs(float(handle.get_attribute("aria-valuenow")))
        page.wait_for_function(
            "d => document.querySelector('.as-reading').innerText.includes(`Nozzle ${d} deg`)",
            arg=f"{wanted:g}",
        )
        print(
            f"fast drag of 60 steps: picture up to date {1000 * (time.monotonic() - end):.0f} ms later"
        )
        browser.close()


if __name__ == "__main__":
    main()
