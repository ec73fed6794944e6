"""Ground under an aerial: pads, grades, the shift of a weight on a slope. Plain numbers."""

from math import atan, atan2, degrees, hypot, radians, sqrt, tan

from aerialstream.constants import SQUARE_INCHES_PER_SQUARE_FOOT


def pad_pressure_psi(load_lbf, area_sq_in):
    """Pressure under a pad that carries a load evenly."""
    return load_lbf / area_sq_in


def psf(pressure_psi):
    """A pressure on each square foot from that on each square inch."""
    return pressure_psi * SQUARE_INCHES_PER_SQUARE_FOOT


def pad_area_sq_ft(load_lbf, bearing_psf):
    """Area that brings a load down to a bearing pressure."""
    return load_lbf / bearing_psf


def pad_side_in(load_lbf, bearing_psf):
    """Side of the square of that area."""
    return 12 * sqrt(load_lbf / bearing_psf)


def grade_percent(angle_deg):
    """Rise over run, in per cent."""
    return 100 * tan(radians(angle_deg))


def angle_of_grade_deg(grade_percent):
    """The angle of a grade."""
    return degrees(atan(grade_percent / 100))


def steepest_deg(along_deg, across_deg):
    """Angle of the steepest line of a plane whose slope is known along and across."""
    return degrees(atan(hypot(tan(radians(along_deg)), tan(radians(across_deg)))))


def downhill_deg(along_deg, across_deg):
    """Bearing of the way down, clockwise from the cab; None on level ground.

    along is + where the cab end is the higher one, across + where the left side is.
    """
    ahead, left = tan(radians(along_deg)), tan(radians(across_deg))
    if ahead == 0 and left == 0:
        return None
    bearing = degrees(atan2(left, -ahead))
    # Just below nothing a remainder would come out as the full circle.
    return bearing % 360 % 360


def centre_shift_ft(height_ft, slope_deg):
    """How far downhill a weight comes to act when its carrier stands on a slope."""
    return height_ft * tan(radians(slope_deg))
