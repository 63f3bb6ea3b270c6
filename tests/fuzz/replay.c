/* Runs a target over files and folders, for a compiler without libFuzzer. */
#include "fuzz.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static size_t replay(const char *path)
{
    struct stat info;
    if (stat(path, &info) != 0) {
        (void)fprintf(stderr, "%s cannot be read\n", path);
        exit(2);
    }
    if (S_ISDIR(info.st_mode)) {
        size_t count = 0;
        struct dirent **names = NULL;
        int n = scandir(path, &names, NULL, alphasort);
        for (int i = 0; i < n; i++) {
            char inner[4096];
            (void)snprintf(inner, sizeof inner, "%s/%s", path, names[i]->d_name);
            count += names[i]->d_name[0] == '.' ? 0 : replay(inner);
            free(names[i]);
        }
        free(names);
        return count;
    }
    FILE *file = fopen(path, "rb");
    size_t size = (size_t)info.st_size;
    uint8_t *bytes = malloc(size > 0 ? size : 1);
    if (file == NULL || bytes == NULL || fread(bytes, 1, size, file) != size) {
        (void)fprintf(stderr, "%s cannot be read\n", path);
        exit(2);
    }
    (void)fclose(file);
    if (getenv("FUZZ_TELL") != NULL) {
        (void)fprintf(stderr, "%s\n", path);
    }
    (void)LLVMFuzzerTestOneInput(bytes, size);
    free(bytes);
    return 1;
}

int main(int argc, char **argv)
{
    size_t count = 0;
    for (int i = 1; i < argc; i++) {
        count += replay(argv[i]);
    }
    if (count == 0) {
        (void)fprintf(stderr, "no input\n");
        return 2;
    }
    (void)printf("%zu inputs\n", count);
    return 0;
}
