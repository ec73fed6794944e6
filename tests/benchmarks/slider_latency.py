"""How long a panel takes from a key on a slider to the new picture, beside the usual way. Not a test.

    .venv/bin/python tests/benchmarks/slider_latency.py

Starts the lessons, opens lesson 03 in headless Chromium, presses the arrow key on the rotation
slider and measures, in the page, from the key to the frame that draws the changed picture; keys
fall anywhere between two frames. Then drags fast and measures how long the picture lags behind.
Then does the first again, in the same run and on the same server, with ipywidgets' `interact` and
inline pyplot drawing the same picture. Last, without a browser, what the kernel does for one move
of each panel's slowest slider.
"""

import json
import random
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

# `look` gives a text that changes with the picture. The page is watched, not asked at every frame:
# asking keeps it drawing, and takes from both ways what it measures.
MEASURE = """(look) => new Promise((done) => {
  const seen = new Function('return ' + look);
  const before = seen();
  let start = 0;
  document.addEventListener('keydown', () => { start = performance.now(); }, {once: true, capture: true});
  const watch = new MutationObserver(() => {
    const now = start && seen();
    if (!now || now === before) return;
    watch.disconnect();
    requestAnimationFrame(() => done(performance.now() - start));
  });
  watch.observe(document.body, {subtree: true, childList: true, attributes: true});
})"""
PANELS = (
    "first_panel", "water_panel", "spot_panel", "tip_panel", "chain_panel", "reach_panel",
    "window_panel", "low_panel", "weight_panel",
)  # fmt: skip
OURS = "document.querySelector('.as-panel svg.as-pic')?.getAttribute('aria-label')"
USUAL = "document.querySelector('.jp-OutputArea-output img')?.src.slice(-4000)"
USUAL_WAY = """\
%matplotlib inline
import matplotlib.pyplot as plt
from ipywidgets import interact, FloatSlider
from aerialstream import reaction_at_tip, smooth_bore_reaction
from aerialstream.units import quantity
from math import cos, radians, sin

def draw(rotation):
    push = smooth_bore_reaction("1 3/4 in", nozzle_pressure="80 psi").value
    split = reaction_at_tip(push, rotation=quantity(rotation, "degree"), extension="100 ft")
    fig, ax = plt.subplots(figsize=(7.2, 5.8))
    for x in (-9, 9):
        ax.plot([x, x], [0, 205], color="0.5", lw=3)
    for y in range(12, 200, 14):
        ax.plot([-9, 9], [y, y], color="0.5", lw=1.5)
    turn = radians(rotation)
    ax.plot([0, -150 * sin(turn)], [205, 205 + 150 * cos(turn)], color="C0", lw=10)
    scale = 150 / 400
    for x, y, colour, words in (
        (-split.side.magnitude * scale, split.axial.magnitude * scale, "C1", "reaction"),
        (0, split.axial.magnitude * scale, "C2", "along the ladder"),
        (-split.side.magnitude * scale, 0, "C4", "side load"),
    ):
        ax.annotate("", (x, 205 + y), (0, 205), arrowprops={"arrowstyle": "->", "color": colour})
        ax.text(x, 205 + y, words, color=colour)
    ax.set_aspect("equal"); ax.set_xlim(-360, 360); ax.set_ylim(-160, 420); ax.axis("off")
    ax.set_title(f"{abs(split.side):.0f~P} side load, {abs(split.side_moment):.0f~P} at the base")
    plt.show()

interact(draw, rotation=FloatSlider(min=-60, max=60, step=1, value=0));
"""


def notebook(path):
    """The usual way, as a notebook beside the lessons."""
    from lessonkit.start import sign

    cell = {"cell_type": "code", "id": "usual", "metadata": {}, "source": USUAL_WAY, "outputs": [], "execution_count": None}  # fmt: skip
    kernel = {"name": "python3", "display_name": "Python 3", "language": "python"}
    marks = {"kernelspec": kernel, "aerialstream": {"run_on_open": True}}
    path.write_text(json.dumps({"nbformat": 4, "nbformat_minor": 5, "metadata": marks, "cells": [cell]}))  # fmt: skip
    sign(path)


