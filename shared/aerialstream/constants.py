"""Every constant once: its value, the unit it was printed for, and where it stands.

Values that follow from others are derived here, never typed twice.
"""

from typing import NamedTuple


class Constant(NamedTuple):
    """A value, its printed unit and the id of its source in `sources.py`."""

    value: float
    unit: str
    source: str


class HoseRow(NamedTuple):
    """A printed coefficient: psi lost per 100 ft at 100 gpm in hose of one size."""

    diameter_in: float
    coefficient: float
    source: str


class ClearanceStep(NamedTuple):
    """A step of a table of distances from power lines: up to and including so many kV."""

    up_to_kv: float
    feet: float
    source: str


class SoilRow(NamedTuple):
    """A class of soil with the pressure a building code lets one presume, and what is in it."""

    name: str
    psf: float
    what: str
    source: str


class PumpPoint(NamedTuple):
    """A point of a pump's rating: net pressure, share of the rated flow, source."""

    net_psi: float
    share: float
    source: str


class Allowance(NamedTuple):
    """A printed allowance in psi for a device, and what it is said to be for."""

    psi: float
    what: str
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
STEAM_FROM_A_GALLON = Constant(223.5, "ft³/gal", "water_heat_iapws")

# A solid stream through the air (_core/stream.py).
AIR_DENSITY = Constant(1.204, "kg/m³", "first_principles_air")
STREAM_DRAG = Constant(0.50, "of a stream all broken up", "stream_drag_fit")
STREAM_RAMP = Constant(500.0, "bores until it is two thirds broken", "stream_drag_fit")
STREAM_QUALITY = Constant(1.1, "times the drag of a good nozzle", "stream_drag_fit")
STREAM_QUALITY_BAND = (0.87, 1.4)  # an assumption; four measured nozzles had 1.0, 1.0, 1.2, 1.75
STREAM_ACROSS = Constant(0.64, "of a solid column across the wind, 2/π", "first_principles_column")
DROP_DRAG = Constant(0.5, "of a round drop", "first_principles_drop")
PENCIL_THROW = Constant(0.17, "of the pencil formula for throw", "stream_drag_fit")

CUBIC_FEET_PER_GALLON = CUBIC_INCHES_PER_GALLON.value / 12**3
SQUARE_INCHES_PER_SQUARE_FOOT = 144.0
SECONDS_PER_MINUTE = 60.0
METERS_PER_FOOT = 0.3048
LITERS_PER_GALLON = CUBIC_INCHES_PER_GALLON.value * 0.0254**3 * 1000
KILOPASCALS_PER_PSI = 0.45359237 * 9.80665 / 0.0254**2 / 1000
MEGAWATTS_PER_BTU_MINUTE = 1055.056e-6 / SECONDS_PER_MINUTE

FIELD_ELEVATION_PRESSURE = Constant(0.5, "psi/ft", "practice_elevation_half_psi")
HAZEN_WILLIAMS = Constant(4.52, "psi/ft; gpm, in", "sprinkler_hazen_williams")
FAST_IN_HOSE = Constant(35.0, "ft/s", "practice_hose_velocity")
WATER_HORSEPOWER = Constant(1714.0, "gpm psi/hp", "first_principles_horsepower")
WIND_PRESSURE = Constant(0.00256, "psf/mph²", "wind_pressure_quoted")
LATTICE_DRAG = Constant(1.6, "", "lattice_drag_quoted")

# Rising size; where two sources print different values both stand here, none averaged.
HOSE_COEFFICIENTS = (
    HoseRow(0.75, 1100, "hose_training_page"),
    HoseRow(1, 150, "city_training_records"),
    HoseRow(1.25, 80, "hose_training_page"),
    HoseRow(1.5, 24, "city_training_records"),
    HoseRow(1.75, 15.5, "city_hydraulics_text"),
    HoseRow(1.75, 10, "city_training_records"),
    HoseRow(2, 8, "hose_training_page"),
    HoseRow(2.5, 2, "city_training_records"),
    HoseRow(3, 0.8, "city_training_records"),
    HoseRow(3, 0.677, "hose_training_page"),
    HoseRow(3.5, 0.34, "city_hydraulics_text"),
    HoseRow(4, 0.2, "city_training_records"),
    HoseRow(4.5, 0.1, "city_training_records"),
    HoseRow(5, 0.08, "city_training_records"),
    HoseRow(6, 0.05, "hose_training_page"),  # 2.2 times what smooth hose of that bore loses
)
PUMP_RATED_POINTS = (  # falling share
    PumpPoint(150, 1.0, "pump_test_page"),
    PumpPoint(200, 0.7, "pump_test_page"),
    PumpPoint(250, 0.5, "pump_test_page"),
)
PUMP_OVERLOAD = PumpPoint(165, 1.0, "pump_test_page")  # for 5 minutes
MASTER_STREAM_ALLOWANCES = (
    Allowance(25, "any master stream device", "city_hydraulics_text"),
    Allowance(15, "any monitor or aerial stream (one department)", "practice_allowances"),
    Allowance(25, "an aerial device (another department)", "practice_allowances"),
    Allowance(75, "an aerial ladder, height included (a cheat sheet)", "practice_allowances"),
)
LINE_CLEARANCE_STEPS = (  # rising voltage; above the last the owner of the line decides
    ClearanceStep(50, 10, "osha_1408_table_a"),
    ClearanceStep(200, 15, "osha_1408_table_a"),
    ClearanceStep(350, 20, "osha_1408_table_a"),
    ClearanceStep(500, 25, "osha_1408_table_a"),
    ClearanceStep(750, 35, "osha_1408_table_a"),
    ClearanceStep(1000, 45, "osha_1408_table_a"),
)
LINE_CLEARANCE_LEAST = Constant(10.0, "ft", "wac_296_305_lines")
LINE_CLEARANCE_FROM = Constant(50.0, "kV", "wac_296_305_lines")
LINE_CLEARANCE_PER_KV = Constant(0.4, "in/kV", "wac_296_305_lines")
LOW_VOLTAGE = Constant(0.6, "kV", "wac_296_305_lines")
LINE_CLEARANCE_UNKNOWN = Constant(20.0, "ft", "osha_1408_options")
LINE_CLEARANCE_UNKNOWN_HIGH = Constant(50.0, "ft", "osha_1409_high_lines")  # above 350 kV
LINE_CLEARANCE_HANDBOOK = Constant(50.0, "ft", "handbook_line_practice")  # above 50 kV
LOW_ELEVATION = Constant(30.0, "deg", "assumed_low_and_long")
LONG_SHARE = Constant(0.5, "of the longest extension", "assumed_low_and_long")
COLLAPSE_ZONE_FACTORS = (1.0, 1.5, 2.0)  # dunn_collapse_zone: by size-up
SOILS = (
    SoilRow("bedrock", 12_000, "crystalline bedrock", "building_code_bearing"),
    SoilRow("layered rock", 4_000, "sedimentary and foliated rock", "building_code_bearing"),
    SoilRow("gravel", 3_000, "gravel and sandy gravel", "building_code_bearing"),
    SoilRow("sand", 2_000, "sand and gravel with silt or clay", "building_code_bearing"),
    SoilRow("clay", 1_500, "clay, silt and sandy silt, not organic", "building_code_bearing"),
)
SOILS_WITHOUT_BEARING = ("mud", "organic silt", "organic clay", "peat", "unprepared fill")
