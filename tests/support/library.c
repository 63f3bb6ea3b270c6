/* What a program outside needs of the library: a build in, boost at three engine speeds out. library BUILD.ini */
#include <sweptline/sweptline.h>

#include <stdio.h>

int main(int argc, char **argv)
{
    swl_source disk = swl_source_disk();
    swl_build build;
    swl_diags diags = {0};
    swl_err err = {0};
    if (argc != 2 || swl_build_load(&disk, argv[1], &build, &diags, &err) != SWL_OK) {
        fprintf(stderr, "%s\n", err.text);
        return 2;
    }
    swl_match *match = swl_match_new(&build, &err);
    for (int rpm = 2000; match != NULL && rpm <= 6000; rpm += 2000) {
        printf("%d rpm: boost %.1f kPa\n", rpm, swl_match_point(match, rpm).boost_pa / 1000);
    }
    swl_match_free(match);
    swl_build_free(&build);
    swl_diag_free(&diags);
    return 0;
}
