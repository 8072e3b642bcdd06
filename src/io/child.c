#include "wetrun/io/child.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <stdbool.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>
#ifdef __linux__
#include <sys/prctl.h>
#endif
#include "quiet_write.h"
#include "wetrun/base/memory.h"

enum { COMPLAINT_ROOM = 4096, SHOWN_COMPLAINT = 400 };

struct pipes {
    int in[2], out[2], complaint[2]; /* [0] to read from, [1] to write to */
    int failed[2];                   /* tells why the program could not be started; closed by a start */
};

static void close_fd(int *fd)
{
    if (*fd >= 0) close(*fd);
    *fd = -1;
}

static void close_pipes(struct pipes *p)
{
    for (int end = 0; end < 2; end++) {
        close_fd(&p->in[end]);
        close_fd(&p->out[end]);
        close_fd(&p->complaint[end]);
        close_fd(&p->failed[end]);
    }
}

/* Never 0 to 2, whatever the caller has closed: the child's own 0 to 2 are made from them. */
static bool open_pipe(int ends[2])
{
    bool fine = pipe2(ends, O_CLOEXEC) == 0;

    for (int i = 0; i < 2 && fine; i++) {
        if (ends[i] > STDERR_FILENO) continue;
        int low = ends[i];
        ends[i] = fcntl(low, F_DUPFD_CLOEXEC, STDERR_FILENO + 1);
        fine = ends[i] >= 0;
        close(low);
    }
    return fine;
}

static bool open_pipes(struct pipes *p)
{
    *p = (struct pipes){{-1, -1}, {-1, -1}, {-1, -1}, {-1, -1}};
    return open_pipe(p->in) && open_pipe(p->out) && open_pipe(p->complaint) && open_pipe(p->failed);
}

/* In the child, where nothing is safe but system calls. It leads a group of its own, so that what it starts can be
 * ended with it, and is killed if we are. */
__attribute__((noreturn)) static void become(char *const argv[], const char *without, const struct pipes *p,
                                             const sigset_t *mask, pid_t parent)
{
    (void)setpgid(0, 0);
#ifdef __linux__
    (void)prctl(PR_SET_PDEATHSIG, SIGKILL);
    /* untested: the child's counts go as it becomes another program; check_child has what it does */
    if (getppid() != parent) _exit(127);
#else
    (void)parent;
#endif
    for (char **at = environ; without && *at;)
        if (strncmp(*at, without, strlen(without)) != 0) at++;
        else for (char **next = at; (*next = next[1]); next++) continue;
    (void)signal(SIGPIPE, SIG_DFL);
    (void)sigprocmask(SIG_SETMASK, mask, NULL);
    if (dup2(p->in[0], STDIN_FILENO) >= 0 && dup2(p->out[1], STDOUT_FILENO) >= 0 /* untested: as above */
        && dup2(p->complaint[1], STDERR_FILENO) >= 0) /* untested: as above */
        (void)execvp(argv[0], argv);
    int trouble = errno;
    while (write(p->failed[1], &trouble, sizeof trouble) < 0 && errno == EINTR) continue; /* untested: as above */
    _exit(127);
}

/* The child's ends become its 0, 1 and 2; all else is closed on exec. An errno value, 0 when it runs. */
static int start(char *const argv[], const char *without, struct pipes *p, const sigset_t *mask, pid_t *pid)
{
    pid_t parent = getpid();
    int trouble = 0;
    ssize_t got;

    *pid = fork();
    if (*pid < 0) return errno;
    if (*pid == 0) become(argv, without, p, mask, parent); /* untested: as above */
    (void)setpgid(*pid, *pid); /* both do it: whichever comes first */
    close_fd(&p->failed[1]);
    do got = read(p->failed[0], &trouble, sizeof trouble);
    while (got < 0 && errno == EINTR);
    if (got != (ssize_t)sizeof trouble) return 0;
    while (waitpid(*pid, NULL, 0) < 0 && errno == EINTR) continue;
    return trouble;
}

/* ---- the time it has ---- */

