/* Text files: read once, recoded, their checksum that of the bytes on the disk. */
#include <check.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>
#include "wetrun/io/text_file.h"

static void expect(const char *bytes, size_t n, const char *text, bool utf16, bool cr_ends)
{
    struct wr_text t;

    wr_text_take(&t, bytes, n);
    ck_assert_str_eq(t.bytes, text);
    ck_assert_uint_eq(t.n, strlen(text));
    ck_assert_int_eq(t.was_utf16, utf16);
    ck_assert_int_eq(t.had_cr_ends, cr_ends);
    wr_text_release(&t);
}

/* The two words of RFC 2781, section 4.5: "*=Ra" is "=Ra" with U+12345 before it. */
START_TEST(utf16_by_its_mark)
{
    static const char big[] = "\xfe\xff\xd8\x08\xdf\x45\x00\x3d\x00\x52\x00\x61";
    static const char little[] = "\xff\xfe\x08\xd8\x45\xdf\x3d\x00\x52\x00\x61\x00";

    expect(big, sizeof big - 1, "\xf0\x92\x8d\x85=Ra", true, false);
    expect(little, sizeof little - 1, "\xf0\x92\x8d\x85=Ra", true, false);
}
END_TEST

START_TEST(utf16_without_a_mark)
{
    expect("r\0u\0n\0\n\0", 8, "run\n", true, false);
    expect("\0r\0u\0n\0\n", 8, "run\n", true, false);
}
END_TEST

START_TEST(halves_of_pairs_are_marked)
{
    expect("\xff\xfe\x08\xd8x\0", 6, "\xef\xbf\xbdx", true, false);
    expect("\xff\xfe\x45\xdfx\0y", 7, "\xef\xbf\xbdx\xef\xbf\xbd", true, false);
}
END_TEST

/* RFC 3629 (Yergeau, 2003), section 7: "A<NOT IDENTICAL TO><ALPHA>." is 41 E2 89 A2 CE 91 2E. */
START_TEST(utf16_of_every_length)
{
    expect("\xff\xfe\x41\0\x62\x22\x91\x03\x2e\0", 10, "A\xe2\x89\xa2\xce\x91.", true, false);
    expect("\xfe\xff\xd8\x08", 4, "\xef\xbf\xbd", true, false);                     /* half a pair is all there is */
    expect("\xfe\xff\xd8\x08\xe0\x01", 6, "\xef\xbf\xbd\xee\x80\x81", true, false); /* its other half is none */
}
END_TEST

/* One zero byte among two letters is no sign of UTF-16. */
START_TEST(other_bytes_stay)
{
    static const struct {
        const char *bytes;
        size_t n;
    } same[] = {{"\xff", 1},  {"\xff\xff", 2}, {"\xfe\xfe", 2}, {"a\0b", 3},     {"a\0bc", 4}, {"a\0\0\0", 4},
                {"\0abc", 4}, {"\0a\0\0", 4},  {"\0abc", 4},    {"\0\0\0\0", 4}, {"\0a\0", 3}};

    for (size_t i = 0; i < sizeof same / sizeof *same; i++) {
        struct wr_text t;
        wr_text_take(&t, same[i].bytes, same[i].n);
        ck_assert_msg(t.n == same[i].n && memcmp(t.bytes, same[i].bytes, t.n) == 0 && !t.was_utf16, "text %zu", i);
        wr_text_release(&t);
    }
}
END_TEST

START_TEST(carriage_returns_as_line_ends)
{
    expect("a,b\r1,2\r", 8, "a,b\n1,2\n", false, true);
    expect("a\rb\n", 4, "a\nb\n", false, true); /* a line feed that an editor added at the end */
    expect("a\r\nb\rc\n", 7, "a\r\nb\nc\n", false, true);
    expect("a\r\r\nb\n", 6, "a\r\r\nb\n", false, false);
    expect("\"a\rb\"\r\nc\n", 9, "\"a\rb\"\r\nc\n", false, false);
    expect("\"a\rb\"\rc\n", 8, "\"a\rb\"\nc\n", false, true);
    expect("", 0, "", false, false);
}
END_TEST

