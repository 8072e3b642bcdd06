#include "wetrun/io/text_file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdint.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>
#include "wetrun/base/memory.h"

enum { FIRST_ROOM = 64 * 1024 };

/* ---- UTF-16 ---- */

static unsigned unit_at(const char *bytes, bool big)
{
    unsigned first = (unsigned char)bytes[0], second = (unsigned char)bytes[1];

    return big ? first << 8 | second : second << 8 | first;
}

static size_t put_utf8(char *to, uint32_t c)
{
    if (c < 0x80) {
        to[0] = (char)c;
        return 1;
    }
    if (c < 0x800) {
        to[0] = (char)(0xc0 | c >> 6);
        to[1] = (char)(0x80 | (c & 63));
        return 2;
    }
    if (c < 0x10000) {
        to[0] = (char)(0xe0 | c >> 12);
        to[1] = (char)(0x80 | (c >> 6 & 63));
        to[2] = (char)(0x80 | (c & 63));
        return 3;
    }
    to[0] = (char)(0xf0 | c >> 18);
    to[1] = (char)(0x80 | (c >> 12 & 63));
    to[2] = (char)(0x80 | (c >> 6 & 63));
    to[3] = (char)(0x80 | (c & 63));
    return 4;
}

const char *wr_text_sha256(struct wr_text *text)
{
    if (!*text->sha256) wr_sha256_hex(text->bytes, text->n, text->sha256);
    return text->sha256;
}

/* RFC 2781 (Hoffman and Yergeau, 2000), section 2.2. A lone surrogate and a last odd byte become U+FFFD. */
static void recode_utf16(struct wr_text *text, size_t skip, bool big)
{
    char *from = text->bytes, *to = wr_alloc(text->n / 2 * 3 + 4, 1);
    size_t n = 0, i = skip;

    (void)wr_text_sha256(text); /* of the bytes as they were */
    for (; i + 1 < text->n; i += 2) {
        uint32_t c = unit_at(from + i, big);
        if (c >= 0xd800 && c < 0xdc00 && i + 3 < text->n) {
            uint32_t low = unit_at(from + i + 2, big);
            if (low >= 0xdc00 && low < 0xe000) {
                c = 0x10000 + ((c - 0xd800) << 10) + (low - 0xdc00);
                i += 2;
            }
        }
        n += put_utf8(to + n, c >= 0xd800 && c < 0xe000 ? 0xfffd : c);
    }
    if (i < text->n) n += put_utf8(to + n, 0xfffd);
    to[n] = '\0';
    wr_free(from);
    text->bytes = to;
    text->n = n;
    text->was_utf16 = true;
}

/* With a byte-order mark, or by its first two letters, one byte of each being nothing. */
static void recode(struct wr_text *text)
{
    const unsigned char *b = (const unsigned char *)text->bytes;

    if (text->n < 2) return;
    if (b[0] == 0xff && b[1] == 0xfe) recode_utf16(text, 2, false);
    else if (b[0] == 0xfe && b[1] == 0xff) recode_utf16(text, 2, true);
    else if (text->n >= 4 && b[0] && !b[1] && b[2] && !b[3]) recode_utf16(text, 0, false);
    else if (text->n >= 4 && !b[0] && b[1] && !b[2] && b[3]) recode_utf16(text, 0, true);
}

/* Lines that end in a carriage return alone, all of them or those of a part that was pasted in. Beside line feeds one
 * within quotes is text, and one or more before a line feed belong to it. */
static void mend_line_ends(struct wr_text *text)
{
    const char *end = text->bytes + text->n, *looked = text->bytes;
    bool has_feeds = memchr(text->bytes, '\n', text->n), quoted = false;

    for (char *at = text->bytes; (at = memchr(at, '\r', (size_t)(end - at)));) {
        char *last = at;
        while (last < end && *last == '\r') last++;
        if (last == end || *last != '\n') {
            for (; has_feeds && looked < at; looked++) quoted ^= *looked == '"';
            if (!quoted) {
                (void)wr_text_sha256(text); /* of the bytes as they were */
                memset(at, '\n', (size_t)(last - at));
                text->had_cr_ends = true;
            }
        }
        at = last;
    }
}

static void make_ready(struct wr_text *text)
{
    recode(text);
    mend_line_ends(text);
}

void wr_text_take(struct wr_text *text, const char *bytes, size_t n)
{
    *text = (struct wr_text){.bytes = wr_alloc(n + 1, 1), .n = n};
    if (n) memcpy(text->bytes, bytes, n);
    make_ready(text);
}

/* ---- the file ---- */

struct reading { struct wr_text *text; int fd; size_t room; };

static enum wr_status read_all(void *arg, struct wr_error *err)
{
    struct wr_text *text = ((struct reading *)arg)->text;
    int fd = ((struct reading *)arg)->fd;
    size_t room = ((struct reading *)arg)->room;
    ssize_t got;

    text->bytes = wr_alloc(room + 1, 1);
    for (;;) {
        if (text->n > WR_TEXT_MOST)
            return wr_fail(err, WR_E_INPUT, "is longer than the %zu MiB that are read: name a table",
                           WR_TEXT_MOST >> 20);
        if (text->n == room) {
            room *= 2;
            text->bytes = wr_realloc(text->bytes, room + 1, 1);
        }
        do got = read(fd, text->bytes + text->n, room - text->n);
        while (got < 0 && errno == EINTR);
        if (got < 0)
            return wr_fail(err, WR_E_INPUT, "cannot be read: %s%s", strerror(errno),
                           errno == EISDIR ? " (name a file in it)" : "");
        if (got == 0) break;
        text->n += (size_t)got;
    }
    text->bytes[text->n] = '\0';
    return WR_OK;
}

enum wr_status wr_text_read(struct wr_text *text, const char *path, struct wr_error *err)
{
    struct stat file;
    size_t size = 0;
    int fd;

    *text = (struct wr_text){0};
    do fd = open(path, O_RDONLY | O_CLOEXEC);
    while (fd < 0 && errno == EINTR);
    if (fd < 0) {
        int trouble = errno;
        return wr_fail(err, WR_E_INPUT, "%s: cannot be opened: %s%s", path, strerror(trouble),
                       trouble == ENOENT || trouble == ENOTDIR ? " (write the name of a file that is there)"
                       : trouble == EACCES                    ? " (it may not be read by you: `chmod u+r` allows it)"
                                                              : "");
    }
    if (fstat(fd, &file) == 0 && S_ISREG(file.st_mode)) {
        size = (size_t)file.st_size < WR_TEXT_MOST ? (size_t)file.st_size : WR_TEXT_MOST;
        text->is_file = true;
        text->device = file.st_dev;
        text->node = file.st_ino;
    }
    struct reading reading = {text, fd, size + FIRST_ROOM};
    enum wr_status status = wr_guard(wr_pool_in_use(), read_all, &reading, err);
    close(fd);
    if (status == WR_OK) {
        make_ready(text);
        return WR_OK;
    }
    wr_error_prefix(err, "%s", path);
    wr_text_release(text);
    return status;
}

bool wr_text_is_from(const struct wr_text *text, const char *path)
{
    struct stat there;

    return text->is_file && stat(path, &there) == 0 && there.st_dev == text->device && there.st_ino == text->node;
}

void wr_text_release(struct wr_text *text)
{
    wr_free(text->bytes);
    *text = (struct wr_text){0};
}
