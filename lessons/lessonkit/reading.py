"""How hard a text is to read: mean length of its sentences, and its share of long words."""

import re
from dataclasses import dataclass

LONG = 3  # syllables


@dataclass(frozen=True)
class Readability:
    """words a sentence, percent of words of three syllables or more."""

    sentence: float
    long_words: float

    def __str__(self):
        return f"{self.sentence:.1f} words a sentence, {self.long_words:.0f} % long words"


def syllables(word):
    """Roughly: groups of vowels, less a silent e at the end."""
    word = word.casefold()
    groups = len(re.findall(r"[aeiouy]+", word))
    if word.endswith(("e", "ed", "es")) and not word.endswith(("le", "ted", "ded", "ses", "ces")):
        groups -= 1
    return max(groups, 1)


def plain(markdown):
    """Markdown without its marks, tables and formulas; each line of a list ends a sentence."""
    text = re.sub(r"```.*?```|^\s*[>|].*$", " ", markdown, flags=re.DOTALL | re.MULTILINE)
    text = re.sub(r"\[([^\]]*)\]\([^)]*\)", r"\1", text)
    text = re.sub(r"^\s*(#+|[-*]|\d+\.)\s+(.*)$", r"\2.", text, flags=re.MULTILINE)
    return re.sub(r"[*_`]", "", text)


def readability(markdown):
    """The figures of a text."""
    sentences = [
        words
        for part in re.split(r"[.!?:;](?:\s|$)|\n\s*\n", plain(markdown))
        if (words := re.findall(r"[A-Za-z][A-Za-z'’-]*", part))
    ]
    words = [word for sentence in sentences for word in sentence]
    if not words:
        return Readability(0.0, 0.0)
    share = 100 * sum(syllables(word) >= LONG for word in words) / len(words)
    return Readability(len(words) / len(sentences), share)