static long long now_ms(void)
{
    struct timespec t;

    clock_gettime(CLOCK_MONOTONIC, &t);
    return (long long)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

static int left_ms(long long until_ms)
{
    long long left = until_ms - now_ms();

    return left > 0 ? (int)left : 0;
}

/* Its pipes are closed: most have ended by then. true if it has; it is not yet taken off the list of processes, so that
 * its number still stands for its group. */
static bool has_ended(pid_t pid, long long until_ms)
{
    enum { FIRST_NAP_US = 200, LONGEST_NAP_US = 20000 };

    for (long nap_us = FIRST_NAP_US;; nap_us = nap_us < LONGEST_NAP_US ? 2 * nap_us : nap_us) {
        siginfo_t about = {.si_pid = 0};
        if (waitid(P_PID, (id_t)pid, &about, WEXITED | WNOWAIT | WNOHANG) < 0 && errno != EINTR) return true;
        if (about.si_pid == pid) return true;
        if (left_ms(until_ms) == 0) return false;
        (void)nanosleep(&(struct timespec){0, nap_us * 1000}, NULL);
    }
}

/* ---- what is said and heard ---- */

/* Takes what there is; closes *fd at its end. At most `most` bytes are kept, the rest is read and dropped. An errno
 * value. */
static int drain(int *fd, struct wr_str *into, size_t most, bool *too_much)
{
    char bytes[16384];
    ssize_t got = read(*fd, bytes, sizeof bytes);

    if (got < 0 && (errno == EINTR || errno == EAGAIN)) return 0;
    if (got < 0) return errno;
    if (got == 0) close_fd(fd);
    size_t n = (size_t)got;
    *too_much = n > most - into->len;
    if (*too_much) n = most - into->len;
    wr_str_add_bytes(into, bytes, n);
    return 0;
}

/* An errno value. */
static int feed(int *fd, const char **input, size_t *n_input)
{
    ssize_t wrote = *n_input ? write(*fd, *input, *n_input) : 0;

    if (wrote < 0 && (errno == EINTR || errno == EAGAIN)) return 0;
    if (wrote < 0 && errno != EPIPE) return errno;
    if (wrote > 0) {
        *input += wrote;
        *n_input -= (size_t)wrote;
    }
    if (wrote < 0 || *n_input == 0) close_fd(fd); /* it reads no more, or has it all */
    return 0;
}

struct exchange {
    struct pipes *p;
    const char *input; size_t n_input;
    size_t most_output;
    long long until_ms;
    struct wr_str *output, *complaint;
    bool too_long, too_much;
    int trouble; /* an errno value: the talk broke off */
};

static bool goes_on(const struct exchange *talk)
{
    const struct pipes *p = talk->p;

    return !talk->too_long && !talk->too_much && !talk->trouble
           && (p->in[1] >= 0 || p->out[0] >= 0 || p->complaint[0] >= 0);
}

/* Guarded: short of memory it ends before the child does, which is then killed. */
static enum wr_status exchange(void *arg, struct wr_error *err)
{
    struct exchange *talk = arg;
    struct pipes *p = talk->p;
    bool cut_short;

    (void)err;
    while (goes_on(talk)) {
        struct pollfd ready[] = {
            {p->in[1], POLLOUT, 0}, {p->out[0], POLLIN, 0}, {p->complaint[0], POLLIN, 0}, /* -1 is passed over */
        };
        int n = poll(ready, 3, left_ms(talk->until_ms));
        if (n < 0 && errno == EINTR) continue;
        if (n < 0) talk->trouble = errno;
        if (n == 0) talk->too_long = true;
        if (n <= 0) break;
        if (ready[0].revents) talk->trouble = feed(&p->in[1], &talk->input, &talk->n_input);
        if (ready[1].revents && !talk->trouble)
            talk->trouble = drain(&p->out[0], talk->output, talk->most_output, &talk->too_much);
        if (ready[2].revents && !talk->trouble)
            talk->trouble = drain(&p->complaint[0], talk->complaint, COMPLAINT_ROOM, &cut_short);
        if (left_ms(talk->until_ms) == 0) talk->too_long = goes_on(talk);
    }
    return WR_OK;
}

/* What it said on its standard error, on one line and cut short. */
static void add_complaint(struct wr_str *message, const struct wr_str *complaint)
{
    size_t n = complaint->len < SHOWN_COMPLAINT ? complaint->len : SHOWN_COMPLAINT;
    bool blank = true;

    if (n) wr_str_add(message, ": ");
    for (size_t i = 0; i < n; i++) {
        char c = complaint->text[i];
        bool is_blank = c == '\n' || c == '\r' || c == '\t' || c == ' ' || c == '\0';
        if (!is_blank) wr_str_add_char(message, c);
        else if (!blank) wr_str_add_char(message, ' ');
        blank = is_blank;
    }
}

static enum wr_status judge(const char *program, int state, const struct wr_str *complaint, struct wr_error *err)
{
    WR_SCOPED_STR message = {0};

    if (WIFEXITED(state) && WEXITSTATUS(state) == 0) return WR_OK;
    if (WIFSIGNALED(state)) wr_str_addf(&message, "%s was killed by signal %d", program, WTERMSIG(state));
    else wr_str_addf(&message, "%s ended with status %d", program, WEXITSTATUS(state));
    add_complaint(&message, complaint);
    return wr_fail(err, WR_E_CHILD, "%s", message.text);
}

/* Nothing that it started outlives it. */
static int end_it(pid_t pid)
{
    int state = 0;

    (void)kill(-pid, SIGKILL);
    while (waitpid(pid, &state, 0) < 0 && errno == EINTR) continue;
    return state;
}

static enum wr_status cannot_run(const char *program, int trouble, struct wr_error *err)
{
    bool missing = trouble == ENOENT || trouble == EACCES || trouble == ENOEXEC || trouble == ENOTDIR;

    return wr_fail(err, missing ? WR_E_NO_PROGRAM : WR_E_CHILD, "%s cannot be run: %s%s%s", program, strerror(trouble),
                   missing ? ": install " : "", missing ? program : "");
}

static enum wr_status run(char *const argv[], const char *input, size_t n_input, const struct wr_child_bounds *bounds,
                          const sigset_t *mask, struct wr_str *output, struct wr_error *err)
{
    struct pipes p;
    WR_SCOPED_STR complaint = {0};
    pid_t pid = -1;

    int trouble = open_pipes(&p) ? start(argv, bounds->without, &p, mask, &pid) : errno;
    if (trouble) {
        close_pipes(&p);
        return cannot_run(argv[0], trouble, err);
    }
    close_fd(&p.in[0]);
    close_fd(&p.out[1]);
    close_fd(&p.complaint[1]);
    (void)fcntl(p.in[1], F_SETFL, O_NONBLOCK); /* more may be ready to write than the pipe takes */
    struct exchange talk = {
        &p,    input, n_input, bounds->most_output, now_ms() + 1000LL * bounds->seconds, output, &complaint,
        false, false, 0};
    enum wr_status status = wr_guard(wr_pool_in_use(), exchange, &talk, err);
    close_pipes(&p);
    bool finished = !status && !talk.too_long && !talk.too_much && !talk.trouble;
    if (finished) talk.too_long = !has_ended(pid, talk.until_ms);
    int state = end_it(pid);
    if (status == WR_OK && talk.too_long)
        status = wr_fail(err, WR_E_CHILD_HUNG, "%s did not end within %u s and was stopped", argv[0], bounds->seconds);
    else if (status == WR_OK && talk.too_much)
        status =
            wr_fail(err, WR_E_CHILD, "%s gave more than %zu MB and was stopped", argv[0], bounds->most_output >> 20);
    else if (status == WR_OK && talk.trouble)
        status = wr_fail(err, WR_E_CHILD, "no talking to %s: %s", argv[0], strerror(talk.trouble));
    else if (status == WR_OK) status = judge(argv[0], state, &complaint, err);
    return status;
}

enum wr_status wr_child_run(char *const argv[], const char *input, size_t n_input, const struct wr_child_bounds *bounds,
                            struct wr_str *output, struct wr_error *err)
{
    struct quiet_write quiet;

    quiet_write_begin(&quiet);
    enum wr_status status = run(argv, input, n_input, bounds, &quiet.before, output, err);
    quiet_write_end(&quiet);
    return status;
}
