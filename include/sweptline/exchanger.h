/* Heat exchangers by effectiveness and number of transfer units. */
#ifndef SWEPTLINE_EXCHANGER_H
#define SWEPTLINE_EXCHANGER_H

enum { SWL_PASSES_MAX = 3 };

/* Effectiveness of one cross-flow pass, both fluids unmixed.
 * Given: NTU = UA/C_min, 0 or more; C_r = C_min/C_max, 0 to 1. Returns: 0 to 1, with C_r = 0 as its limit.
 * eps = 1 - exp((NTU^0.22/C_r) (exp(-C_r NTU^0.78) - 1))
 * Source: F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, table 11.3. An approximation: the
 * exact series is 0.7 to 1 % lower at NTU 2. */
double swl_exchanger_crossflow_eff(double ntu, double c_ratio);

/* Effectiveness of passes of equal UA joined in overall counterflow, each of them cross-flow with both fluids unmixed,
 * both mixed between passes. Given: NTU of the whole, C_r, how many passes, 1 or more.
 * With e that of one pass at NTU/n and z = (1 - e C_r)/(1 - e): eps = (z^n - 1)/(z^n - C_r); n e/(1 + (n - 1) e) at
 * C_r = 1. Source: W. M. Kays and A. L. London, Compact Heat Exchangers, chapter 2, multipass overall-counterflow
 * arrangement; Incropera, table 11.3, states the same for shell passes. From memory. */
double swl_exchanger_passes_eff(double ntu, double c_ratio, int passes);

/* Temperature change of one side over the difference of the inlet temperatures: eps C_min/C_own.
 * Given: UA in W/K, heat capacity flows of that and of the other side in W/K, above 0, and the passes. */
double swl_exchanger_side_eff(double ua_w_k, double c_own_w_k, double c_other_w_k, int passes);

/* Heat that two exchangers joined by a liquid loop carry from one stream to the other.
 * Given: heat in W for each kelvin between the loop's liquid that comes in and the stream that comes in, of the hot and
 * of the cold exchanger (eps C_min); the loop's capacity flow in W/K; the inlet temperatures of both streams in K.
 * Returns: W. 1/(hot) + 1/(cold) - 1/(loop) is the resistance.
 * Source: W. M. Kays and A. L. London, Compact Heat Exchangers, chapter 2, liquid-coupled exchangers; from memory and
 * derived again. */
double swl_exchanger_loop_heat_w(double hot_w_k, double cold_w_k, double loop_w_k, double t_hot_k, double t_cold_k);

#endif
