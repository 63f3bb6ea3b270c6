/* Reading from the disk and standard input, and saving files, in a temporary folder. */
#include "support/near.h"

#include "sweptline/files.h"
#include "sweptline/text.h"

#include <dirent.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

static char folder[300];

static int make_folder(void **state)
{
    (void)state;
    const char *root = getenv("TMPDIR");
    (void)snprintf(folder, sizeof folder, "%s/swl-disk-XXXXXX", root == NULL ? "/tmp" : root);
    return mkdtemp(folder) == NULL ? -1 : 0;
}

static const char *in_folder(const char *name)
{
    static char path[700];
    (void)snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
}

static int entries(bool unlink_them)
{
    int count = 0;
    DIR *dir = opendir(folder);
    assert_non_null(dir);
    for (struct dirent *entry = readdir(dir); entry != NULL; entry = readdir(dir)) {
        count += entry->d_name[0] != '.';
        if (unlink_them && entry->d_name[0] != '.') {
            (void)remove(in_folder(entry->d_name));
        }
    }
    (void)closedir(dir);
    return count;
}

static int remove_folder(void **state)
{
    (void)state;
    (void)entries(true);
    return rmdir(folder);
}

static void assert_holds(const char *path, const char *want, mode_t mode)
{
    swl_source disk = swl_source_disk();
    swl_buf got = {0};
    struct stat info;
    assert_int_equal(disk.read(disk.context, path, &got, NULL), SWL_OK);
    assert_string_equal(swl_buf_text(&got), want);
    swl_buf_free(&got);
    assert_int_equal(stat(path, &info), 0);
    assert_int_equal(info.st_mode & 07777, mode);
}

static void assert_not_saved(const char *path, const char *reason)
{
    swl_err err = {0};
    char want[800];
    (void)snprintf(want, sizeof want, "%s: %s", path, reason);
    assert_int_equal(swl_file_save(path, "new", 3, &err), SWL_ERR_WRITE);
    assert_string_equal(err.text, want);
}

static void saves_whole_and_keeps_the_mode(void **state)
{
    (void)state;
    mode_t mask = umask(027);
    assert_int_equal(swl_file_save(in_folder("a"), "a long old text", 15, NULL), SWL_OK);
    assert_holds(in_folder("a"), "a long old text", 0640);
    assert_int_equal(chmod(in_folder("a"), 0604), 0);
    assert_int_equal(swl_file_save(in_folder("a"), "new", 3, NULL), SWL_OK);
    assert_holds(in_folder("a"), "new", 0604);
    assert_int_equal(swl_file_save(in_folder("a"), "", 0, NULL), SWL_OK);
    assert_holds(in_folder("a"), "", 0604);
    assert_int_equal(entries(false), 1);
    (void)umask(mask);
    assert_int_equal(umask(mask), mask); /* the process keeps its own */
    assert_int_equal(chdir(folder), 0);
    assert_int_equal(swl_file_save("b", "beside", 6, NULL), SWL_OK);
    assert_int_equal(chdir("/"), 0);
    assert_int_equal(entries(true), 2);
}

static void creates_what_is_not_there(void **state)
{
    (void)state;
    swl_err err = {0};
    char want[800];
    assert_int_equal(swl_file_create(in_folder("a"), "first", 5, NULL), SWL_OK);
    assert_int_equal(swl_file_create(in_folder("a"), "second", 6, &err), SWL_ERR_WRITE);
    (void)snprintf(want, sizeof want, "%s: could not be created: File exists", in_folder("a"));
    assert_string_equal(err.text, want);
    assert_int_equal(symlink("nowhere", in_folder("b")), 0);
    assert_int_equal(swl_file_create(in_folder("b"), "x", 1, NULL), SWL_ERR_WRITE);
    assert_int_equal(access(in_folder("nowhere"), F_OK), -1);
    assert_int_equal(swl_file_create(in_folder("no/such"), "x", 1, NULL), SWL_ERR_WRITE);
    assert_int_equal(entries(true), 2);
}

/* Of several that make one file at once one has it, and what that wrote stays. */
static void one_of_many_creates(void **state)
{
    (void)state;
    enum { MANY = 8, TURNS = 20 };
    for (int turn = 0; turn < TURNS; turn++) {
        int made = 0;
        pid_t child[MANY];
        for (int i = 0; i < MANY; i++) {
            child[i] = fork();
            assert_true(child[i] >= 0);
            if (child[i] == 0) {
                _exit(swl_file_create(in_folder("a"), "new", 3, NULL) == SWL_OK ? 1 : 0);
            }
        }
        for (int i = 0; i < MANY; i++) {
            int ended = 0;
            assert_int_equal(waitpid(child[i], &ended, 0), child[i]);
            assert_true(WIFEXITED(ended));
            made += WEXITSTATUS(ended);
        }
        assert_int_equal(made, 1);
        assert_int_equal(entries(false), 1);
        assert_int_equal(unlink(in_folder("a")), 0);
    }
}

