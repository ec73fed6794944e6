"""One family of errors. Each message says what was read and what to write instead."""


class AerialStreamError(ValueError):
    """Anything the kit refuses; catch this one to catch them all."""


class UnreadableText(AerialStreamError):
    """A text that should be a number and a unit is not.

    `code` says which way it failed: "blank", "unreadable", "decimal comma", "no unit",
    "unknown unit" or "wrong kind". `number` and `unit_text` hold what could be read.
    """

    def __init__(self, code, sentence, number=None, unit_text=""):
        super().__init__(sentence)
        self.code = code
        self.number = number
        self.unit_text = unit_text


class UnitError(AerialStreamError):
    """An input without a unit, or with a unit of the wrong kind."""


class ImpossibleValue(AerialStreamError):
    """An input that cannot exist: negative, zero, infinite or not a number where none can be."""


class DepartmentDataError(AerialStreamError):
    """A department's files have faults; the message lists every one of them."""

    def __init__(self, faults):
        self.faults = tuple(faults)
        count = len(self.faults)
        head = "1 fault" if count == 1 else f"{count} faults"
        super().__init__(
            f"{head} in the department's files:\n" + "\n".join(f"  {f}" for f in self.faults)
        )
