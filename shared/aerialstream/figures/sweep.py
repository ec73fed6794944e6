"""A sweep of the nozzle as frames that play in a page: section and plan, step by step.

The frames are SVG text in one piece of HTML: no video, nothing loaded from outside. Where a page
runs no script, all frames stand below each other, each with its words.
"""

from html import escape
from zlib import crc32

from aerialstream.application import water_use
from aerialstream.charts.cut import window_of
from aerialstream.charts.section import describe, section
from aerialstream.charts.svg import style_sheet
from aerialstream.charts.water_map import water_map_plan
from aerialstream.errors import ImpossibleValue
from aerialstream.units import Need, in_unit, quantity

ANGLE = Need("angle", "degree")
FRAME_MS = 900
VARIED = {"turn": "stream turned", "stream_pitch": "stream pitched"}

# Buttons come to life only where this runs; until then every frame is seen.
_SCRIPT = """
(function () {
  var root = document.getElementById("NAME");
  if (!root || root.dataset.ready) { return; }
  root.dataset.ready = "1";
  var frames = root.querySelectorAll("figure"), at = 0, timer = null;
  var bar = root.querySelector("[data-bar]"), words = root.querySelector("[data-words]");
  var play = root.querySelector("[data-play]"), slide = root.querySelector("input");
  function show(n) {
    at = (n + frames.length) % frames.length;
    frames.forEach(function (f, k) { f.hidden = k !== at; });
    slide.value = at;
    words.textContent = frames[at].querySelector("figcaption").textContent;
  }
  function stop() { clearInterval(timer); timer = null; play.textContent = "Play"; }
  root.querySelector("[data-back]").onclick = function () { stop(); show(at - 1); };
  root.querySelector("[data-next]").onclick = function () { stop(); show(at + 1); };
  slide.oninput = function () { stop(); show(Number(slide.value)); };
  play.onclick = function () {
    if (timer) { stop(); return; }
    play.textContent = "Pause";
    timer = setInterval(function () { show(at + 1); }, PACE);
  };
  bar.hidden = false;
  show(0);
})();
"""


def swept(view, *, vary="turn", start, end, steps=9, **shot):
    """The results of a sweep: the same shot with one angle going from start to end.

    Takes
      view         as in `water_use`
      vary         "turn" or "stream_pitch"
      start, end   of that angle, texts such as "-10 deg"
      steps        how many frames, 2 to 40
      shot         the rest of what `water_use` takes
    Gives
      tuple of WaterUse
    """
    if vary not in VARIED:
        raise ImpossibleValue(f"vary = {vary!r}: must be one of {', '.join(map(repr, VARIED))}")
    if not (isinstance(steps, int) and 2 <= steps <= 40):
        raise ImpossibleValue(f"steps = {steps!r}: must be a whole number, 2 to 40")
    low, high = in_unit(start, ANGLE), in_unit(end, ANGLE)
    angles = [low + (high - low) * n / (steps - 1) for n in range(steps)]
    return tuple(water_use(view, **{**shot, vary: quantity(a, "degree")}) for a in angles)


def sweep(results, *, vary="turn", system="US", with_map=True):
    """The results of a sweep as HTML that plays: previous, next, play, and a slider.

    Takes
      results    WaterUse objects in order, as `swept` gives them
      vary       which angle goes from frame to frame: "turn" or "stream_pitch"
      system     "US" or "metric", for the labels
      with_map   whether the plan stands below the section
    Gives
      HTML text; every frame has its words below it, and they are read out as it changes
    """
    results = tuple(results)
    if not results:
        raise ImpossibleValue("results: needed: at least one WaterUse")
    window = window_of(results[0])
    for result in results[1:]:
        window = window | window_of(result)
    frames = []
    for number, result in enumerate(results, 1):
        words = f"{number} of {len(results)}: {_angle(result, vary)}. {describe(result, system)}"
        pictures = [section(result, window=window, system=system)]
        if with_map:
            pictures.append(water_map_plan(result, system=system))
        for picture in pictures:
            picture.label = f"Frame {number}. {picture.label}"  # ids in a picture come from it
        drawn = "".join(picture.svg(styled=False) for picture in pictures)
        frames.append(f"<figure>{drawn}<figcaption>{escape(words)}</figcaption></figure>")
    body = "".join(frames)
    name = f"as-sweep-{crc32(body.encode()):08x}"
    return (
        f"<div id='{name}' class='as-sweep'><style>{style_sheet()}"
        ".as-sweep figure{margin:0 0 1em}.as-sweep [hidden]{display:none}"
        ".as-sweep button{font-size:1rem;padding:.3em .9em;margin-right:.4em}</style>"
        "<div data-bar hidden><button type='button' data-back>Previous</button>"
        "<button type='button' data-play>Play</button><button type='button' data-next>Next</button>"
        f"<input type='range' min='0' max='{len(results) - 1}' value='0' aria-label='Frame'>"
        "<p data-words aria-live='polite'></p></div>"
        f"{body}<script>{_SCRIPT.replace('NAME', name).replace('PACE', str(FRAME_MS))}</script></div>"
    )


def _angle(result, vary):
    """The angle of a frame in words."""
    if vary == "turn":
        angle = result.shot.turn_deg
        way = "" if abs(angle) < 0.05 else f" to the {'right' if angle > 0 else 'left'}"
    else:
        angle = result.shot.pitch_deg
        way = "" if abs(angle) < 0.05 else (" up" if angle > 0 else " down")
    return f"{VARIED[vary]} {abs(angle):.1f} deg{way}"
