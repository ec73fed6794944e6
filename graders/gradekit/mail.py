"""Notebooks that came as attachments of a saved mail (.eml), read with Python's own email package."""

import email
import email.policy
from dataclasses import dataclass
from email.errors import MessageError
from email.header import decode_header
from email.utils import parsedate_to_datetime

LARGEST_MAIL = 40_000_000  # bytes; attachments grow by a third on their way
MOST_ATTACHMENTS = 200


class UnreadableMail(ValueError):
    """A file that is no mail, or is too large; the message says so in words."""


@dataclass(frozen=True)
class Attached:
    """One attachment: its name in plain letters, and its bytes."""

    name: str
    raw: bytes


@dataclass(frozen=True)
class Mail:
    """Subject, time of arrival in seconds since 1970 or None, attachments that have a name."""

    subject: str
    arrived: float | None
    attachments: tuple


def read_mail(path):
    """A saved mail; mails that were forwarded inside it count as well.

    Fails when
      UnreadableMail   it is too large, or cannot be read as a mail
    """
    if path.stat().st_size > LARGEST_MAIL:
        raise UnreadableMail(f"the mail is larger than {LARGEST_MAIL // 1_000_000} MB")
    try:
        message = email.message_from_bytes(path.read_bytes(), policy=email.policy.compat32)
        found = []
        for part in message.walk():
            name = "" if part.is_multipart() else _name(part)
            if name:
                found.append(Attached(name, part.get_payload(decode=True) or b""))
            if len(found) >= MOST_ATTACHMENTS:
                break
        return Mail(_words(message.get("Subject", "")), _arrived(message), tuple(found))
    except (MessageError, ValueError, LookupError, RecursionError, AssertionError, TypeError):
        raise UnreadableMail("the mail is damaged and does not read: save it again") from None


def _name(part):
    """The name of an attachment, in any of the ways in which mail programs write it."""
    name = part.get_filename() or ""
    return _words(name).replace("\\", "/").rsplit("/", 1)[-1].strip().strip("\"'")


def _words(text):
    """A header's text: encoded words, which names should not hold but do, and bare bytes too."""
    try:
        text = "".join(_decoded(*piece) for piece in decode_header(text))
    except (MessageError, ValueError):
        text = str(text)
    raw = text.encode("utf-8", "surrogateescape")
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError:
        text = raw.decode("cp1252", "replace")
    return " ".join(text.split())


def _decoded(piece, charset):
    if isinstance(piece, str):
        return piece
    try:
        return piece.decode(charset or "ascii", "surrogateescape")
    except LookupError:  # an encoding that nobody knows
        return piece.decode("utf-8", "replace")


def _arrived(message):
    """When the last server took the mail in, else when it was sent, by the sender's own clock."""
    received = message.get_all("Received") or []
    for text in (*(str(r).rpartition(";")[2] for r in received[:1]), message.get("Date")):
        try:
            return parsedate_to_datetime(str(text)).timestamp()
        except (TypeError, ValueError, IndexError, OverflowError, OSError):
            continue
    return None
