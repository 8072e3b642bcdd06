#include "wetrun/io/child.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <stdbool.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>
#include "quiet_pipe.h"
#include "wetrun/base/memory.h"

enum { COMPLAINT_ROOM = 4096, SHOWN_COMPLAINT = 400 };

extern char **environ;

struct pipes {
    int in[2], out[2], complaint[2]; /* [0] to read from, [1] to write to */
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
    }
}

static bool open_pipes(struct pipes *p)
{
    *p = (struct pipes){{-1, -1}, {-1, -1}, {-1, -1}};
    return pipe2(p->in, O_CLOEXEC) == 0 && pipe2(p->out, O_CLOEXEC) == 0 && pipe2(p->complaint, O_CLOEXEC) == 0;
}

/* The child's ends become its 0, 1 and 2; all else is closed on exec. An errno value, 0 when it runs. */
static int spawn(char *const argv[], const struct pipes *p, const sigset_t *mask, pid_t *pid)
{
    posix_spawn_file_actions_t actions;
    posix_spawnattr_t attributes;
    sigset_t by_default;

    int trouble = posix_spawn_file_actions_init(&actions);
    if (trouble) return trouble;
    trouble = posix_spawnattr_init(&attributes);
    if (trouble) {
        posix_spawn_file_actions_destroy(&actions);
        return trouble;
    }
    sigemptyset(&by_default);
    sigaddset(&by_default, SIGPIPE);
    (void)posix_spawnattr_setsigdefault(&attributes, &by_default);
    (void)posix_spawnattr_setsigmask(&attributes, mask);
    (void)posix_spawnattr_setflags(&attributes, POSIX_SPAWN_SETSIGMASK | POSIX_SPAWN_SETSIGDEF);
    trouble = posix_spawn_file_actions_adddup2(&actions, p->in[0], 0);
    if (!trouble) trouble = posix_spawn_file_actions_adddup2(&actions, p->out[1], 1);
    if (!trouble) trouble = posix_spawn_file_actions_adddup2(&actions, p->complaint[1], 2);
    if (!trouble) trouble = posix_spawnp(pid, argv[0], &actions, &attributes, argv, environ);
    posix_spawn_file_actions_destroy(&actions);
    posix_spawnattr_destroy(&attributes);
    return trouble;
}

/* Takes what there is; closes *fd at its end. At most `most` bytes are kept, the rest is read and dropped. */
static void drain(int *fd, struct wr_str *into, size_t most)
{
    char bytes[16384];
    ssize_t got = read(*fd, bytes, sizeof bytes);

    if (got < 0 && (errno == EINTR || errno == EAGAIN)) return;
    if (got <= 0) {
        close_fd(fd);
        return;
    }
    size_t n = (size_t)got;
    if (into->len + n > most) n = most - into->len;
    wr_str_add_bytes(into, bytes, n);
}

static void feed(int *fd, const char **input, size_t *n_input)
{
    ssize_t wrote = *n_input ? write(*fd, *input, *n_input) : 0;

    if (wrote < 0 && (errno == EINTR || errno == EAGAIN)) return;
    if (wrote > 0) {
        *input += wrote;
        *n_input -= (size_t)wrote;
    }
    if (wrote < 0 || *n_input == 0) close_fd(fd); /* it reads no more, or has it all */
}

struct exchange {
    struct pipes *p;
    const char *input; size_t n_input;
    struct wr_str *output, *complaint;
};

/* Guarded: short of memory it ends before the child does, which then finds its pipes closed. */
static enum wr_status exchange(void *arg, struct wr_error *err)
{
    struct exchange *talk = arg;
    struct pipes *p = talk->p;

    (void)err;
    while (p->in[1] >= 0 || p->out[0] >= 0 || p->complaint[0] >= 0) {
        struct pollfd ready[] = {
            {p->in[1], POLLOUT, 0}, {p->out[0], POLLIN, 0}, {p->complaint[0], POLLIN, 0}, /* -1 is passed over */
        };
        if (poll(ready, 3, -1) < 0) {
            if (errno == EINTR) continue;
            break;
        }
        if (ready[0].revents) feed(&p->in[1], &talk->input, &talk->n_input);
        if (ready[1].revents) drain(&p->out[0], talk->output, (size_t)-1 / 2);
        if (ready[2].revents) drain(&p->complaint[0], talk->complaint, COMPLAINT_ROOM);
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
    struct wr_str message = {0};

    if (WIFEXITED(state) && WEXITSTATUS(state) == 0) return WR_OK;
    if (WIFSIGNALED(state)) wr_str_addf(&message, "%s was killed by signal %d", program, WTERMSIG(state));
    else wr_str_addf(&message, "%s ended with status %d", program, WEXITSTATUS(state));
    add_complaint(&message, complaint);
    enum wr_status status = wr_fail(err, WR_E_CHILD, "%s", message.text);
    wr_str_release(&message);
    return status;
}

static enum wr_status run(char *const argv[], const char *input, size_t n_input, const sigset_t *mask,
                          struct wr_str *output, struct wr_error *err)
{
    struct pipes p;
    struct wr_str complaint = {0};
    pid_t pid;
    int state = 0;

    int trouble = open_pipes(&p) ? spawn(argv, &p, mask, &pid) : errno;
    if (trouble) {
        close_pipes(&p);
        bool missing = trouble == ENOENT || trouble == EACCES || trouble == ENOEXEC || trouble == ENOTDIR;
        return wr_fail(err, missing ? WR_E_NO_PROGRAM : WR_E_CHILD, "%s cannot be run: %s", argv[0], strerror(trouble));
    }
    close_fd(&p.in[0]);
    close_fd(&p.out[1]);
    close_fd(&p.complaint[1]);
    (void)fcntl(p.in[1], F_SETFL, O_NONBLOCK); /* more may be ready to write than the pipe takes */
    struct exchange talk = {&p, input, n_input, output, &complaint};
    enum wr_status status = wr_guard(wr_pool_in_use(), exchange, &talk, err);
    close_pipes(&p);
    while (waitpid(pid, &state, 0) < 0 && errno == EINTR) continue;
    if (!status) status = judge(argv[0], state, &complaint, err);
    wr_str_release(&complaint);
    return status;
}

enum wr_status wr_child_run(char *const argv[], const char *input, size_t n_input, struct wr_str *output,
                            struct wr_error *err)
{
    struct quiet_pipe quiet;

    quiet_pipe_begin(&quiet);
    enum wr_status status = run(argv, input, n_input, &quiet.before, output, err);
    quiet_pipe_end(&quiet);
    return status;
}
