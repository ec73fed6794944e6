"""What the water of a drill weighs, beside what the prop's owner had its floor and roof tested for.

All of the water is counted as if it stayed in. Only what was entered in the building's file
(`[[tested_load]]`) is a limit; the kit has none of its own.
"""

from aerialstream import quantity, show, water_weight
from aerialstream.set_up import GO, NO_GO
from aerialstream.worked import both
from gradekit.drills.plan import BLANK, OWNER


def load_row(plan):
    """(text, answer worked out or "", why) of the list's line about floor and roof.

    Beyond an entered weight it is a no go. It is answered go only where floor and roof are both
    entered as a weight; a load for each square foot depends on how the water spreads, which
    somebody has to look at.
    """
    weight = water_weight(plan.water["flow"], time=plan.evolution.minutes).value
    building = plan.made.goal.building
    loads = building.tested_loads if building is not None else ()
    room = plan.made.goal.room
    storey = room.storey if room is not None else None
    found = [_part(one, weight, room) for one in loads if one.on == "roof" or one.storey == storey]
    parts = {one.on for one, _, _ in found}
    missing = [name for name in ("floor", "roof") if name not in parts]
    beyond = any(said == NO_GO for _, said, _ in found)
    whole = not missing and all(said == GO for _, said, _ in found)
    blank = f": {BLANK} ({OWNER})" if missing else ""
    bears = " and ".join(missing or ["floor", "roof"]).capitalize()
    bears += " bears" if len(missing) == 1 else " bear"

    def text(pen):
        return f"{bears} {show(weight, pen.system, 'weight')} of water, or it runs out{blank}"

    def why(pen):
        return "; ".join(words(pen) for _, _, words in found)

    answer = NO_GO if beyond else GO if whole else ""
    return both(text), answer, both(why) if found else ""


def _part(entered, weight, room):
    """(the entry, NO_GO, GO or "", words) of one floor or the roof."""
    if entered.weight is not None:
        beyond = weight > entered.weight * (1 + 1e-9)
        said = "BEYOND the entered limit" if beyond else "not beyond the entered limit"
        return entered, NO_GO if beyond else GO, lambda pen: _said(pen, entered, f"{said},")
    if entered.on == "roof" or room is None:
        said = "how water spreads there is judged on the spot; entered for each square foot,"
        return entered, "", lambda pen: _said(pen, entered, said)
    area = (room.width * room.depth).to("foot**2")
    spread = quantity((weight / area).to("psf").magnitude, "psf")
    beyond = spread > entered.load * (1 + 1e-9)
    said = "BEYOND" if beyond else "not beyond"
    return entered, NO_GO if beyond else "", lambda pen: _said(
        pen, entered,
        f"{show(spread, pen.system, 'load')} if it spread all over the room (it gathers at low spots), "
        f"{said} the entered limit,",
    )  # fmt: skip


def _said(pen, entered, words):
    name = "roof" if entered.on == "roof" else "floor"
    return f"{name}: {words} {entered.said(pen.system)}"