/* SHA-256 of "abc": FIPS 180-4, example of the one-block message. */
START_TEST(the_checksum_is_of_the_file_as_it_was)
{
    struct wr_text t;

    char was[WR_SHA256_HEX];

    wr_text_take(&t, "abc", 3);
    ck_assert_str_eq(wr_text_sha256(&t), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    wr_text_release(&t);
    wr_text_take(&t, "a\rb\r", 4); /* mended */
    wr_sha256_hex("a\rb\r", 4, was);
    ck_assert_str_eq(wr_text_sha256(&t), was);
    wr_text_release(&t);
    wr_text_take(&t, "\xff\xfe" "a\0", 4); /* recoded */
    wr_sha256_hex("\xff\xfe" "a\0", 4, was);
    ck_assert_str_eq(wr_text_sha256(&t), was);
    wr_text_release(&t);
}
END_TEST

START_TEST(files)
{
    char path[] = "/tmp/wetrun-check-XXXXXX";
    struct wr_text t;
    struct wr_error err;
    int fd = mkstemp(path);

    ck_assert_int_eq(write(fd, "run\n", 4), 4);
    close(fd);
    ck_assert_int_eq(wr_text_read(&t, path, &err), WR_OK);
    ck_assert_str_eq(t.bytes, "run\n");
    wr_text_release(&t);
    unlink(path);
    ck_assert_int_eq(wr_text_read(&t, path, &err), WR_E_INPUT);
    ck_assert_ptr_nonnull(strstr(err.text, path));
    ck_assert_ptr_nonnull(strstr(err.text, "No such file"));
    ck_assert_int_eq(wr_text_read(&t, "/", &err), WR_E_INPUT); /* a folder */
    ck_assert_int_eq(wr_text_read(&t, "/dev/null", &err), WR_OK);
    ck_assert_uint_eq(t.n, 0);
    wr_text_release(&t);
}
END_TEST

START_TEST(what_never_ends_is_not_read)
{
    struct wr_text t;
    struct wr_error err;

    ck_assert_int_eq(wr_text_read(&t, "/dev/zero", &err), WR_E_INPUT);
    ck_assert_ptr_nonnull(strstr(err.text, "longer than the 256 MiB"));
    ck_assert_ptr_null(t.bytes);
}
END_TEST

/* By its own name, by a link, by another name; not a copy, and not what stands there now in its place. */
START_TEST(which_file_it_was)
{
    char folder[] = "/tmp/wetrun-check-XXXXXX", path[64], other[64];
    struct wr_text t;
    struct wr_error err;

    ck_assert_ptr_nonnull(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/a", folder);
    snprintf(other, sizeof other, "%s/b", folder);
    int fd = open(path, O_WRONLY | O_CREAT, 0600);
    ck_assert_int_eq(write(fd, "run\n", 4), 4);
    close(fd);
    ck_assert_int_eq(wr_text_read(&t, path, &err), WR_OK);
    ck_assert(wr_text_is_from(&t, path) && !wr_text_is_from(&t, other));
    ck_assert_int_eq(symlink(path, other), 0);
    ck_assert(wr_text_is_from(&t, other));
    unlink(other);
    ck_assert_int_eq(link(path, other), 0);
    unlink(path);
    ck_assert(wr_text_is_from(&t, other) && !wr_text_is_from(&t, path));
    wr_text_release(&t);
    unlink(other);
    rmdir(folder);
    ck_assert_int_eq(wr_text_read(&t, "/dev/null", &err), WR_OK);
    ck_assert(!wr_text_is_from(&t, "/dev/null")); /* to be read, and to be written to */
    wr_text_release(&t);
}
END_TEST

/* A pipe can be read once only, and comes in pieces. */
START_TEST(a_pipe_is_read_whole)
{
    char path[] = "/tmp/wetrun-check-XXXXXX", block[50000];
    struct wr_text t;

    close(mkstemp(path));
    unlink(path);
    ck_assert_int_eq(mkfifo(path, 0600), 0);
    memset(block, 'x', sizeof block);
    pid_t writer = fork();
    if (writer == 0) {
        int fd = open(path, O_WRONLY);
        for (int i = 0; i < 10; i++)
            if (write(fd, block, sizeof block) != (ssize_t)sizeof block) _exit(1);
        _exit(0);
    }
    ck_assert_int_eq(wr_text_read(&t, path, NULL), WR_OK);
    ck_assert_uint_eq(t.n, 10 * sizeof block);
    wr_text_release(&t);
    waitpid(writer, NULL, 0);
    unlink(path);
}
END_TEST

Suite *suite_text_file(void);
Suite *suite_text_file(void)
{
    Suite *s = suite_create("text_file");
    TCase *t = tcase_create("text_file");

    tcase_add_test(t, utf16_by_its_mark);
    tcase_add_test(t, utf16_without_a_mark);
    tcase_add_test(t, halves_of_pairs_are_marked);
    tcase_add_test(t, utf16_of_every_length);
    tcase_add_test(t, other_bytes_stay);
    tcase_add_test(t, carriage_returns_as_line_ends);
    tcase_add_test(t, the_checksum_is_of_the_file_as_it_was);
    tcase_add_test(t, files);
    tcase_add_test(t, what_never_ends_is_not_read);
    tcase_add_test(t, which_file_it_was);
    tcase_add_test(t, a_pipe_is_read_whole);
    suite_add_tcase(s, t);
    return s;
}
