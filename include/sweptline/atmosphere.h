/* The standard atmosphere below 11 km. */
#ifndef SWEPTLINE_ATMOSPHERE_H
#define SWEPTLINE_ATMOSPHERE_H

/* Given: geopotential altitude in metres, -2000..11000. Returns: temperature in K; pressure in Pa.
 * Source: ISO 2533:1975, troposphere: 288.15 K and 101325 Pa at sea level, -6.5 K/km,
 * g 9.80665 m/s2, R 287.05287 J/(kg K).
 * Left out: geometric altitude, which differs by 1.4 m (12.6 Pa) at 3000 m. */
double swl_atmosphere_t_k(double altitude_m);
double swl_atmosphere_p_pa(double altitude_m);
/* Given: pressure in Pa, 22632..127774. Returns: the geopotential altitude in metres that has it. */
double swl_atmosphere_altitude_m(double p_pa);

#endif
