"""What became of everybody in one grading run: for people, for scripts, and as an exit status."""

import json
from dataclasses import asdict, dataclass
from pathlib import Path

ALL_WELL, SOMEBODY_NEEDS_YOU, REFUSED = 0, 1, 2
GRADED, BEFORE = "graded", "graded before"
OLDER, UNREADABLE, FAILED = "older version", "not readable", "grading failed"
STATUSES = (GRADED, BEFORE, OLDER, UNREADABLE, FAILED)


LONGEST_TOLD = 600


def plain(text):
    """Words that may hold what a learner wrote, as every screen and file can show them."""
    text = "".join(c if c.isprintable() else " " for c in str(text)[: LONGEST_TOLD + 1])
    text = text.encode("utf-8", "replace").decode()
    return text if len(text) <= LONGEST_TOLD else text[:LONGEST_TOLD] + " ..."


@dataclass(frozen=True)
class Graded:
    """What became of one member's hand-in.

    status     one of STATUSES
    problems   what was repaired or told on the way, a sentence each
    trouble    what the notebook did when it was run, if it had to be stopped; empty otherwise
    late       how late it came, in words; empty if in time or if there was no last day
    """

    member: str
    assignment: str
    status: str
    problems: tuple = ()
    trouble: str = ""
    late: str = ""

    def __post_init__(self):
        object.__setattr__(self, "problems", tuple(map(plain, self.problems)))
        object.__setattr__(self, "trouble", plain(self.trouble))

    @property
    def needs_you(self):
        """Whether the instructor has something to do about it."""
        return bool(self.trouble) or self.status in (OLDER, UNREADABLE, FAILED)


@dataclass(frozen=True, kw_only=True)
class RunReport:
    """One grading run: who was graded, repaired, refused, stopped, and why."""

    items: tuple
    started: str
    seconds: float
    workers: str
    shut_in: str

    @property
    def exit_status(self):
        """0 when all is well, 1 when somebody's hand-in needs the instructor."""
        return SOMEBODY_NEEDS_YOU if any(i.needs_you for i in self.items) else ALL_WELL

    def counts(self):
        """How many of each status, how many were repaired, stopped, late."""
        counted = {s: sum(i.status == s for i in self.items) for s in STATUSES}
        counted["repaired"] = sum(i.status == GRADED and bool(i.problems) for i in self.items)
        counted["stopped"] = sum(bool(i.trouble) for i in self.items)
        counted["late"] = sum(bool(i.late) for i in self.items)
        return counted

    def summary(self):
        """One line for people."""
        told = ", ".join(f"{number} {what}" for what, number in self.counts().items() if number)
        return f"{len(self.items)} hand-ins in {self.seconds:.1f} s: {told or 'nothing to grade'}"

    def as_text(self):
        """All of it for people, a line or more for each hand-in."""
        lines = [f"Grading run of {self.started}", self.summary(), f"Run by {self.workers}.",
                 f"Shut in: {self.shut_in}.", ""]  # fmt: skip
        for item in self.items:
            lines.append(f"{item.assignment}  {item.member}  {item.status}")
            if item.late:
                lines.append(f"    late: {item.late}")
            if item.trouble:
                lines.append(f"    stopped: {item.trouble}")
            lines += [f"    {problem}" for problem in item.problems]
        return "\n".join(lines) + "\n"

    def as_json(self):
        """All of it for scripts."""
        whole = {
            "started": self.started,
            "seconds": round(self.seconds, 2),
            "workers": self.workers,
            "shut_in": self.shut_in,
            "exit_status": self.exit_status,
            "counts": self.counts(),
            "hand_ins": [asdict(item) | {"needs_you": item.needs_you} for item in self.items],
        }
        return json.dumps(whole, indent=1, ensure_ascii=False)

    def write(self, folder):
        """Put both beside each other into a folder; gives the path of the text."""
        text = Path(folder) / "grading-run.txt"
        replace_file(text, self.as_text())
        replace_file(text.with_suffix(".json"), self.as_json() + "\n")
        return text


def replace_file(path, text):
    """Write a file so that it is either as it was or whole, whenever the run is killed."""
    part = path.with_name(f".{path.name}.part")
    part.write_text(text, encoding="utf-8")
    part.replace(path)