def main(presses=80):
    """Print the median and the 95th percentile of both ways, and the lag after a fast drag."""
    with tempfile.TemporaryDirectory() as work, open(Path(work) / "said.txt", "w+") as said:
        command = [sys.executable, "-m", "lessonkit.start", "--no-browser", "--work", work]
        server = subprocess.Popen(command, stdout=said, stderr=subprocess.STDOUT)
        try:
            address = None
            while address is None and server.poll() is None:
                time.sleep(0.2)
                address = re.search(r"http://\S+token=\S+", (Path(work) / "said.txt").read_text())
            notebook(Path(work) / "study" / "usual.ipynb")
            _exercises_laid_out(Path(work) / "study" / "assignments")
            measure(address.group(0), presses)
        finally:
            server.terminate()
            server.wait(20)


def _exercises_laid_out(folder, seconds=300):
    """Wait for what the first start makes beside the lessons: it would take a core from one side."""
    from gradekit.questions import papers

    end = time.monotonic() + seconds
    while len(list(folder.glob("*/*.ipynb"))) < len(papers()) and time.monotonic() < end:
        time.sleep(0.5)


def _keys(page, handle, look, presses):
    """Sorted times from key to picture, the first five left out."""
    handle.focus()
    times = []
    chance = random.Random(3)
    for press in range(presses + 5):
        page.evaluate(
            "([measure, look]) => { window.__took = eval(measure)(look); }", [MEASURE, look]
        )
        page.keyboard.press("ArrowRight" if press % 40 < 20 else "ArrowLeft")
        times.append(page.evaluate("window.__took"))
        page.wait_for_timeout(chance.uniform(40, 120))
    return sorted(times[5:])


def _told(words, times):
    middle, late = statistics.median(times), times[int(0.95 * len(times))]
    print(f"{words}: {len(times)} presses, median {middle:.0f} ms, 95 % {late:.0f} ms", flush=True)
    return middle


def measure(url, presses):
    """Drive the browser."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=browser_path(), args=FLAGS)
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        page.goto(url.replace("start.md", "03_nozzle_reaction.ipynb"))
        page.wait_for_selector(".as-panel svg.as-pic", timeout=120_000)
        page.wait_for_timeout(3000)
        row = page.locator(".as-controls > .as-control", has_text="Nozzle off the line")
        handle = row.locator(".noUi-handle")
        ours = _told("panel of the lesson", _keys(page, handle, OURS, presses))
        drag(page, handle)
        page.close()
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        page.goto(url.replace("start.md", "usual.ipynb"))
        page.wait_for_selector(".jp-OutputArea-output img", timeout=120_000)
        page.wait_for_timeout(3000)
        usual = _told("interact and inline pyplot", _keys(page, page.locator(".noUi-handle"), USUAL, presses // 2))  # fmt: skip
        print(f"ratio {usual / ours:.1f}")
        browser.close()


def drag(page, handle):
    """A fast drag of sixty steps."""
    box = handle.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    for step in range(60):
        page.mouse.move(x + step * 0.7, y)
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


def kernel_part():
    """Median and 95th percentile of one move of the slowest slider of each panel, in ms."""
    from importlib import import_module

    for name in PANELS:
        panel = getattr(import_module(f"lessonkit.{name}"), name)()
        slowest = max(
            (_moves(control.slider), key)
            for key, control in panel.controls.items()
            if hasattr(control, "slider")
        )
        (middle, late), key = slowest
        print(f"kernel part, {name}, {key}: median {middle:.1f} ms, 95 % {late:.1f} ms")


def _moves(slider, rounds=3):
    times = []
    for step in list(range(21)) * rounds:
        begin = time.perf_counter()
        slider.value = slider.min + (slider.max - slider.min) * step / 20
        times.append(1000 * (time.perf_counter() - begin))
    times.sort()
    return statistics.median(times), times[int(0.95 * len(times))]


if __name__ == "__main__":
    main()
    kernel_part()
