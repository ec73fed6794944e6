"""Drawing a scenario: a hash of version, member number and name picks a row. No random numbers."""

import re
from hashlib import sha256

MEMBER_NUMBER = re.compile(r"^[A-Za-z0-9][A-Za-z0-9-]{0,19}$")


def member_number(text):
    """A member number as it is kept: trimmed; empty where the text is not one.

    Letters, digits and hyphens, at most 20; case does not count.
    """
    text = str(text if text is not None else "").strip().upper()
    return text if MEMBER_NUMBER.match(text) else ""


def draw(version, member, name, count):
    """Which of `count` rows a member gets: the same for the same three texts, anywhere, always."""
    digest = sha256(f"{version}|{member}|{name}".encode()).digest()
    return int.from_bytes(digest[:8], "big") % count
