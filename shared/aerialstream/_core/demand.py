"""Needed-flow estimates, in plain numbers: feet, gpm. Each has a basis that it holds for."""

from math import sqrt


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


def rounded_iso_gpm(flow_gpm):
    """gpm: to the nearest 250 below 2,500, to the nearest 500 from there on; 500 to 12,000."""
    step = 250 if flow_gpm < 2500 else 500
    return min(max(step * int(flow_gpm / step + 0.5), 500), 12_000)


def rural_supply_gal(volume_ft3, hazard, construction, exposed):
    """Gallons: V / OHC × CC, × 1.5 if exposed; at least 2,000, or 3,000 if exposed."""
    gallons = volume_ft3 / hazard * construction * (1.5 if exposed else 1)
    return max(gallons, 3000 if exposed else 2000)