static void save_failures_leave_what_stood(void **state)
{
    (void)state;
    assert_not_saved(in_folder("no/such"), "could not be created: No such file or directory");
    assert_not_saved(folder, "is a directory, not a file");
    assert_not_saved("/dev/full", "could not be written: No space left on device");
    assert_int_equal(swl_file_save("/dev/null", "x", 1, NULL), SWL_OK);
    assert_int_equal(mknod(in_folder("socket"), S_IFSOCK | 0600, 0), 0);
    assert_not_saved(in_folder("socket"), "could not be opened: No such device or address");
    assert_int_equal(entries(true), 1);
    assert_int_equal(swl_file_save(in_folder("a"), "old", 3, NULL), SWL_OK);
    /* A file size limit makes the write fail half way. */
    struct rlimit before;
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &before), 0);
    struct rlimit tight = {.rlim_cur = 1, .rlim_max = before.rlim_max};
    void (*handler)(int) = signal(SIGXFSZ, SIG_IGN);
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &tight), 0);
    swl_err err = {0};
    swl_status status = swl_file_save(in_folder("a"), "new", 3, &err);
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &before), 0);
    (void)signal(SIGXFSZ, handler);
    assert_int_equal(status, SWL_ERR_WRITE);
    assert_non_null(strstr(err.text, "could not be written: File too large"));
    mode_t mask = umask(0);
    (void)umask(mask);
    assert_holds(in_folder("a"), "old", 0666 & ~mask);
    assert_int_equal(entries(true), 1);
}
/* The superuser may write anywhere, so he becomes nobody for this one. */
static void save_into_a_folder_that_is_read_only(void **state)
{
    (void)state;
    bool super = geteuid() == 0;
    assert_int_equal(swl_file_save(in_folder("a"), "old", 3, NULL), SWL_OK);
    assert_int_equal(chmod(in_folder("a"), 0666), 0);
    assert_int_equal(chmod(folder, 0555), 0);
    assert_int_equal(super ? seteuid(65534) : 0, 0);
    swl_err first = {0};
    swl_err second = {0};
    swl_status statuses[] = {swl_file_save(in_folder("a"), "new", 3, &first),
                             swl_file_save(in_folder("b"), "new", 3, &second)};
    assert_int_equal(super ? seteuid(0) : 0, 0);
    assert_int_equal(chmod(folder, 0755), 0);
    assert_int_equal(statuses[0], SWL_ERR_WRITE);
    assert_int_equal(statuses[1], SWL_ERR_WRITE);
    assert_non_null(strstr(first.text, "/a: could not be created: Permission denied"));
    assert_non_null(strstr(second.text, "/b: could not be created: Permission denied"));
    assert_holds(in_folder("a"), "old", 0666);
    assert_int_equal(entries(true), 1);
}

/* A file without write permission is replaced like any other: the folder's permission counts, as with rename. */
static void save_over_a_file_that_is_read_only(void **state)
{
    (void)state;
    assert_int_equal(swl_file_save(in_folder("a"), "old", 3, NULL), SWL_OK);
    assert_int_equal(chmod(in_folder("a"), 0444), 0);
    assert_int_equal(swl_file_save(in_folder("a"), "new", 3, NULL), SWL_OK);
    assert_holds(in_folder("a"), "new", 0444);
    assert_int_equal(entries(true), 1);
}

/* A pipe is written into, not replaced. */
static void save_into_a_pipe(void **state)
{
    (void)state;
    char path[700];
    char got[8] = {0};
    (void)snprintf(path, sizeof path, "%s", in_folder("pipe"));
    assert_int_equal(mkfifo(path, 0600), 0);
    int reader = open(path, O_RDONLY | O_NONBLOCK);
    assert_true(reader >= 0);
    assert_int_equal(swl_file_save(path, "words", 5, NULL), SWL_OK);
    assert_int_equal(read(reader, got, sizeof got), 5);
    assert_string_equal(got, "words");
    (void)close(reader);
    assert_int_equal(entries(true), 1);
}

/* Standard output stands aside while a file or the full device takes its place. */
static swl_status save_to_stdout_as(const char *path, swl_err *err)
{
    (void)fflush(stdout);
    int kept = dup(STDOUT_FILENO);
    int fd = open(path, O_WRONLY | O_CREAT, 0600);
    assert_true(kept >= 0 && fd >= 0);
    (void)dup2(fd, STDOUT_FILENO);
    swl_status status = swl_file_save("-", "shown", 5, err);
    (void)dup2(kept, STDOUT_FILENO);
    (void)close(kept);
    (void)close(fd);
    return status;
}

