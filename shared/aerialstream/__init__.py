"""Every number of the kit: discharge, reaction, loads at the tip, and the pictures drawn from them.

The names below are the public edge. They take quantities or text with a unit
("1 3/4 in", "80 psi") and give results that carry value, steps, notes and sources.
Nothing is imported until a name is asked for, so that `import aerialstream` stays
quick and also runs where only Python's own library is present.
"""

from importlib import import_module

__version__ = "0.1.0"

_HOME = {
    "aim": "aerials",
    "aim_through_opening": "aerials",
    "angle_of_grade": "ground",
    "automatic_discharge": "nozzles",
    "automatic_pressure": "nozzles",
    "best_aim": "application",
    "best_elevation": "stream",
    "buildings_of": "buildings",
    "centre_shift": "ground",
    "collapse_zone": "clearances",
    "collapse_zone_check": "clearances",
    "compare_set_ups": "set_up_comparison",
    "darcy_loss": "hose",
    "design_live_loads": "water",
    "elevation_pressure": "rig",
    "fire_academy_flow": "demand",
    "fire_code_flow": "demand",
    "floor_load": "water",
    "fog_discharge": "nozzles",
    "fog_pressure": "nozzles",
    "fog_reaction": "nozzles",
    "footprint": "aerials",
    "friction_loss": "hose",
    "go_no_go": "set_up",
    "grade": "ground",
    "ground_flags": "ground",
    "ground_questions": "ground",
    "half_the_gallonage": "nozzles",
    "hazen_williams_loss": "hose",
    "heat_absorbed": "water",
    "hose_coefficient": "hose",
    "hose_velocity": "hose",
    "hydrant_flow_at": "supply",
    "hydrant_rating": "supply",
    "hydrant_residual_at": "supply",
    "inlet_loss": "rig",
    "iowa_flow": "demand",
    "iso_dwelling_flow": "demand",
    "iso_flow": "demand",
    "lays_carried": "chain",
    "length_for_loss": "hose",
    "lift_limit": "supply",
    "line_clearance": "clearances",
    "load_building": "buildings",
    "load_department": "department",
    "load_of_depth": "water",
    "load_scene": "site",
    "momentum_reaction": "nozzles",
    "net_pump_pressure": "pumps",
    "net_pump_pressure_from_draft": "pumps",
    "nozzle_flow": "nozzles",
    "nozzle_height": "rig",
    "operating_pressure_check": "department",
    "order_faults": "set_up",
    "outlet_flow": "supply",
    "overturning": "tipping",
    "pad_pressure": "ground",
    "pad_size": "ground",
    "parallel_lines": "hose",
    "pencil_throw": "stream",
    "percentage_method": "supply",
    "pressure_of_nozzle": "nozzles",
    "presumptive_bearing": "ground",
    "procedure_faults": "set_up",
    "pump_capacity": "pumps",
    "quantity": "units",
    "rated_points": "pumps",
    "reaction_at_tip": "reaction",
    "registry": "units",
    "relay_distance": "supply",
    "relay_pumpers": "supply",
    "rule_error": "nozzles",
    "rural_supply": "demand",
    "sag": "stream",
    "scaled_loss": "rig",
    "scene_of": "site",
    "scrub_half_width": "aerials",
    "set_up_loads": "loads",
    "set_up_order": "set_up",
    "show": "units",
    "slope_across_and_along": "ground",
    "smooth_bore_discharge": "nozzles",
    "smooth_bore_pressure": "nozzles",
    "smooth_bore_reaction": "nozzles",
    "spot_map": "spots",
    "stack_of_tips": "nozzles",
    "steam_volume": "water",
    "stream_direction": "aerials",
    "stream_path": "stream",
    "stream_velocity": "nozzles",
    "sudden_shutdown": "loads",
    "sway_ratio": "loads",
    "tank_minutes": "supply",
    "throw": "stream",
    "time_to_depth": "water",
    "time_to_load": "water",
    "tip_position": "aerials",
    "tip_standoffs": "spots",
    "tip_to_reach": "aerials",
    "usable_reach": "stream",
    "wall_gauge_discharge": "nozzles",
    "water_chain": "chain",
    "water_horsepower": "pumps",
    "water_use": "application",
    "water_weight": "water",
    "waterway_loss": "rig",
}

__all__ = sorted(_HOME)


def __getattr__(name):
    if name not in _HOME:
        raise AttributeError(f"module 'aerialstream' has no attribute {name!r}")
    return getattr(import_module(f"aerialstream.{_HOME[name]}"), name)


def __dir__():
    return sorted([*globals(), *_HOME])
