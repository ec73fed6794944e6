"""Words about places on a plan that texts and pictures share. No imports that cost time."""

from math import radians, tan

# Codes of what a place is good for, the best first. In texts they read as in `IN_WORDS`.
VERDICTS = ("feasible", "feasible with a cost", "not")
IN_WORDS = {
    "feasible": "nothing against it on the plan",
    "feasible with a cost": "something it costs",
    "not": "ruled out on the plan",
}


def in_words(verdict):
    """A verdict as it reads in a sentence."""
    return IN_WORDS.get(verdict, verdict)


def slope_words(slope_deg):
    """A slope in both of the ways in which slopes are entered: "1.1 deg (2 % grade)"."""
    grade = f"{100 * tan(radians(slope_deg)):.1f}".removesuffix(".0")
    return f"{slope_deg:.1f} deg ({grade} % grade)"


def tenth(feet, system="US"):
    """A length to the tenth of a foot or metre, as a captain paces it: for words, not for sums."""
    number, unit = (feet * 0.3048, "m") if system == "metric" else (feet, "ft")
    text = f"{number:,.1f}".removesuffix(".0")
    return f"{'0' if text == '-0' else text} {unit}"


def apart(one_ft, other_ft, system="US"):
    """Two unlike lengths to the tenth, or to more figures where they would read alike."""
    for decimals in (1, 2, 3):
        per, unit = (0.3048, "m") if system == "metric" else (1, "ft")
        texts = [f"{feet * per:,.{decimals}f}" for feet in (one_ft, other_ft)]
        if texts[0] != texts[1]:
            break
    if decimals == 1:
        return tenth(one_ft, system), tenth(other_ft, system)
    return tuple(f"{text} {unit}" for text in texts)


def where(x_ft, y_ft, system="US"):
    """A point of the plan in words: "21.2 m left, 3 m up"."""
    across = "left" if x_ft < 0 else "right"
    along = "down" if y_ft < 0 else "up"
    return f"{tenth(abs(x_ft), system)} {across}, {tenth(abs(y_ft), system)} {along}"


__all__ = ["IN_WORDS", "VERDICTS", "apart", "in_words", "slope_words", "tenth", "where"]
