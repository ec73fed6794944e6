"""What a calculation gives back: values with their steps, notes and sources. Frozen."""

from dataclasses import dataclass
from html import escape
from typing import Any

from aerialstream.sources import source
from aerialstream.units import show
from aerialstream.worked import in_system

MANUAL_DECIDES = (
    "The operator's manual of the device and local procedure decide what is allowed. "
    "This number sizes the load; it permits nothing."
)


# Line of a tip reaction -> its label, and the words for plus and minus.
_TIP_LINES = {
    "reaction": ("Reaction of the nozzle",),
    "axial": ("Along the ladder", "pushes outward", "pushes toward the turntable"),
    "side": ("Side load at the tip", "to the left", "to the right"),
    "in_plane": ("Square to the ladder, in its plane", "to the upper side", "to the lower side"),
    "side_moment": ("Side moment at the base", "to the left", "to the right"),
    "in_plane_moment": ("In-plane moment at the base", "lowers the tip", "lifts the tip"),
    "torsion": ("Torsion", "left side up", "right side up"),
}

_HOW_FAR = ("estimate", "outside range")
_ONLY_IF_ANY = ("in_plane", "in_plane_moment", "torsion")  # left out where there is none


@dataclass(frozen=True)
class Note:
    """A remark that travels with a result. `code` is one of "outside range", "caution", "estimate"."""

    code: str
    text: str


@dataclass(frozen=True, kw_only=True)
class Explained:
    """The part every result has: how it was worked out, what to mind, where it comes from.

    steps     worked steps in trade words, in order; each knows its metric wording too (worked.py)
    notes     Note objects
    sources   ids in `sources.py`
    """

    title: str
    steps: tuple[str, ...] = ()
    notes: tuple[Note, ...] = ()
    sources: tuple[str, ...] = ()

    def lines(self, system="US"):
        """The values as (label, text) pairs, printed in a unit system ("US" or "metric")."""
        raise NotImplementedError

    def steps_in(self, system="US"):
        """The worked steps in a unit system ("US" or "metric")."""
        return tuple(in_system(step, system) for step in self.steps)

    def text(self, system="US"):
        """The whole result as plain text: values, steps, notes, sources."""
        out = [f"{label}: {value}" for label, value in self.lines(system)]
        out += [f"  {n}. {step}" for n, step in enumerate(self.steps_in(system), 1)]
        out += [f"  Note ({note.code}): {in_system(note.text, system)}" for note in self.notes]
        out += [f"  Source: {source(s)}" for s in self.sources]
        return "\n".join(out)

    def html(self, system="US"):
        """The same as HTML: values, numbered steps, cautions; other notes and sources in folds."""
        values = "".join(
            f"<tr><th scope='row'>{escape(label)}</th><td>{escape(value)}</td></tr>"
            for label, value in self.lines(system)
        )
        steps = "".join(f"<li>{escape(step)}</li>" for step in self.steps_in(system))
        held = [n for n in self.notes if n.code in _HOW_FAR]
        told = [n for n in self.notes if n.code not in _HOW_FAR]
        notes = _notes_html(told, system)
        if held:  # how good the figures are: one press away, so that cautions stand out
            notes += (
                f"<details class='as-how-far'><summary>How far this holds ({len(held)})</summary>"
                f"{_notes_html(held, system)}</details>"
            )
        cited = "".join(f"<li>{escape(str(source(s)))}</li>" for s in self.sources)
        return f"<div class='as-result'><table>{values}</table><ol>{steps}</ol>{notes}<details><summary>Sources</summary><ul>{cited}</ul></details></div>"

    def _repr_html_(self):
        return self.html()


def _notes_html(notes, system):
    return "".join(
        f"<p class='as-note'><strong>{escape(n.code.capitalize())}:</strong> "
        f"{escape(in_system(n.text, system))}</p>"
        for n in notes
    )


@dataclass(frozen=True, kw_only=True)
class Result(Explained):
    """One value.

    value    a quantity of the kit's registry, in the fixed unit its function promises
    kind     how it is printed, where its dimension does not tell ("bore", "load", "weight", ...)
    """

    value: Any
    kind: str | None = None

    def lines(self, system="US"):
        """The one value as a (label, text) pair."""
        return ((self.title, show(self.value, system, self.kind)),)

    def __str__(self):
        return show(self.value, "US", self.kind)

    def __repr__(self):
        return self.text()


@dataclass(frozen=True, kw_only=True)
class TipReaction(Explained):
    """The reaction of the nozzle resolved at the tip of the ladder, and its moments at the base.

    Signs: axial + outward (so a stream ahead gives a minus: compression toward the turntable);
    side + to the left looking outward; in_plane + to the upper side of the ladder.
    side_moment bends the ladder sideways at its base (+ by a force to the left); in_plane_moment
    + lowers the tip (adds to gravity); torsion + turns left side up (right-handed about the
    outward axis). Forces in lbf, moments in lbf·ft.
    """

    reaction: Any
    rotation: Any
    pitch: Any
    extension: Any
    axial: Any
    side: Any
    in_plane: Any
    side_moment: Any
    in_plane_moment: Any
    torsion: Any

    def lines(self, system="US"):
        """The forces and moments as (label, text) pairs, each with its way in words."""
        out = []
        for name, (label, *ways) in _TIP_LINES.items():
            value = getattr(self, name)
            text = show(abs(value), system)
            nothing = text.startswith("0 ")
            if name in _ONLY_IF_ANY and nothing:
                continue
            if ways and not nothing:
                text += f", {ways[value.magnitude < 0]}"
            out.append((label, text))
        return tuple(out)

    def __repr__(self):
        return self.text()
