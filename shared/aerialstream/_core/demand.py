"""Needed-flow estimates, in plain numbers: feet, gpm. Each has a basis that it holds for."""

from math import sqrt

ISO_LEAST, ISO_MOST = 500, 12_000
# (feet between dwellings up to which it holds, gpm); the last has no end.
ISO_DWELLINGS_OLDER = ((10, 1500), (30, 1000), (100, 750), (float("inf"), 500))


def fire_academy_gpm(length_ft, width_ft, floors, share_involved, exposures, on_full=True):
    """gpm: L W / 3 for each floor times the share involved, + 25 % of it for each exposure.

    on_full   the 25 % is taken of the figure for full involvement; False: of the involved one
    """
    full = length_ft * width_ft / 3 * floors
    involved = full * share_involved
    return involved + 0.25 * exposures * (full if on_full else involved)


def iowa_gpm(length_ft, width_ft, height_ft):
    """gpm: cubic feet / 100 of the largest open room."""
    return length_ft * width_ft * height_ft / 100


def iso_construction_gpm(construction_factor, effective_area_ft2):
    """gpm: C = 18 F √A, not rounded."""
    return 18 * construction_factor * sqrt(effective_area_ft2)


def iso_needed_gpm(construction_gpm, occupancy_factor, exposure_factor):
    """gpm: C O (1 + (X + P)), not rounded."""
    return construction_gpm * occupancy_factor * (1 + exposure_factor)


def _to_nearest(step, flow_gpm):
    return step * int(flow_gpm / step + 0.5)


def rounded_iso_gpm(flow_gpm):
    """gpm: to the nearest 250 up to 2,500, to the nearest 500 beyond; 500 to 12,000."""
    rounded = _to_nearest(250 if flow_gpm <= 2500 else 500, flow_gpm)
    return min(max(rounded, ISO_LEAST), ISO_MOST)


def rounded_construction_gpm(flow_gpm):
    """gpm: C to the nearest 250."""
    return _to_nearest(250, flow_gpm)


def iso_dwelling_gpm(distance_ft):
    """gpm for one- and two-family dwellings by the distance between them, older schedule."""
    return next(gpm for upto, gpm in ISO_DWELLINGS_OLDER if distance_ft <= upto)


def rural_supply_gal(volume_ft3, hazard, construction, exposed):
    """Gallons: V / OHC × CC, × 1.5 if exposed; at least 2,000, or 3,000 if exposed."""
    gallons = volume_ft3 / hazard * construction * (1.5 if exposed else 1)
    return max(gallons, 3000 if exposed else 2000)
