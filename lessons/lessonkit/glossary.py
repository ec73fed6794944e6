"""One list of trade words, `lessons/glossary.toml`; each is linked where a lesson first uses it.

The notebooks in the repository stay plain: the links are put in when a lesson is laid into the
study folder.
"""

import re
import tomllib
from functools import cache
from pathlib import Path

FILE = Path(__file__).resolve().parents[1] / "glossary.toml"
PAGE = "glossary.md"
# Not to be linked: headings, code, links, formulas set off by ">", words in bold.
_LEAVE = re.compile(r"^#.*$|^>.*$|`[^`]*`|\[[^\]]*\]\([^)]*\)|\*\*[^*]*\*\*", re.MULTILINE)


@cache
def terms():
    """The terms in order: dictionaries with word, means and also (other forms)."""
    found = tomllib.loads(FILE.read_text(encoding="utf-8"))["term"]
    return tuple(sorted(found, key=lambda term: term["word"].casefold()))


def anchor(word):
    """The place of a term on the glossary's page, as JupyterLab names it."""
    return word.replace(" ", "-")


def page():
    """The glossary as Markdown."""
    parts = ["# Words", "", "Plain words for the trade words of the lessons.", ""]
    for term in terms():
        parts += [f"### {term['word']}", "", term["means"], ""]
    return "\n".join([*parts, "Back to the [start page](start.md).", ""])


def _first(text, term):
    """Where a term stands first outside headings, links, code and bold, or None."""
    kept_off = [match.span() for match in _LEAVE.finditer(text)]
    forms = sorted([term["word"], *term.get("also", [])], key=len, reverse=True)
    pattern = rf"(?<![\w-])(?:{'|'.join(map(re.escape, forms))})(?![\w-])"
    for match in re.finditer(pattern, text, re.IGNORECASE):
        if not any(start < match.end() and match.start() < end for start, end in kept_off):
            return match
    return None


def marked(texts):
    """(texts with each term linked at its first use in the whole row of texts, words linked)."""
    texts, linked = list(texts), []
    # Longer words first, so that "side load" is not cut up by a shorter one.
    for term in sorted(terms(), key=lambda t: -len(t["word"])):
        for n, text in enumerate(texts):
            match = _first(text, term)
            if match:
                means = term["means"].replace('"', "'")
                link = f'[{match.group()}]({PAGE}#{anchor(term["word"])} "{means}")'
                texts[n] = text[: match.start()] + link + text[match.end() :]
                linked.append(term["word"])
                break
    return texts, linked
