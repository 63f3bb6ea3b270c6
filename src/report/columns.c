#include "report/columns.h"

const swl_column swl_columns[SWL_COLUMNS] = {
    {"engine speed", "engine", "", 6, SWL_SHOW_ENGINE_SPEED, SWL_OF_POINT(engine_rpm)},
    {"blower speed", "blower", "", 6, SWL_SHOW_BLOWER_SPEED, SWL_OF_POINT(blower_rpm)},
    {"corrected speed", "", "", 0, SWL_SHOW_BLOWER_SPEED, SWL_OF_POINT(corrected_rpm)},
    {"pressure ratio", "press.", "ratio", 7, SWL_SHOW_RATIO, SWL_OF_POINT(p_ratio)},
    {"inlet pressure", "", "", 0, SWL_SHOW_PRESSURE, SWL_OF_POINT(p1_pa)},
    {"discharge pressure", "", "", 0, SWL_SHOW_PRESSURE, SWL_OF_POINT(p2_pa)},
    {"manifold pressure", "", "", 0, SWL_SHOW_PRESSURE, SWL_OF_POINT(p3_pa)},
    {"exhaust pressure", "", "", 0, SWL_SHOW_PRESSURE, SWL_OF_POINT(p_e_pa)},
    {"boost", "boost", "", 7, SWL_SHOW_BOOST, SWL_OF_POINT(boost_pa)},
    {"inlet volume flow", "inlet", "", 7, SWL_SHOW_VOLUME_FLOW, SWL_OF_POINT(vdot1_m3_s)},
    {"air mass flow", "air", "", 7, SWL_SHOW_MASS_FLOW, SWL_OF_POINT(mdot_kg_s)},
    {"blower volumetric efficiency", "vol.", "eff. %", 7, SWL_SHOW_FRACTION, SWL_OF_POINT(ev_frac)},
    {"blower adiabatic efficiency", "adiab.", "eff. %", 7, SWL_SHOW_FRACTION, SWL_OF_POINT(ea_frac)},
    {"engine volumetric efficiency", "", "", 0, SWL_SHOW_FRACTION, SWL_OF_POINT(engine_ve_frac)},
    {"inlet temperature", "", "", 0, SWL_SHOW_TEMPERATURE, SWL_OF_POINT(t1_k)},
    {"discharge temperature", "disch.", "", 7, SWL_SHOW_TEMPERATURE, SWL_OF_POINT(t2_k)},
    {"charge temperature", "charge", "", 7, SWL_SHOW_TEMPERATURE, SWL_OF_POINT(t3_k)},
    {"drive power", "drive", "", 7, SWL_SHOW_POWER, SWL_OF_POINT(p_shaft_w)},
    {"drive torque", "torque", "", 7, SWL_SHOW_TORQUE, SWL_OF_POINT(torque_nm)},
    {"inlet volume flow in the map's air", "", "", 0, SWL_SHOW_VOLUME_FLOW, SWL_OF_POINT(map_vdot_m3_s)},
    {"cooler heat", "", "", 0, SWL_SHOW_POWER, SWL_OF_POINT(q_cooler_w)},
    {"coolant inlet temperature", "", "", 0, SWL_SHOW_TEMPERATURE, SWL_OF_POINT(t_coolant_in_k)},
    {"coolant outlet temperature", "", "", 0, SWL_SHOW_TEMPERATURE, SWL_OF_POINT(t_coolant_out_k)},
    {"cooler effectiveness", "", "", 0, SWL_SHOW_FRACTION, SWL_OF_POINT(cooler_eff_frac)},
};

bool swl_row_shown(size_t count, size_t row)
{
    size_t every = (count + 8) / 9;
    return row % every == 0 || row + 1 == count;
}

const swl_power_column swl_power_columns[SWL_POWER_COLUMNS] = {
    {"gross indicated power", "indicated_power_w", "indicated", 10, SWL_SHOW_POWER, SWL_OF_POWER(indicated_w)},
    {"pumping power", "pumping_power_w", "pumping", 9, SWL_SHOW_POWER, SWL_OF_POWER(pumping_w)},
    {"friction power", "friction_power_w", "friction", 9, SWL_SHOW_POWER, SWL_OF_POWER(friction_w)},
    {"blower drive at the crankshaft", "crank_drive_power_w", "drive", 8, SWL_SHOW_POWER, SWL_OF_POWER(drive_w)},
    {"estimated crank power", "crank_power_w", "crank", 8, SWL_SHOW_POWER, SWL_OF_POWER(crank_w)},
    {"estimated crank torque", "crank_torque_n_m", "torque", 8, SWL_SHOW_TORQUE, SWL_OF_POWER(crank_torque_nm)},
    {"estimated wheel power", "wheel_power_w", "wheel", 8, SWL_SHOW_POWER, SWL_OF_POWER(wheel_w)},
    {"fuel flow", "fuel_mass_flow_kg_s", "fuel", 8, SWL_SHOW_FUEL_FLOW, SWL_OF_POWER(fuel_kg_s)},
};
