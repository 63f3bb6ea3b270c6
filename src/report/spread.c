#include "report/spread.h"

#include <math.h>
#include <stdio.h>

const swl_spread_column swl_spread_columns[SWL_SPREAD_COLUMNS] = {
    {SWL_SPREAD_BOOST, "boost_pa", "boost", SWL_SHOW_BOOST},
    {SWL_SPREAD_MASS_FLOW, "air_mass_flow_kg_s", "air flow", SWL_SHOW_MASS_FLOW},
    {SWL_SPREAD_DISCHARGE, "discharge_temperature_k", "discharge", SWL_SHOW_TEMPERATURE},
    {SWL_SPREAD_CHARGE, "charge_temperature_k", "charge", SWL_SHOW_TEMPERATURE},
    {SWL_SPREAD_DRIVE_POWER, "drive_power_w", "drive", SWL_SHOW_POWER},
    {SWL_SPREAD_RATIO, "pressure_ratio", "press. ratio", SWL_SHOW_RATIO},
    {SWL_SPREAD_VOLUME_FLOW, "inlet_volume_flow_m3_s", "inlet", SWL_SHOW_VOLUME_FLOW},
    {SWL_SPREAD_BLOWER_NO_SLIP, "blower_speed_without_slip_rpm", "blower", SWL_SHOW_BLOWER_SPEED},
    {SWL_SPREAD_CRANK_POWER, "crank_power_w", "crank", SWL_SHOW_POWER},
    {SWL_SPREAD_WHEEL_POWER, "wheel_power_w", "wheel", SWL_SHOW_POWER},
    {SWL_SPREAD_BLOWER_SPEED, "blower_speed_rpm", "blower with slip", SWL_SHOW_BLOWER_SPEED},
};

swl_spread_name swl_spread_input_name(const swl_input *input)
{
    swl_spread_name name;
    (void)snprintf(name.text, sizeof name.text, "%s.%s%s%s", input->section, input->name,
                   input->part == NULL ? "" : " ", input->part == NULL ? "" : input->part);
    return name;
}

void swl_spread_rank(const swl_spread *spread, const swl_spread_output *output, size_t *order)
{
    for (size_t i = 0; i < spread->input_count; i++) {
        size_t at = i;
        while (at > 0 && output->index[order[at - 1]].total < output->index[i].total) {
            order[at] = order[at - 1];
            at--;
        }
        order[at] = i;
    }
}
