"""Distances from power lines and from walls that may fall. Plain numbers.

Voltages in kV, up to the end of the table: above it the owner of the line sets the distance.
"""

from aerialstream.constants import (
    LINE_CLEARANCE_FROM,
    LINE_CLEARANCE_LEAST,
    LINE_CLEARANCE_PER_KV,
    LINE_CLEARANCE_STEPS,
    LINE_CLEARANCE_UNKNOWN_HIGH,
)


def crane_rule_ft(voltage_kv):
    """Table A of the crane rule; each step holds up to and including its voltage."""
    for step in LINE_CLEARANCE_STEPS:
        if voltage_kv <= step.up_to_kv:
            return step.feet
    raise ValueError(f"the table ends at {LINE_CLEARANCE_STEPS[-1].up_to_kv:g} kV")


def _firefighter_rule_ft(voltage_kv, counted_kv):
    more = 0 if voltage_kv <= LINE_CLEARANCE_FROM.value else counted_kv
    return LINE_CLEARANCE_LEAST.value + LINE_CLEARANCE_PER_KV.value * more / 12


def firefighter_rule_ft(voltage_kv):
    """The firefighters' rule, its addition read as for each kV above 50."""
    return _firefighter_rule_ft(voltage_kv, voltage_kv - LINE_CLEARANCE_FROM.value)


def firefighter_rule_full_ft(voltage_kv):
    """The firefighters' rule, its addition read as for each kV of the whole voltage."""
    return _firefighter_rule_ft(voltage_kv, voltage_kv)


def line_clearance_ft(voltage_kv):
    """The largest of the crane rule and both readings of the firefighters' rule."""
    return max(
        crane_rule_ft(voltage_kv),
        firefighter_rule_ft(voltage_kv),
        firefighter_rule_full_ft(voltage_kv),
    )


def kept_from_line_ft(voltage_kv):
    """What a plan keeps from a line: the largest rule; voltage_kv None, the farthest of any.

    Not a number to work by: of a line that nobody knows, only its owner can say how far.
    """
    if voltage_kv is None:
        return LINE_CLEARANCE_UNKNOWN_HIGH.value
    return line_clearance_ft(voltage_kv)


def collapse_zone_ft(height_to_top_ft, factor):
    """Depth of the collapse zone in front of a wall."""
    return factor * height_to_top_ft
