"""Side load against the angle of the nozzle off the ladder's centre line."""

from aerialstream.charts.turn_curve import turn_curve
from aerialstream.figures.drawn import Drawn
from aerialstream.units import show

INK, ACROSS, ALONG = "#1b2126", "#7b2a86", "#2c6a2e"


def side_load_curve(results, system="US"):
    """Side load and push along the ladder for a row of rotations of one nozzle.

    Takes
      results   TipReaction objects of one reaction, at least one, rotations rising from 0
      system    "US" or "metric"
    Gives
      Drawn
    """
    unit = "lbf" if system == "US" else "newton"
    degrees = [abs(r.rotation.magnitude) for r in results]
    side = [abs(r.side).to(unit).magnitude for r in results]
    along = [abs(r.axial).to(unit).magnitude for r in results]
    numbers = "; ".join(
        f"{r.rotation.magnitude:g} degrees {show(abs(r.side), system)}" for r in results
    )
    alt = (
        f"Side load at the tip against the angle of the nozzle, for "
        f"{show(results[0].reaction, system)} of reaction: it rises fastest at first. "
        f"Side load: {numbers}."
    )
    forces = "pounds" if system == "US" else "newtons"
    try:
        from matplotlib.figure import Figure
    except ImportError:  # in a browser there is no matplotlib
        return Drawn(turn_curve(degrees, side, along, alt, forces), alt)
    figure = Figure(figsize=(6.8, 3.9), layout="constrained", facecolor="white")
    axes = figure.add_subplot()
    axes.plot(degrees, side, color=ACROSS, lw=2.5, marker="o", label="side load")
    axes.plot(degrees, along, color=ALONG, lw=2, ls="--", marker="s", label="along the ladder")
    last = len(results) - 1
    two, one = min(2, last), min(1, last)
    axes.annotate(
        "side load", (degrees[two], side[two]), (-8, 6), textcoords="offset points", ha="right",
        color=ACROSS, weight="bold", fontsize=12,
    )  # fmt: skip
    axes.annotate(
        "along the ladder", (degrees[one], along[one]), (8, 8), textcoords="offset points",
        color=ALONG, fontsize=12,
    )  # fmt: skip
    axes.set_xticks(degrees)
    axes.set_xlabel("nozzle off the ladder's centre line (degrees)", color=INK, fontsize=12)
    axes.set_ylabel(f"force at the tip ({forces})", fontsize=12)
    axes.set_ylim(0, 1.12 * max(side + along))
    axes.grid(alpha=0.3)
    for edge in ("top", "right"):
        axes.spines[edge].set_visible(False)
    return Drawn(figure, alt)
