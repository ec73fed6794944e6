"""What water does to a building, in plain numbers: gpm, minutes, square feet, pounds, psf."""

from aerialstream.constants import (
    CUBIC_FEET_PER_GALLON,
    HEAT_TO_STEAM,
    MEGAWATTS_PER_BTU_MINUTE,
    POUNDS_PER_GALLON,
    PSF_PER_INCH_OF_WATER,
    STEAM_FROM_A_GALLON,
)


def weight_lb(flow_gpm, minutes):
    """Pounds of water: 8.34 to the gallon."""
    return POUNDS_PER_GALLON.value * flow_gpm * minutes


def floor_load_psf(flow_gpm, minutes, area_ft2, share_running_off=0.0):
    """psf if what does not run off spreads evenly over an area."""
    return weight_lb(flow_gpm, minutes) * (1 - share_running_off) / area_ft2


def load_psf(depth_in):
    """psf of a depth of water: 5.2 an inch."""
    return PSF_PER_INCH_OF_WATER.value * depth_in


def depth_in(load_psf):
    """Inches of water that weigh as much: 5.2 psf an inch."""
    return load_psf / PSF_PER_INCH_OF_WATER.value


def minutes_to_load(load_psf, flow_gpm, area_ft2, share_running_off=0.0):
    """Minutes until a load is reached."""
    return load_psf * area_ft2 / (POUNDS_PER_GALLON.value * flow_gpm * (1 - share_running_off))


def minutes_to_depth(depth_in, flow_gpm, area_ft2, share_running_off=0.0):
    """Minutes until water stands so deep: its volume by the flow that stays."""
    staying_ft3 = flow_gpm * CUBIC_FEET_PER_GALLON * (1 - share_running_off)
    return depth_in / 12 * area_ft2 / staying_ft3


def volume_ft3(flow_gpm, minutes):
    """Cubic feet of water."""
    return flow_gpm * minutes * CUBIC_FEET_PER_GALLON


def heat_btu_min(flow_gpm, efficiency):
    """Btu a minute that a flow takes up if a share of it turns to steam."""
    return HEAT_TO_STEAM.value * flow_gpm * efficiency


def heat_mw(flow_gpm, efficiency):
    """Megawatts of the same."""
    return heat_btu_min(flow_gpm, efficiency) * MEGAWATTS_PER_BTU_MINUTE


def steam_ft3(volume_gal):
    """Cubic feet of steam at 212 °F from gallons of water at 60 °F."""
    return STEAM_FROM_A_GALLON.value * volume_gal
