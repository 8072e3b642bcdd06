/* wetrun: dispatches to the command table, closes standard output, maps the status to the exit code. */
#include <errno.h>
#include <fcntl.h>
#ifdef __GLIBC__
#include <malloc.h>
#endif
#include <signal.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/resource.h>
#include <unistd.h>
#include "cmd/emit.h"
#include "wetrun/base/memory.h"
#include "wetrun/cmd/settings.h"
#include "wetrun/present/json_memory.h"

static enum wr_status print(const struct wr_str *text, struct wr_error *err)
{
    return wr_output_write("-", wr_str_text(text), text->len, err);
}

static void note_idle(struct wr_str *notes, const struct wr_command *command, const struct wr_settings *settings)
{
    for (size_t i = 0; i < settings->idle.n_text && !settings->quiet; i++)
        wr_note(notes, "--%s changes nothing in what wetrun %s says", settings->idle.text[i], command->name);
}

static enum wr_status run_command(const struct wr_command *command, int argc, char **argv, int *verdict,
                                  struct wr_error *err)
{
    WR_RELEASED_BY(wr_settings_release) struct wr_settings settings = {0};
    WR_SCOPED_STR text = {0}, notes = {0};

    wr_settings_init(&settings);
    enum wr_status status = wr_settings_parse(&settings, command, argc, argv, err);
    if (!status && settings.version) {
        wr_str_add(&text, "wetrun " WR_VERSION "\n");
        status = print(&text, err);
    } else if (!status && settings.help) {
        wr_help_command(command, &text);
        status = print(&text, err);
    } else if (!status) {
        note_idle(&notes, command, &settings); /* ready before the command's first byte is out */
        status = command->run(command, &settings, verdict, err);
        if (!status) wr_say_notes(&notes);
    }
    return status;
}

static enum wr_status dispatch(int argc, char **argv, int *verdict, struct wr_error *err)
{
    const char *word = argc > 1 ? argv[1] : "";
    WR_SCOPED_STR text = {0};

    if (strcmp(word, "--help") == 0 || strcmp(word, "-h") == 0 || strcmp(word, "help") == 0) {
        const struct wr_command *about = argc > 2 ? wr_command_find(argv[2]) : NULL;
        if (about)
            wr_help_command(about, &text);
        else
            wr_help_program(&text);
        return print(&text, err);
    }
    if (strcmp(word, "--version") == 0) {
        wr_str_add(&text, "wetrun " WR_VERSION "\n");
        return print(&text, err);
    }
    if (strcmp(word, "--manual") == 0) { /* for the build */
        wr_help_manual(&text);
        return print(&text, err);
    }
    if (strcmp(word, "--completion") == 0) {
        enum wr_status status = wr_completion_script(argc > 2 ? argv[2] : "bash", &text, err);
        return status ? status : print(&text, err);
    }
    size_t at;
    if (strcmp(word, "--complete") == 0 && argc > 2 && wr_parse_size(argv[2], &at)) { /* asked by those scripts */
        enum wr_status status = wr_complete(at, (size_t)argc - 3, argv + 3, &text, err);
        return status ? status : print(&text, err);
    }
    const struct wr_command *command = wr_command_find(word);
    if (!command)
        return *word ? wr_fail(err, WR_E_USAGE, "there is no command '%s'; `wetrun --help` lists them", word)
                     : wr_fail(err, WR_E_USAGE, "a command is needed; `wetrun --help` lists them");
    return run_command(command, argc - 2, argv + 2, verdict, err);
}

struct call { int argc; char **argv; int verdict; };

static enum wr_status guarded(void *arg, struct wr_error *err)
{
    struct call *call = arg;

    return dispatch(call->argc, call->argv, &call->verdict, err);
}

/* Of an error of the program itself nothing more is asked of memory. */
static void say_trouble(enum wr_status status, const struct wr_error *err)
{
    if (status == WR_E_MEMORY || status == WR_E_BUG) fprintf(stderr, "wetrun: %s\n", err->text);
    else wr_say_error(err);
}

/* A file that is opened later must not get the number of a standard file that was closed: what is said there would be
 * written into it. Nothing can be written to what is put in its place. */
static void fill_closed_standard_files(void)
{
    for (int fd = 0; fd <= STDERR_FILENO; fd++)
        if (fcntl(fd, F_GETFD) < 0 && errno == EBADF && open("/dev/null", fd == STDIN_FILENO ? O_WRONLY : O_RDONLY) < 0)
            return;
}

/* Arrays over all simulated days, of some megabytes each, are taken and let go again and again: where the system has
 * them in between, each of their pages costs a fault every time. */
static void keep_freed_memory(void)
{
#ifdef __GLIBC__
    mallopt(M_MMAP_THRESHOLD, 32 << 20);
    mallopt(M_TRIM_THRESHOLD, 256 << 20);
#endif
}

/* One heap for all threads, set out in one piece and, where the system has them, in pages of 2 MB: a few faults then
 * where small pages cost ten thousand. What is not written to takes no memory, but counts against a limit of what a
 * process may have: where there is one, all stays small. */
static void set_out_heap(void)
{
#if defined __GLIBC__ && defined MADV_HUGEPAGE
    enum { HEAP = 64 << 20, PAGE = 4096 };
    struct rlimit room, data;

    if (getrlimit(RLIMIT_AS, &room) || getrlimit(RLIMIT_DATA, &data)) return;
    if (room.rlim_cur != RLIM_INFINITY || data.rlim_cur != RLIM_INFINITY) return;
    mallopt(M_ARENA_MAX, 1);
    mallopt(M_TOP_PAD, HEAP);
    char *first = malloc(PAGE), *end = sbrk(0);
    if (first && end > first && end - first > HEAP)
        (void)madvise(first + (PAGE - (uintptr_t)first % PAGE), HEAP, MADV_HUGEPAGE);
    free(first);
#endif
}

int main(int argc, char **argv)
{
    struct call call = {argc, argv, 0};
    struct wr_error err = {0};

    keep_freed_memory();
    set_out_heap();
    fill_closed_standard_files();
    signal(SIGPIPE, SIG_IGN); /* a closed pipe is a failed write, with a message and exit status 4 */
    wr_json_use_our_memory();
    struct wr_pool *pool = wr_pool_new();
    enum wr_status status = pool ? wr_guard(pool, guarded, &call, &err) : wr_fail(&err, WR_E_MEMORY, "out of memory");
    if (status) say_trouble(status, &err);
    wr_pool_release(pool);
    if (fclose(stdout) != 0 && !status) {
        status = wr_fail(&err, WR_E_OUTPUT, "standard output: could not be written");
        say_trouble(status, &err);
    }
    return status ? wr_status_exit_code(status) : call.verdict;
}
