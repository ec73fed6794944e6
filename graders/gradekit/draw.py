"""Drawing a scenario: a hash of version, member number and name picks a row. No random numbers."""

import re
from hashlib import sha256

MEMBER_NUMBER = re.compile(r"^[A-Za-z0-9][A-Za-z0-9-]{0,19}$")
MOST_RETAKES = 99


def member_number(text):
    """A member number as it is kept: trimmed; empty where the text is not one.

    Letters, digits and hyphens, at most 20; case does not count.
    """
    text = str(text if text is not None else "").strip().upper()
    return text if MEMBER_NUMBER.match(text) else ""


def retake_number(value):
    """The number of a retake as it is kept, 0 for the first time; 0 for what is no such number."""
    text = value if isinstance(value, str) else str(value) if type(value) is int else ""
    text = text.strip()[:3]
    return int(text) if re.fullmatch(r"[0-9]{1,2}", text) else 0


def draw(version, member, name, count):
    """Which of `count` rows a member gets: the same for the same three texts, anywhere, always."""
    digest = sha256(f"{version}|{member}|{name}".encode()).digest()
    return int.from_bytes(digest[:8], "big") % count


def place_in_deal(version, member, name, count, retake=0):
    """Which of `count` rows a member gets the first time (retake 0), the second, and so on.

    No row comes twice before all have been dealt; then it starts again.
    """
    # Removing a row from a long list of layouts one by one is only done as often as there were
    # retakes, so the list is never made.
    taken: list = []
    for turn in range(retake % count + 1):
        words = version if turn == 0 else f"{version}|retake {turn}"
        place = draw(words, member, name, count - turn)
        for before in sorted(taken):
            place += place >= before
        taken.append(place)
    return taken[-1]
