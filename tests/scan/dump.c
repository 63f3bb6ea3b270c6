/* Reads each PNG named and writes what the library made of it beside it: .rgb with the pixels, or .why with the error.
 * dump FILE... */
#include "sweptline/sweptline.h"

#include <stdio.h>
#include <string.h>

static int save(const char *path, const char *ending, const void *bytes, size_t size)
{
    char name[500];
    (void)snprintf(name, sizeof name, "%s%s", path, ending);
    FILE *file = fopen(name, "wb");
    int bad = file == NULL || fwrite(bytes, 1, size, file) != size;
    return file == NULL || fclose(file) != 0 || bad;
}

int main(int argc, char **argv)
{
    int bad = argc < 2;
    swl_source disk = swl_source_disk();
    for (int i = 1; i < argc; i++) {
        swl_err err = {0};
        swl_buf bytes = {0};
        swl_image image = {0};
        swl_status status = disk.read(disk.context, argv[i], &bytes, &err);
        if (status == SWL_OK) {
            status = swl_image_read(swl_buf_text(&bytes), bytes.len, &image, &err);
        }
        if (status == SWL_OK) {
            char head[80];
            int n = snprintf(head, sizeof head, "%d %d %.3f\n", image.width, image.height, image.dpi);
            bad |= save(argv[i], ".size", head, (size_t)n);
            bad |= save(argv[i], ".rgb", image.rgb, 3 * (size_t)image.width * (size_t)image.height);
        } else {
            bad |= save(argv[i], ".why", err.text, strlen(err.text));
        }
        swl_image_free(&image);
        swl_buf_free(&bytes);
    }
    return bad;
}
