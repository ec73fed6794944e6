"""Figures of a device that can be, but are not usual: asked about, never refused.

The bounds are our own, wide, and have no source. They catch a slip of the unit or the sign.
"""

from aerialstream.units import quantity, show

# Dotted key -> (unit, least and most that is usual, how it is printed).
USUAL = {
    "turntable_height": ("foot", 4, 13, None),
    "extension.least": ("foot", 18, 60, None),
    "extension.most": ("foot", 45, 150, None),
    "elevation.least": ("degree", -20, 10, None),
    "elevation.most": ("degree", 55, 88, None),
    "waterway.loss": ("psi", 10, 120, None),
    "waterway.at_flow": ("gpm", 300, 3000, None),
    "inlet.loss": ("psi", 0, 50, None),
    "chassis.length": ("foot", 25, 65, None),
    "chassis.width": ("foot", 6.5, 9.5, None),
    "stabilisers.spread": ("foot", 9, 26, None),
    "stabilisers.pad": ("foot", 0.5, 5, "pad"),
    "masses.vehicle": ("lbf", 15_000, 100_000, "weight"),
    "masses.vehicle_height": ("foot", 2, 8, None),
    "masses.ladder": ("lbf", 1_000, 35_000, "weight"),
    "masses.ladder_centre": ("percent", 25, 70, None),
    "masses.waterway_bore": ("inch", 2, 8, "bore"),
    "masses.side_area": ("foot**2", 0.2, 6, "pad area"),
    "masses.tip_load": ("lbf", 50, 1_500, "weight"),
    "platform.ahead": ("foot", -2, 10, None),
    "platform.up": ("foot", -5, 8, None),
    "heel_offset": ("foot", -12, 0.5, None),
}


def unusual_figures(apparatus, system="US"):
    """Questions on figures of a device that are not usual, in a unit system; empty where none is.

    Takes
      apparatus   an Apparatus
      system      "US" or "metric", for the words
    Gives
      tuple of str
    """
    asked = []
    for key, (unit, least, most, kind) in USUAL.items():
        value = _entry(apparatus, key)
        if value is None or least <= value.to(unit).magnitude <= most:
            continue
        ends = (show(quantity(end, unit), system, kind) for end in (least, most))
        asked.append(
            f"{key} {show(value, system, kind)} (usual: {' to '.join(ends)}){_WHY.get(key, '')}"
        )
    asked += _signs(apparatus, system)
    return tuple(f"unusual: {apparatus.name}: {text}, is that right?" for text in asked)


_WHY = {
    "heel_offset": "; it is the heel pin from the turntable's centre, minus where it lies behind, "
    "away from the ladder's tip",
}


def _entry(apparatus, key):
    value = apparatus
    for part in key.split("."):
        value = getattr(value, part, None)
        if value is None:
            return None
    return value


def _feet(value):
    return value.to("foot").magnitude


def _signs(apparatus, system):
    """Places along the chassis that lie off it or on one side only, as a wrong sign puts them."""
    chassis, pads, masses = apparatus.chassis, apparatus.stabilisers, apparatus.masses
    if pads is not None:
        if _feet(pads.behind) > 0 or _feet(pads.ahead) < 0:
            where = "ahead of" if _feet(pads.behind) > 0 else "behind"
            yield (
                f"stabilisers.ahead {show(pads.ahead, system)} and behind "
                f"{show(pads.behind, system)} put every pad {where} the turntable's centre (both "
                "are + toward the cab)"
            )
    if chassis is None:
        return
    front = _feet(chassis.turntable_from_front)
    rear = front - _feet(chassis.length)
    placed = []
    if pads is not None:
        placed += [("stabilisers.ahead", pads.ahead), ("stabilisers.behind", pads.behind)]
    if masses is not None:
        placed.append(("masses.vehicle_ahead", masses.vehicle_ahead))
    for key, value in placed:
        if not rear <= _feet(value) <= front:
            yield f"{key} {show(value, system)} lies off the chassis (+ toward the cab)"
    middle = (front + rear) / 2
    if masses is not None and abs(_feet(masses.vehicle_ahead) - middle) > (front - rear) / 4:
        yield (
            f"masses.vehicle_ahead {show(masses.vehicle_ahead, system)} puts the vehicle's centre "
            f"far from the middle of the chassis, {show(quantity(middle, 'foot'), system)} (+ toward "
            "the cab)"
        )
