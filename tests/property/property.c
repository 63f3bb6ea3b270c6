/* Properties over random valid builds: property [--seed FIRST] [--count N] [--write FOLDER] [--laws]
 *
 * Build number n is that of seed FIRST + n and of nothing else, so a build that fails alone is made again by
 * `--seed SEED --count 1`; --write leaves its files in a folder for the program, --laws tells how often each law was
 * held.
 */
#include "property/laws.h"

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <unistd.h>

static law_count *count_of(law_book *book, const char *name)
{
    for (size_t i = 0; i < book->count; i++) {
        if (book->counts[i].name == name) {
            return &book->counts[i];
        }
    }
    for (size_t i = 0; i < book->count; i++) {
        if (strcmp(book->counts[i].name, name) == 0) {
            return &book->counts[i];
        }
    }
    if (book->count == LAWS_MAX) {
        (void)fprintf(stderr, "property: more than %d laws\n", LAWS_MAX);
        exit(1);
    }
    law_count *count = &book->counts[book->count++];
    count->name = name;
    return count;
}

void law(law_book *book, const char *name, bool good, const char *format, ...)
{
    law_count *count = count_of(book, name);
    count->held += good;
    count->failed += !good;
    if (good || count->failed > LAW_SHOWN_MAX) {
        return;
    }
    char text[400];
    va_list args;
    va_start(args, format);
    (void)vsnprintf(text, sizeof text, format, args);
    va_end(args);
    (void)printf("property: seed %llu: %s: %s\n", (unsigned long long)book->seed, name, text);
    (void)fflush(stdout);
}

bool law_near(double a, double b, double share)
{
    return (isnan(a) && isnan(b)) || fabs(a - b) <= share * fmax(fabs(a), fabs(b));
}

/* A solve that finds nothing says why, in words of the model. */
static void reason(law_book *book, const swl_err *err)
{
    static const swl_match_end ends[] = {SWL_MATCH_BLOWER_TOO_SMALL, SWL_MATCH_ENGINE_TOO_SMALL, SWL_MATCH_COOLER_LOSS,
                                         SWL_MATCH_AIR_RANGE};
    bool named = false;
    for (size_t i = 0; i < sizeof ends / sizeof ends[0]; i++) {
        named = named || strstr(err->text, swl_match_reason(ends[i])) != NULL;
    }
    law(book, "root: or a named reason", named && err->status == SWL_ERR_SOLVE && strstr(err->text, " rpm") != NULL,
        "%s", err->text);
}

static void one_build(law_book *book, uint64_t seed, const char *folder)
{
    book->seed = seed;
    wide w = wide_make(seed);
    swl_source source = wide_source(&w);
    swl_build build;
    swl_check check;
    swl_diags diags = {0};
    swl_err err = {0};
    test_random random = {.state = ~seed};
    if (folder != NULL && !wide_write(&w, folder)) {
        (void)printf("property: %s: could not be written into\n", folder);
        exit(1);
    }
    swl_status status = swl_build_load(&source, "build.ini", &build, &diags, &err);
    swl_buf told = {0};
    swl_diag_print(&diags, SWL_ERROR, &told);
    law(book, "files: accepted", status == SWL_OK, "%s\n%s", err.text, swl_buf_text(&told));
    swl_buf_free(&told);
    if (status == SWL_OK) {
        if (swl_check_run(&build, &check, &err) == SWL_OK) {
            law(book, "root: or a named reason", true, "found");
            laws_of_line(book, &build, &check);
            laws_of_changes(book, &build, &check, &random);
            laws_of_reports(book, &build, &check, &diags);
            swl_check_free(&check);
        } else {
            reason(book, &err);
        }
        swl_build_free(&build);
    }
    swl_diag_free(&diags);
    wide_free(&w);
}

static int number_after(int argc, char **argv, const char *name, long long *value)
{
    for (int i = 1; i + 1 < argc; i++) {
        if (strcmp(argv[i], name) == 0) {
            *value = strtoll(argv[i + 1], NULL, 10);
            return 1;
        }
    }
    return 0;
}

static void add_up(law_book *sum, const law_book *part)
{
    for (size_t i = 0; i < part->count; i++) {
        law_count *count = count_of(sum, part->counts[i].name);
        count->held += part->counts[i].held;
        count->failed += part->counts[i].failed;
    }
}

int main(int argc, char **argv)
{
    /* With builds enough, as many laws and as many cases a build as these are held, or hardly a build was solved. */
    enum { JOBS_MAX = 4, MANY = 300, LAWS_LEAST = 60, CASES_LEAST = 200 };
    long long seed = 1;
    long long count = 10000;
    const char *folder = NULL;
    bool laws = false;
    (void)number_after(argc, argv, "--seed", &seed);
    (void)number_after(argc, argv, "--count", &count);
    for (int i = 1; i < argc; i++) {
        folder = strcmp(argv[i], "--write") == 0 && i + 1 < argc ? argv[i + 1] : folder;
        laws = laws || strcmp(argv[i], "--laws") == 0;
    }
    long online = sysconf(_SC_NPROCESSORS_ONLN);
    int jobs = online < 1 ? 1 : online > JOBS_MAX ? JOBS_MAX : (int)online;
    law_book *books =
        mmap(NULL, sizeof(law_book) * JOBS_MAX, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    if (books == MAP_FAILED) {
        return 1;
    }
    int bad = 0;
    pid_t children[JOBS_MAX];
    for (int j = 0; j < jobs; j++) {
        children[j] = fork();
        if (children[j] == 0) {
            for (long long n = j; n < count; n += jobs) {
                one_build(&books[j], (uint64_t)(seed + n), folder);
            }
            exit(0);
        }
    }
    for (int j = 0; j < jobs; j++) {
        int state = 0;
        (void)waitpid(children[j], &state, 0);
        if (!WIFEXITED(state) || WEXITSTATUS(state) != 0) {
            (void)printf("property: a process ended at seed %llu\n", (unsigned long long)books[j].seed);
            bad = 1;
        }
    }
    law_book sum = {.count = 0};
    long held = 0;
    long failed = 0;
    for (int j = 0; j < jobs; j++) {
        add_up(&sum, &books[j]);
    }
    for (size_t i = 0; i < sum.count; i++) {
        held += sum.counts[i].held;
        failed += sum.counts[i].failed;
        if (laws || sum.counts[i].failed > 0) {
            (void)printf("%10ld held %8ld not  %s\n", sum.counts[i].held, sum.counts[i].failed, sum.counts[i].name);
        }
    }
    (void)printf("properties of %lld builds from seed %lld: %zu laws, %ld cases held, %ld not\n", count, seed,
                 sum.count, held, failed);
    if (count >= MANY && (sum.count < LAWS_LEAST || held < CASES_LEAST * count)) {
        (void)printf("property: at least %d laws and %d cases a build are due\n", LAWS_LEAST, CASES_LEAST);
        bad = 1;
    }
    return bad || failed > 0;
}
