"""How the site does in headless Chromium: size, first load, slider, requests to others. Not a test.

    .venv/bin/python tests/benchmarks/site_times.py

Builds the site with what is kept already, serves it on this machine, and three times lets a browser
that was never there open the start page, go to lesson 03 and turn the nozzle. Ends with 1 where a
limit is passed: 60 MB, 15 s from nothing to the moved picture, 50 ms from key to picture, no
request to another host.
"""

import statistics
import sys
import tempfile
import threading
import time
from pathlib import Path

from playwright.sync_api import sync_playwright

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "tests"))

from conftest import FLAGS, browser_path  # noqa: E402

from gradekit.site.build import build  # noqa: E402
from gradekit.site.serve import server  # noqa: E402

PANEL = ".as-panel svg.as-pic"
LIMITS = {"MB": 60, "seconds to a working slider": 15, "ms from key to picture": 50}
MOVE = """async () => {
  const handle = [...document.querySelectorAll('.as-controls > .widget-vbox')]
    .find((row) => row.innerText.includes('Nozzle off the line')).querySelector('.noUi-handle');
  const label = () => document.querySelector('.as-panel svg.as-pic').getAttribute('aria-label');
  const times = [];
  for (let n = 0; n < 40; n++) {
    const was = label(), began = performance.now();
    handle.dispatchEvent(new KeyboardEvent('keydown', { key: 'ArrowRight', bubbles: true }));
    while (label() === was && performance.now() - began < 5000) await new Promise(requestAnimationFrame);
    times.push(performance.now() - began);
  }
  return times;
}"""


def visit(chromium, address):
    """(seconds to the first moved picture, ms of each further move, requests to others)."""
    others = []
    context = chromium.new_context(viewport={"width": 820, "height": 1180})
    context.on("request", lambda r: r.url.startswith((address, "data:", "blob:")) or others.append(r.url))  # fmt: skip
    page = context.new_page()
    began = time.monotonic()
    page.goto(address)
    page.wait_for_selector("body[data-ready]")
    page.locator("#lessons a.name", has_text="What the stream does").click()
    page.wait_for_selector(PANEL, timeout=120_000)
    times = page.evaluate(MOVE)
    seconds = time.monotonic() - began - sum(times[1:]) / 1000
    context.close()
    return seconds, times[5:], others


def main():
    """Build, serve, visit three times, print."""
    with tempfile.TemporaryDirectory() as folder:
        began = time.monotonic()
        size = build(Path(folder) / "site", say=lambda words: None) / 1e6
        print(f"built in {time.monotonic() - began:.1f} s")
        running = server(Path(folder) / "site", "127.0.0.1", 0)
        threading.Thread(target=running.serve_forever, daemon=True).start()
        with sync_playwright() as playwright:
            visits = []
            for _ in range(3):
                chromium = playwright.chromium.launch(executable_path=browser_path(), args=FLAGS)
                visits.append(visit(chromium, f"http://127.0.0.1:{running.server_port}/"))
                chromium.close()
        running.shutdown()
    moves = sorted(ms for _, times, _ in visits for ms in times)
    others = [url for *_, urls in visits for url in urls]
    found = {
        "MB": size,
        "seconds to a working slider": statistics.median(seconds for seconds, *_ in visits),
        "ms from key to picture": statistics.median(moves),
    }
    for name, value in found.items():
        print(f"{value:.1f} {name} (limit {LIMITS[name]})")
    print(f"95 % of {len(moves)} moves within {moves[int(len(moves) * 0.95)]:.0f} ms")
    print(f"{len(others)} requests to other hosts {others[:3] or ''}")
    return int(bool(others) or any(value > LIMITS[name] for name, value in found.items()))


if __name__ == "__main__":
    sys.exit(main())
