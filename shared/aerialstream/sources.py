"""Every cited source once.

`status` says how far we have seen it with our own eyes:
"read"             the value or statement was read in print or on a public page
"second-hand"      read as quoted by somebody else
"first principles" derived here; anybody can do it again
"common practice"  used in the trade; no source found that proves it
"memory"           from memory; neither graded nor printed as fact until checked
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Source:
    """One source: id, title, edition, where in it, and status."""

    id: str
    title: str
    edition: str
    locator: str
    status: str

    def __str__(self):
        parts = [p for p in (self.title, self.edition, self.locator) if p]
        return f"{', '.join(parts)} [{self.status}]"


_ALL = (
    Source("definition_us_gallon", "US liquid gallon, 231 cubic inches", "", "definition", "read"),
    Source(
        "definition_standard_gravity",
        "Standard acceleration of gravity, 9.80665 m/s² = 32.174 ft/s²",
        "",
        "definition",
        "read",
    ),
    Source(
        "water_density_handbook",
        "Water at 62.4 lb/ft³ (62.37 at 60 °F by the IAPWS equations)",
        "",
        "the difference is 0.05 %",
        "first principles",
    ),
    Source(
        "instruction_sheet_2015_tips",
        "A nozzle maker's instruction sheet: flow of smooth-bore tips",
        "2015",
        "p. 5",
        "read",
    ),
    Source(
        "shapiro_why_always_done",
        "P. Shapiro, Why Does It Always Have to be Done That Way?, trade article",
        "",
        "myth 10: a 1 1/4-in tip at 175 psi",
        "read",
    ),
    Source(
        "shapiro_handlines_reaction",
        "P. Shapiro, Tricks of the Trade: Handlines, trade article",
        "",
        "p. 5: reaction of smooth-bore and fog nozzles",
        "read",
    ),
    Source(
        "first_principles_discharge",
        "Jet of water at the speed that its pressure gives: Q = c · area · √(2P/ρ)",
        "",
        "29.84 in gpm, inches and psi, at 62.37 lb/ft³",
        "first principles",
    ),
    Source(
        "first_principles_velocity",
        "Speed of a jet from its pressure: v = √(2P/ρ)",
        "",
        "",
        "first principles",
    ),
    Source(
        "first_principles_fixed_orifice",
        "A fixed opening: flow goes as the square root of the pressure",
        "",
        "",
        "first principles",
    ),
    Source(
        "first_principles_square_law",
        "A loss in rough turbulent flow goes with the square of the flow",
        "",
        "real hose sits near 1.85 to 1.9",
        "first principles",
    ),
    Source(
        "first_principles_momentum",
        "Momentum of the jet: reaction = ρ Q v",
        "",
        "",
        "first principles",
    ),
    Source(
        "chin_2017_reaction",
        "Chin, Sunderland, Jomaas, Firefighter Nozzle Reaction, Fire Technology 53",
        "2017",
        "pp. 1907-1917: the reaction equals the jet's momentum flow",
        "read",
    ),
    Source(
        "first_principles_tip_statics",
        "Resolving a force along, across and square to the ladder; moment = force × arm",
        "",
        "",
        "first principles",
    ),
    Source(
        "handbook_elevation_pressure",
        "Pressure of a foot of water: 0.434 psi (0.433 is printed too)",
        "",
        "62.4 lb/ft³ / 144 = 0.4333; the difference is 0.2 %",
        "read",
    ),
    Source(
        "study_cards_draft",
        "Public study cards for pump operators: net pressure from draft, 2.3 ft to a psi",
        "",
        "",
        "read",
    ),
    Source(
        "water_viscosity_60f",
        "Kinematic viscosity of water at 60 °F, 1.1218 mm²/s",
        "IAPWS, by CoolProp 8.0",
        "",
        "read",
    ),
    Source(
        "water_weight_handbook",
        "Weight of a US gallon of water: 8.34 lb (8.33 and 8.35 are printed too)",
        "",
        "8.337 at 60 °F by IAPWS",
        "read",
    ),
    Source(
        "rain_load_published",
        "Rain load, R = 5.2 (ds + dh): psf for each inch of water",
        "",
        "worked example: 2 + 3 in = 26 psf",
        "read",
    ),
    Source(
        "water_heat_iapws",
        "Heat that a gallon takes up from 60 °F water to steam at 212 °F",
        "IAPWS-95, by iapws 1.5.5",
        "9,346 and 9,330 Btu/gal are printed in the trade",
        "read",
    ),
    Source(
        "practice_half_the_gallonage",
        "Rule of thumb: reaction in pounds is about half the gallonage",
        "",
        "",
        "common practice",
    ),
    Source(
        "study_cards_rounded_tips",
        "Two sets of fire departments' study cards: flow of tips at 80 psi, rounded to 100 gpm",
        "",
        "a 2-in tip is rounded down by 6 %",
        "second-hand",
    ),
    Source(
        "practice_nozzle_pressures",
        "Customary nozzle pressures: 50 psi handline and 80 psi master-stream smooth bore, "
        "100 psi fog",
        "",
        "trade article on friction-loss rules of thumb, 2013",
        "read",
    ),
)

SOURCES = {source.id: source for source in _ALL}


def source(source_id):
    """The source of this id; KeyError names the id if there is none."""
    return SOURCES[source_id]
