#include "sweptline/fuel.h"

#include <string.h>

/* IUPAC 2021 abridged atomic weights, and dry air as in src/air/air.c. */
#define CARBON 12.011
#define HYDROGEN 1.008
#define OXYGEN 15.999
#define AIR_KG_KMOL 28.9651
#define AIR_X_O2 0.209476

#define HEYWOOD "Heywood (1988), table D.4 (from memory)"
#define BLEND "by volume from petrol and ethanol of this table"

/* A blend of v ethanol by volume: mass share w = 785 v/(785 v + 745 (1-v)),
 * heating value by w, atoms by moles of carbon; tests/unit/test_power.c works them out again. */
#define RATIO(y, z) ((1 + (y) / 4.0 - (z) / 2.0) * AIR_KG_KMOL / AIR_X_O2 / (CARBON + HYDROGEN * (y) + OXYGEN * (z)))
#define FUEL(name, y, z, lhv, density, source)                                                                         \
    {                                                                                                                  \
        name, y, z, lhv, density, RATIO(y, z), source                                                                  \
    }

static const swl_fuel fuels[] = {
    FUEL("petrol", 1.85, 0, 44.0e6, 745, HEYWOOD "; EN 228's middle density (from memory)"),
    FUEL("e10", 1.9257619, 0.0329399, 42.20781e6, 749, BLEND ", 10 % ethanol"),
    FUEL("e85", 2.7498278, 0.3912295, 29.35305e6, 779, BLEND ", 85 % ethanol"),
    FUEL("ethanol", 3, 0.5, 26.9e6, 785, HEYWOOD),
    FUEL("methanol", 4, 1, 20.0e6, 792, HEYWOOD),
    FUEL("iso-octane", 2.25, 0, 44.3e6, 692, HEYWOOD),
};

double swl_fuel_air_ratio(double hydrogen, double oxygen)
{
    return RATIO(hydrogen, oxygen);
}

const swl_fuel *swl_fuel_at(size_t index)
{
    return index < sizeof fuels / sizeof fuels[0] ? &fuels[index] : NULL;
}

const swl_fuel *swl_fuel_find(const char *name)
{
    if (name == NULL || name[0] == '\0') {
        return &fuels[0];
    }
    for (size_t i = 0; i < sizeof fuels / sizeof fuels[0]; i++) {
        if (strcmp(name, fuels[i].name) == 0) {
            return &fuels[i];
        }
    }
    return NULL;
}
