#include "sweptline/drive.h"

double swl_drive_ratio(const swl_drive *drive, double gear_ratio)
{
    double twice_b = 2 * drive->line_differential_m;
    return (drive->d_crank_m + twice_b) / (drive->d_blower_m + twice_b) * gear_ratio * drive->jackshaft_ratio;
}

double swl_drive_blower_pulley_m(const swl_drive *drive, double gear_ratio, double engine_rpm, double blower_rpm)
{
    double twice_b = 2 * drive->line_differential_m;
    return (drive->d_crank_m + twice_b) * gear_ratio * drive->jackshaft_ratio * engine_rpm / blower_rpm - twice_b;
}
