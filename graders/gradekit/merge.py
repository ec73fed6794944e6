"""A learner's answers, put into a fresh copy of the released notebook.

That one step undoes most damage: changed checks, deleted or doubled cells, lost metadata, a
wrong kernel name. It also lets no learner's code run: of an answer cell only the text that it
gives to its variable is taken over. What cannot be repaired is said in words, and never guessed.
"""

import copy
import json
import re
from dataclasses import dataclass
from pathlib import Path

import nbformat

from gradekit.answers import misquoted_answer, typed_answer
from gradekit.draw import member_number
from gradekit.notebook import MEMBER_VARIABLE, member_cell

LARGEST_FILE = 5_000_000  # bytes
MOST_LINES_SHOWN = 40  # of an answer that is shown as a comment


class UnreadableHandIn(ValueError):
    """A file that is no notebook; the message says what it is instead."""


@dataclass(frozen=True)
class Merged:
    """A repaired notebook and what was found on the way, one sentence each."""

    notebook: object
    problems: tuple


def read_hand_in(path):
    """The JSON of a handed-in notebook, or UnreadableHandIn with the reason in words."""
    return read_and_mend(path)[0]


def read_and_mend(path):
    """(JSON of a handed-in notebook, what was mended to read it), or UnreadableHandIn.

    Mended is only what leaves no doubt about what the learner wrote: another encoding, commas too
    many, a saved conflict whose two sides say the same.
    """
    path = Path(path)
    if path.stat().st_size > LARGEST_FILE:
        raise UnreadableHandIn(f"the file is larger than {LARGEST_FILE // 1_000_000} MB")
    raw = path.read_bytes()
    if not raw.strip():
        raise UnreadableHandIn("the file is empty")
    if raw[:4] == b"PK\x03\x04":
        raise UnreadableHandIn("the file is a zip or a word-processor document, not a notebook")
    text, told = _decoded(raw)
    if _CONFLICT.search(text):
        data, more = _without_conflict(text)
    else:
        data, more = _parsed(text)
    cells = data.get("cells") if isinstance(data, dict) else None
    if not isinstance(cells, list):
        raise UnreadableHandIn("the file has no cells: it is not a notebook")
    return data, told + more


_CONFLICT = re.compile(r"^<{7}[ \n\r]", re.MULTILINE)
# A string is taken whole, to the end of the file if nothing ends it: so no text is gone over twice.
_STRING_OR_COMMA = re.compile(r'"(?:[^"\\]|\\.)*+(?:"|\Z)|,(?=\s*[}\]])', re.DOTALL)
_MARKS = ((b"\xff\xfe\x00\x00", "utf-32"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))


def _decoded(raw):
    """(text, what was told): UTF-8, else what the file's first bytes say, else Western European."""
    try:
        return raw.decode("utf-8-sig"), ()
    except UnicodeDecodeError:
        pass
    for mark, name in (*_MARKS, (b"", "cp1252")):
        if raw.startswith(mark):
            try:
                return raw.decode(name), (f"the file was saved as {name}, not as UTF-8; read so",)
            except UnicodeDecodeError:
                break
    raise UnreadableHandIn(_DAMAGED)


_DAMAGED = "the file is damaged and does not read as a notebook: hand it in again"


def _parsed(text):
    try:
        return json.loads(text), ()
    except (ValueError, RecursionError):
        pass
    mended = _STRING_OR_COMMA.sub(lambda m: "" if m.group() == "," else m.group(), text)
    try:
        data = json.loads(mended)
    except (ValueError, RecursionError):
        raise UnreadableHandIn(_DAMAGED) from None
    return data, ("the file had a comma too many; left out",)


def _without_conflict(text):
    """Both versions of a file with a saved conflict; one of them, if they say the same."""
    read = []
    for side in ("one", "other"):
        try:
            read.append(_parsed(_side(text, side)))
        except UnreadableHandIn:
            break
    if len(read) == 2 and _says(read[0][0]) == _says(read[1][0]):
        told = "the file held a saved conflict; both versions have the same cells"
        return read[0][0], (told, *read[0][1])
    raise UnreadableHandIn(
        "the file holds two versions of the notebook (a saved conflict): keep one and hand it in "
        "again"
    )


def _side(text, wanted):
    """One version of a text with saved conflicts: "one" or "other"."""
    kept, inside = [], ""
    for line in text.splitlines(keepends=True):
        if line.startswith("<" * 7):
            inside = "one"
        elif inside and line.startswith("|" * 7):
            inside = "before both"
        elif inside and line.startswith("=" * 7):
            inside = "other"
        elif inside and line.startswith(">" * 7):
            inside = ""
        elif inside in ("", wanted):
            kept.append(line)
    return "".join(kept)


def _says(data):
    cells = data.get("cells") if isinstance(data, dict) else None
    return [_source(c) for c in cells or () if isinstance(c, dict)] if cells else None


def _source(cell):
    source = cell.get("source", "")
    if isinstance(source, list):
        source = "".join(line for line in source if isinstance(line, str))
    # Half a surrogate pair is legal in JSON, but no file can be written with it.
    return source.encode("utf-8", "replace").decode() if isinstance(source, str) else ""


def _grade_id(cell):
    metadata = cell.get("metadata")
    nbgrader = metadata.get("nbgrader") if isinstance(metadata, dict) else None
    grade_id = nbgrader.get("grade_id") if isinstance(nbgrader, dict) else None
    return grade_id if isinstance(grade_id, str) else None


def _sets(source, variable):
    return any(
        line.partition("=")[0].strip() == variable and "=" in line for line in source.splitlines()
    )