static void save_to_standard_output(void **state)
{
    (void)state;
    swl_err err = {0};
    assert_int_equal(save_to_stdout_as(in_folder("out"), &err), SWL_OK);
    assert_holds(in_folder("out"), "shown", 0600);
    assert_int_equal(save_to_stdout_as("/dev/full", &err), SWL_ERR_WRITE);
    assert_string_equal(err.text, "standard output: could not be written: No space left on device");
    assert_int_equal(entries(true), 1);
}

static void assert_not_read(const char *path, const char *reason)
{
    swl_source disk = swl_source_disk();
    swl_buf out = {0};
    swl_err err = {0};
    assert_int_equal(disk.read(disk.context, path, &out, &err), SWL_ERR_READ);
    assert_string_equal(err.text, reason);
    swl_buf_free(&out);
}

static void reads_from_the_disk(void **state)
{
    (void)state;
    assert_not_read(in_folder("none"), "could not be opened: No such file or directory");
    assert_not_read(folder, "is a directory, not a file");
    assert_not_read("/proc/self/mem", "could not be read: Input/output error"); /* nothing is mapped at 0 */
    assert_int_equal(swl_file_save(in_folder("a"), "one\ntwo\n", 8, NULL), SWL_OK);
    assert_non_null(freopen(in_folder("a"), "rb", stdin));
    swl_source disk = swl_source_disk();
    swl_buf out = {0};
    assert_int_equal(disk.read(disk.context, "-", &out, NULL), SWL_OK);
    assert_string_equal(swl_buf_text(&out), "one\ntwo\n");
    swl_buf_free(&out);
    (void)entries(true);
}

/* A file over the limit is not read to its end, and its text is then refused. */
static void reads_no_more_than_a_text_may_have(void **state)
{
    (void)state;
    assert_int_equal(swl_file_save(in_folder("big"), "", 0, NULL), SWL_OK);
    assert_int_equal(truncate(in_folder("big"), 4L * SWL_SOURCE_MAX_BYTES), 0);
    swl_source disk = swl_source_disk();
    swl_buf out = {0};
    swl_text text;
    assert_int_equal(disk.read(disk.context, in_folder("big"), &out, NULL), SWL_OK);
    assert_true(out.len > SWL_SOURCE_MAX_BYTES && out.len < 2UL * SWL_SOURCE_MAX_BYTES);
    assert_int_equal(swl_text_init(&text, "big", swl_buf_text(&out), out.len, NULL), SWL_ERR_INPUT);
    swl_buf_free(&out);
    (void)entries(true);
}

/* A build on the disk finds its unit beside it, and the unit its table beside itself. */
static void loads_a_build_from_the_disk(void **state)
{
    (void)state;
    static const char build[] = "[engine]\ndisplacement = 2 L\nspeed_from = 1000 rpm\nspeed_step = 500 rpm\n"
                                "speed_limit = 6000 rpm\nvolumetric_efficiency = 1000: 80 %\n[blower]\n"
                                "unit = u.ini\n[drive]\ncrank_pulley = 160 mm\nblower_pulley = 80 mm\n";
    static const char unit[] = "[unit]\nname = u\nkind = screw\ndisplacement = 1 L/rev\n[map]\ntable = t.csv\n"
                               "temperature = 25 degC\nefficiency_from = shaft power\n";
    static const char table[] = "blower speed [rpm],pressure ratio,volumetric efficiency [%],adiabatic efficiency [%]\n"
                                "4000,1.2,80,60\n8000,1.2,85,62\n";
    assert_int_equal(swl_file_save(in_folder("b.ini"), build, strlen(build), NULL), SWL_OK);
    assert_int_equal(swl_file_save(in_folder("u.ini"), unit, strlen(unit), NULL), SWL_OK);
    assert_int_equal(swl_file_save(in_folder("t.csv"), table, strlen(table), NULL), SWL_OK);
    swl_source disk = swl_source_disk();
    swl_build got;
    swl_diags diags = {0};
    assert_int_equal(swl_build_load(&disk, in_folder("b.ini"), &got, &diags, NULL), SWL_OK);
    assert_string_equal(got.name, "b");
    assert_int_equal(swl_map_line_count(got.blower.map), 2);
    swl_build_free(&got);
    swl_diag_free(&diags);
    (void)entries(true);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(saves_whole_and_keeps_the_mode),
        cmocka_unit_test(creates_what_is_not_there),
        cmocka_unit_test(one_of_many_creates),
        cmocka_unit_test(save_failures_leave_what_stood),
        cmocka_unit_test(save_into_a_folder_that_is_read_only),
        cmocka_unit_test(save_over_a_file_that_is_read_only),
        cmocka_unit_test(save_into_a_pipe),
        cmocka_unit_test(save_to_standard_output),
        cmocka_unit_test(reads_from_the_disk),
        cmocka_unit_test(reads_no_more_than_a_text_may_have),
        cmocka_unit_test(loads_a_build_from_the_disk),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
