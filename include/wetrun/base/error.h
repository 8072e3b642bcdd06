/* Status codes and the message that goes with one.
 *
 * Two channels for trouble. Oddities in the user's data are findings (campaign/findings.h), collected
 * without stopping. What stops a command is a status other than WR_OK plus a struct wr_error that
 * belongs to the caller and is left untouched on success. Only main.c turns a status into an exit code. */
#pragma once

#define WR_MUST_CHECK __attribute__((warn_unused_result))
#define WR_PRINTF(fmt, args) __attribute__((format(printf, fmt, args)))

/* name, exit class (2 usage, 3 input, 4 output, 5 the program itself; see wetrun(1)), text when nothing better is
 * known */
#define WR_STATUS_TABLE(ROW)                                                 \
    ROW(WR_OK, 0, "done")                                                    \
    ROW(WR_E_USAGE, 2, "wrong usage")                                        \
    ROW(WR_E_INPUT, 3, "input not usable")                                   \
    ROW(WR_E_DOMAIN, 3, "a value is outside what the method can take")       \
    ROW(WR_E_TOO_FEW, 3, "not enough data to say")                           \
    ROW(WR_E_NO_MAXIMUM, 3, "the likelihood has no maximum")                 \
    ROW(WR_E_NO_CONVERGE, 3, "the computation did not converge")             \
    ROW(WR_E_OUTPUT, 4, "something could not be written")                    \
    ROW(WR_E_NO_PROGRAM, 4, "a helper program is not installed")             \
    ROW(WR_E_CHILD, 4, "a helper program failed")                            \
    ROW(WR_E_CHILD_HUNG, 4, "a helper program did not end")                  \
    ROW(WR_E_MEMORY, 5, "out of memory")                                     \
    ROW(WR_E_BUG, 5, "internal error")

enum wr_status {
#define WR_STATUS_ENUM(name, exit_class, text) name,
    WR_STATUS_TABLE(WR_STATUS_ENUM)
#undef WR_STATUS_ENUM
};

struct wr_error {
    enum wr_status status;
    char text[1024]; /* one line, may hold bytes from user files: escape before showing */
};

/* Fills *err (which may be NULL) and returns status, so that a failing function can end in one line. */
enum wr_status wr_fail(struct wr_error *err, enum wr_status status, const char *fmt, ...) WR_PRINTF(3, 4);

/* Puts "what: " before the text that is already there: each caller on the way up may say what it was doing. */
void wr_error_prefix(struct wr_error *err, const char *fmt, ...) WR_PRINTF(2, 3);

const char *wr_status_name(enum wr_status status); /* "WR_E_INPUT" */
const char *wr_status_text(enum wr_status status);
int wr_status_exit_code(enum wr_status status);

/* A broken promise inside the program, never user input: in release builds too. Says where: a guarded call
 * (base/memory.h) returns WR_E_BUG, without a guard the process aborts. */
#define WR_BUG_IF(cond)                                  \
    do {                                                 \
        if (cond) wr_bug(__FILE__, __LINE__, #cond);     \
    } while (0)
/* A whole type's invariants, looked at wherever one was built: in builds for the sanitizers. */
#ifdef WR_CHECKED
#define WR_CHECK(call) (call)
#else
#define WR_CHECK(call) ((void)0)
#endif
__attribute__((noreturn, cold)) void wr_bug(const char *file, int line, const char *what);
