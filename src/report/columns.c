#include "report/columns.h"

#define VALUE(name, member)                                                                                            \
    static double name(const swl_point *point)                                                                         \
    {                                                                                                                  \
        return point->member;                                                                                          \
    }

VALUE(engine_speed, engine_rpm)
VALUE(blower_speed, blower_rpm)
VALUE(corrected_speed, corrected_rpm)
VALUE(ratio, p_ratio)
VALUE(inlet_pressure, p1_pa)
VALUE(discharge_pressure, p2_pa)
VALUE(manifold_pressure, p3_pa)
VALUE(exhaust_pressure, p_e_pa)
VALUE(boost, boost_pa)
VALUE(volume_flow, vdot1_m3_s)
VALUE(mass_flow, mdot_kg_s)
VALUE(blower_ve, ev_frac)
VALUE(blower_ea, ea_frac)
VALUE(engine_ve, engine_ve_frac)
VALUE(inlet_temperature, t1_k)
VALUE(discharge_temperature, t2_k)
VALUE(charge_temperature, t3_k)
VALUE(drive_power, p_shaft_w)
VALUE(drive_torque, torque_nm)
VALUE(map_flow, map_vdot_m3_s)
VALUE(cooler_heat, q_cooler_w)
VALUE(coolant_in, t_coolant_in_k)
VALUE(coolant_out, t_coolant_out_k)
VALUE(cooler_effectiveness, cooler_eff_frac)

const swl_column swl_columns[SWL_COLUMNS] = {
    {"engine speed", "engine", "", 6, SWL_SHOW_ENGINE_SPEED, engine_speed},
    {"blower speed", "blower", "", 6, SWL_SHOW_BLOWER_SPEED, blower_speed},
    {"corrected speed", "", "", 0, SWL_SHOW_BLOWER_SPEED, corrected_speed},
    {"pressure ratio", "press.", "ratio", 7, SWL_SHOW_RATIO, ratio},
    {"inlet pressure", "", "", 0, SWL_SHOW_PRESSURE, inlet_pressure},
    {"discharge pressure", "", "", 0, SWL_SHOW_PRESSURE, discharge_pressure},
    {"manifold pressure", "", "", 0, SWL_SHOW_PRESSURE, manifold_pressure},
    {"exhaust pressure", "", "", 0, SWL_SHOW_PRESSURE, exhaust_pressure},
    {"boost", "boost", "", 7, SWL_SHOW_BOOST, boost},
    {"inlet volume flow", "inlet", "", 7, SWL_SHOW_VOLUME_FLOW, volume_flow},
    {"air mass flow", "air", "", 7, SWL_SHOW_MASS_FLOW, mass_flow},
    {"blower volumetric efficiency", "vol.", "eff. %", 7, SWL_SHOW_FRACTION, blower_ve},
    {"blower adiabatic efficiency", "adiab.", "eff. %", 7, SWL_SHOW_FRACTION, blower_ea},
    {"engine volumetric efficiency", "", "", 0, SWL_SHOW_FRACTION, engine_ve},
    {"inlet temperature", "", "", 0, SWL_SHOW_TEMPERATURE, inlet_temperature},
    {"discharge temperature", "disch.", "", 7, SWL_SHOW_TEMPERATURE, discharge_temperature},
    {"charge temperature", "charge", "", 7, SWL_SHOW_TEMPERATURE, charge_temperature},
    {"drive power", "drive", "", 7, SWL_SHOW_POWER, drive_power},
    {"drive torque", "torque", "", 7, SWL_SHOW_TORQUE, drive_torque},
    {"inlet volume flow in the map's air", "", "", 0, SWL_SHOW_VOLUME_FLOW, map_flow},
    {"cooler heat", "", "", 0, SWL_SHOW_POWER, cooler_heat},
    {"coolant inlet temperature", "", "", 0, SWL_SHOW_TEMPERATURE, coolant_in},
    {"coolant outlet temperature", "", "", 0, SWL_SHOW_TEMPERATURE, coolant_out},
    {"cooler effectiveness", "", "", 0, SWL_SHOW_FRACTION, cooler_effectiveness},
};

bool swl_row_shown(size_t count, size_t row)
{
    size_t every = (count + 8) / 9;
    return row % every == 0 || row + 1 == count;
}

#define SHARE(name, member)                                                                                            \
    static double name(const swl_power *power)                                                                         \
    {                                                                                                                  \
        return power->member;                                                                                          \
    }

SHARE(indicated, indicated_w)
SHARE(pumping, pumping_w)
SHARE(friction, friction_w)
SHARE(drive, drive_w)
SHARE(crank, crank_w)
SHARE(crank_torque, crank_torque_nm)
SHARE(wheel, wheel_w)
SHARE(fuel, fuel_kg_s)

const swl_power_column swl_power_columns[SWL_POWER_COLUMNS] = {
    {"gross indicated power", "indicated_power_w", "indicated", 10, SWL_SHOW_POWER, indicated},
    {"pumping power", "pumping_power_w", "pumping", 9, SWL_SHOW_POWER, pumping},
    {"friction power", "friction_power_w", "friction", 9, SWL_SHOW_POWER, friction},
    {"blower drive at the crankshaft", "crank_drive_power_w", "drive", 8, SWL_SHOW_POWER, drive},
    {"estimated crank power", "crank_power_w", "crank", 8, SWL_SHOW_POWER, crank},
    {"estimated crank torque", "crank_torque_n_m", "torque", 8, SWL_SHOW_TORQUE, crank_torque},
    {"estimated wheel power", "wheel_power_w", "wheel", 8, SWL_SHOW_POWER, wheel},
    {"fuel flow", "fuel_mass_flow_kg_s", "fuel", 8, SWL_SHOW_FUEL_FLOW, fuel},
};
