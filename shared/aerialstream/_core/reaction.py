"""The reaction resolved at the tip, in plain numbers: lbf, ft, degrees.

Axes at the tip: a outward along the ladder, l to the left looking outward, n square to the
ladder in its vertical plane, upper side. Right-handed: a × l = n. The nozzle turns first
(rotation, + left, about n), then pitches (+ up from the ladder's line).
"""

from math import cos, radians, sin


def jet_direction(rotation_deg, pitch_deg):
    """Unit vector of the jet in (a, l, n)."""
    rotation, pitch = radians(rotation_deg), radians(pitch_deg)
    return cos(pitch) * cos(rotation), cos(pitch) * sin(rotation), sin(pitch)


def tip_forces_lbf(reaction_lbf, rotation_deg, pitch_deg):
    """(axial, side, in-plane) in lbf: the reaction against the jet."""
    return tuple(-reaction_lbf * part for part in jet_direction(rotation_deg, pitch_deg))


def base_moments_lbf_ft(forces_lbf, extension_ft, offset_left_ft=0.0, offset_up_ft=0.0):
    """(torsion, in-plane, side) moments at the ladder's base in lbf·ft: r × F.

    forces_lbf is (axial, side, in-plane). In-plane + lowers the tip.
    """
    axial, side, in_plane = forces_lbf
    torsion = offset_left_ft * in_plane - offset_up_ft * side
    in_plane_moment = offset_up_ft * axial - extension_ft * in_plane
    side_moment = extension_ft * side - offset_left_ft * axial
    return torsion, in_plane_moment, side_moment
