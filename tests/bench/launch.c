/* Runs a command with its standard output put away and prints what it took: launch COMMAND... Memory measured from a
 * large parent would be the parent's. */
#include "clock.h"

#include <fcntl.h>
#include <sys/wait.h>
#include <unistd.h>

int main(int argc, char **argv)
{
    if (argc < 2) {
        fprintf(stderr, "launch COMMAND...\n");
        return 2;
    }
    double start_s = wall_s();
    pid_t child = fork();
    if (child == 0) {
        int null = open("/dev/null", O_WRONLY | O_CLOEXEC);
        if (null >= 0 && dup2(null, STDOUT_FILENO) >= 0) {
            (void)execvp(argv[1], argv + 1);
        }
        perror(argv[1]);
        _exit(127);
    }
    int status = 0;
    struct rusage used;
    if (child < 0 || wait4(child, &status, 0, &used) != child) {
        perror("launch");
        return 3;
    }
    tell("wall_ms", 1e3 * (wall_s() - start_s), "ms");
    tell("busy_ms",
         1e3 * (double)(used.ru_utime.tv_sec + used.ru_stime.tv_sec) +
             1e-3 * (double)(used.ru_utime.tv_usec + used.ru_stime.tv_usec),
         "ms");
    tell("faults", (double)used.ru_minflt, "");
    tell("peak_mb", (double)used.ru_maxrss / 1024, "MB");
    return WIFEXITED(status) ? WEXITSTATUS(status) : 128;
}
