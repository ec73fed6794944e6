"""The chain of the register: each line carries a digest of itself and of the line before it.

An auditor can work it out again with any SHA-256: the digest of a line is that of a JSON list
(no spaces, letters as they are, UTF-8) of the format's name, the digest of the line before
(empty for the first), and the line's fields in the order of `FIELDS`. Remark and conditions are not
in it themselves but by a digest of their own (`words_digest`), with a random salt, so that they can
be erased on request while the line stays and the chain holds.
"""

import hashlib
import json
from dataclasses import dataclass

FORMAT = "register line 1"
FIELDS = (
    "line", "entered", "member", "kind", "objective", "outcome", "score", "most",
    "content_version", "evaluator", "device", "held", "voids", "attempt", "hours", "missed",
    "token", "words_digest",
)  # fmt: skip
NUMBERS = ("score", "most", "hours")


def _sha(value):
    text = json.dumps(value, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def line_digest(previous, values):
    """Digest of a line, from the digest of the line before and its fields by name."""
    return _sha([FORMAT, previous, *(values[name] for name in FIELDS)])


def words_digest(salt, remark, conditions):
    """Digest of a line's own words; empty where there are none."""
    return _sha([salt, remark, conditions]) if remark or conditions else ""


@dataclass(frozen=True)
class Verdict:
    """What a walk along the chain found.

    lines, head   how many lines hold, and the digest of the last of them
    broken        number of the first line that does not hold, or None
    why           what is wrong with it, in words
    """

    lines: int
    head: str
    broken: int | None = None
    why: str = ""

    @property
    def whole(self):
        """Whether every line holds."""
        return self.broken is None


def walk(rows, erased=(), until=None):
    """Follow the chain from its first line; gives a Verdict.

    Takes
      rows     dictionaries with FIELDS, digest, and salt, remark, conditions (None where erased)
      erased   pairs (member, line of the erasure): words of that member's earlier lines may be gone
      until    (line, digest) written down earlier: that very line must still stand in the chain
    """
    latest = {}
    for member, line in erased:
        latest[member] = max(line, latest.get(member, 0))
    previous, count, met = "", 0, until is None
    for row in rows:
        if row["line"] != count + 1:
            return Verdict(count, previous, count + 1, f"missing; the next is {row['line']}")
        if line_digest(previous, row) != row["digest"]:
            return Verdict(count, previous, row["line"], "changed, or put in afterwards")
        why = _words_fault(row, latest)
        if why:
            return Verdict(count, previous, row["line"], why)
        previous, count = row["digest"], row["line"]
        if until and until[0] == count:
            if until[1] != previous:
                return Verdict(count - 1, "", count, "not the line that was written down")
            met = True
    if not met:
        return Verdict(count, previous, count + 1, f"missing; line {until[0]} was written down")
    return Verdict(count, previous)


def _words_fault(row, latest):
    if row["salt"] is None:
        gone = row["words_digest"] and latest.get(row["member"], 0) < row["line"]
        return "its remark is gone, and nobody asked for that" if gone else ""
    if words_digest(row["salt"], row["remark"], row["conditions"]) != row["words_digest"]:
        return "its remark or conditions were changed"
    return ""
