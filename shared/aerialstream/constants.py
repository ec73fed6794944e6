"""Every constant once: its value, the unit it was printed for, and where it stands.

Values that follow from others are derived here, never typed twice.
"""

from typing import NamedTuple


class Constant(NamedTuple):
    """A value, its printed unit and the id of its source in `sources.py`."""

    value: float
    unit: str
    source: str


GRAVITY = Constant(32.174, "ft/s²", "definition_standard_gravity")
CUBIC_INCHES_PER_GALLON = Constant(231.0, "in³/gal", "definition_us_gallon")
WATER_DENSITY = Constant(62.4, "lb/ft³", "water_density_handbook")
SMOOTH_BORE_FLOW = Constant(29.7, "gpm/(in² psi^½)", "instruction_sheet_2015_tips")
SMOOTH_BORE_FLOW_FULL = Constant(29.84, "gpm/(in² psi^½)", "first_principles_discharge")
SMOOTH_BORE_REACTION = Constant(1.57, "lbf/(in² psi)", "shapiro_handlines_reaction")
FOG_REACTION = Constant(0.0505, "lbf/(gpm psi^½)", "shapiro_handlines_reaction")
ELEVATION_PRESSURE = Constant(0.434, "psi/ft", "handbook_elevation_pressure")
FEET_OF_WATER_PER_PSI_ROUNDED = Constant(2.3, "ft/psi", "study_cards_draft")
WATER_VISCOSITY = Constant(1.2075e-5, "ft²/s", "water_viscosity_60f")
POUNDS_PER_GALLON = Constant(8.34, "lb/gal", "water_weight_handbook")
PSF_PER_INCH_OF_WATER = Constant(5.2, "psf/in", "rain_load_published")
HEAT_TO_STEAM = Constant(9356.0, "Btu/gal", "water_heat_iapws")

CUBIC_FEET_PER_GALLON = CUBIC_INCHES_PER_GALLON.value / 12**3
SQUARE_INCHES_PER_SQUARE_FOOT = 144.0
SECONDS_PER_MINUTE = 60.0
