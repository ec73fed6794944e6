"""Values that nobody should hand in as an answer or a member number."""

import decimal

HOSTILE = {
    "true": True,
    "list": [385],
    "dict": {"answer": "385 lbf"},
    "bytes": b"385 lbf",
    "ten-megabytes": "9" * 10_000_000,
    "nul": "385\x00 lbf\x00",
    "right-to-left": "\u202e385 fbl\u202c",
    "half-a-surrogate": "\ud800 385",
    "escape-codes": "\x1b[31m385\x1b[0m",
    "markup": "<script>alert(385)</script>",
    "huge-number": 10**400,
    "long-number": "1" * 199,
    "long-fraction": "1" * 90 + "/" + "3" * 90 + " lb",
    "infinite": float("inf"),
    "not-a-number": float("nan"),
    "decimal": decimal.Decimal("NaN"),
    "type": int,
    "function": len,
    "open-brackets": "(" * 200,
}


class _SaysNothing:
    magnitude = 1

    def __str__(self):
        raise RuntimeError("no")

    __repr__ = __str__


class _HugeText:
    magnitude = 1

    def __str__(self):
        return "9" * 10_000_000


class _NotAText:
    magnitude = 1

    def __str__(self):
        return 2.0


class _NoAttributes:
    def __getattribute__(self, name):
        raise RuntimeError(name)


class _PretendsToBeText:
    __class__ = str


class _PretendsToBeNumber:
    __class__ = float

    def __float__(self):
        raise RuntimeError("no")


class _LyingText(str):
    def __getitem__(self, key):
        return 2.0

    def __str__(self):
        return "2.0"

    def __len__(self):
        raise RuntimeError("no")

    def encode(self, *args):
        raise RuntimeError("no")


class _LyingNumber(float):
    def __format__(self, spec):
        raise RuntimeError("no")

    def __float__(self):
        raise RuntimeError("no")


class _AlwaysEqual:
    """Says yes to every comparison and is nothing less anything."""

    def __eq__(self, other):
        return True

    __hash__ = None
    __ne__ = __lt__ = __gt__ = lambda self, other: False
    __le__ = __ge__ = __eq__
    __sub__ = __rsub__ = __abs__ = __mul__ = __truediv__ = lambda self, *other: 0.0


class _HostileName(type):
    @property
    def __name__(cls):
        raise RuntimeError("no")


class _Nameless(metaclass=_HostileName):
    pass


MISBEHAVING = {
    kind.__name__ if kind is not _Nameless else "_Nameless": kind()
    for kind in (
        _SaysNothing,
        _HugeText,
        _NotAText,
        _NoAttributes,
        _PretendsToBeText,
        _PretendsToBeNumber,
        _LyingText,
        _LyingNumber,
        _AlwaysEqual,
        _Nameless,
    )
}