def _variable(cell):
    """The name that a released answer cell gives a value to, from its first line."""
    first = _source(cell).splitlines()[0] if _source(cell) else ""
    return first.partition("=")[0].strip()


def _candidates(data, wanted_id, variable, released):
    """The learner's cells for one answer: by grade id, else by cell id, else by its variable.

    Cells that are still as released give way to others that set the variable: the answer may
    stand in a cell that the learner put in. So do cells that do not set it: they may bear the id
    of another's answer.
    """
    cells, untouched, other = [c for c in data["cells"] if isinstance(c, dict)], [], []

    def as_released(cell):
        return _source(cell).strip() == released.strip()

    for test in (
        lambda c: _grade_id(c) == wanted_id,
        lambda c: c.get("id") == wanted_id,
        lambda c: bool(variable) and _sets(_source(c), variable),
    ):
        found = [c for c in cells if test(c)]
        fitting = [c for c in found if as_released(c) or _sets(_source(c), variable)]
        if not variable:
            fitting = found
        if not all(map(as_released, fitting)):
            return fitting
        if all(map(as_released, found)):
            untouched = untouched or found
        else:
            other = other or found
    return other or untouched


_VARIANT = re.compile(r"Member \S{1,20}, variant ([^\n\r']{1,200})")


def shown_variants(data):
    """The variant keys that a hand-in's own outputs show, in order, each once."""
    found = {}
    for cell in data["cells"]:
        outputs = cell.get("outputs") if isinstance(cell, dict) else None
        for output in outputs if isinstance(outputs, list) else ():
            shown = output.get("data") if isinstance(output, dict) else None
            text = shown.get("text/plain", "") if isinstance(shown, dict) else ""
            text = "\n".join(map(str, text)) if isinstance(text, list) else str(text)
            found.update(dict.fromkeys(key.strip() for key in _VARIANT.findall(text)))
    return tuple(found)


def _other_variant(data, variant):
    shown = shown_variants(data)
    if not variant or not shown or variant in shown:
        return []
    return [
        f"the notebook showed variant {shown[-1]}, but {variant} is judged: was it worked on with "
        "another department's data, or before the retake?"
    ]


def merge(data, released, member, variant="", retake=0):
    """Answers from a hand-in, set into a fresh copy of the released notebook.

    Takes
      data       JSON of the hand-in, from `read_hand_in`
      released   the released notebook (nbformat)
      member     number of the member whose hand-in this is; it goes into the member cell
      variant    key of the variant that will be judged, to tell where another one was shown
      retake     which retake the class has on file for them; it goes into the member cell, too
    Gives
      Merged
    """
    fresh, problems = copy.deepcopy(released), []
    for cell in fresh.cells:
        if not cell.metadata.get("nbgrader", {}).get("solution"):
            continue
        grade_id, variable = cell.metadata.nbgrader.grade_id, _variable(cell)
        found = _candidates(data, grade_id, variable, cell.source)
        if variable == MEMBER_VARIABLE:
            problems += _other_member(found, member)
            cell.source = member_cell(member, retake)
            continue
        sources = []
        for candidate in found:
            source = _source(candidate)
            if source.strip() != cell.source.strip() and source not in sources:
                sources.append(source)
        if not found:
            problems.append(f"{grade_id}: the answer cell was missing; it counts as blank")
        elif len(sources) > 1:
            problems.append(f"{grade_id}: {len(sources)} different answers; the last one counts")
        elif len(found) > 1:
            problems.append(f"{grade_id}: the answer cell was there {len(found)} times")
        if sources:
            cell.source, problem = _only_the_text(sources[-1], variable)
            problems += [f"{grade_id}: {problem}"] if problem else []
    problems += _changed_checks(data, released) + _other_variant(data, variant)
    return Merged(fresh, tuple(problems))


def _only_the_text(source, variable):
    """An answer cell with nothing in it that could run but a text given to its variable.

    Gives (source, problem): what the learner wrote stays readable as a comment.
    """
    text, alone = typed_answer(source, variable)
    if text is not None and alone:
        return source, ""
    written = "\n".join(f"# {line}" for line in source.splitlines()[:MOST_LINES_SHOWN])
    if text is None:
        return written, "no text between quotes could be read"
    told = "only the text between the quotes counts; nothing else in the cell was run"
    if misquoted_answer(source, variable) is not None:
        told = f"the quotes were wrong; read as “{text}”"
    return f"{variable} = {text!r}\n{written}", told


def _other_member(found, member):
    numbers = {
        member_number(
            _source(cell).partition("\n")[0].partition("=")[2].split("#")[0].strip().strip("\"'")
        )
        for cell in found
    } - {"", member.upper()}
    return [
        f"the notebook names member {number}, but was handed in for {member}; "
        f"it is judged with the numbers of {member}"
        for number in sorted(numbers)
    ]


def _changed_checks(data, released):
    by_id = {}
    for cell in data["cells"]:
        if isinstance(cell, dict) and _grade_id(cell):
            by_id.setdefault(_grade_id(cell), _source(cell))
    problems = []
    for cell in released.cells:
        marks = cell.metadata.get("nbgrader", {})
        if not marks.get("locked"):
            continue
        given = by_id.get(marks.grade_id)
        if given is None:
            problems.append(f"{marks.grade_id}: a part that is no answer was missing; put back")
        elif given.strip() != cell.source.strip():
            problems.append(
                f"{marks.grade_id}: a part that is no answer was changed; put back as released"
            )
    return problems


def read_notebook(path):
    """A notebook of our own as nbformat."""
    return nbformat.read(path, as_version=4)
