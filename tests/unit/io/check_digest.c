/* Expected digests: FIPS 180-4 example messages ("abc" and the 448-bit one; values also given by sha256sum and
 * `openssl dgst -binary | base64`). */
#include <check.h>
#include <string.h>
#include "wetrun/io/digest.h"

static const struct {
    const char *message, *hex, *base64;
} example[] = {
    {"abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
     "ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0="},
    {"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
     "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
     "JI1qYdIGOLjlwCaTDD5gOaM85Flk/yFn9uzt1BnbBsE="},
    {"", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
     "47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU="},
};

START_TEST(published_messages)
{
    char hex[WR_SHA256_HEX], base64[WR_SHA256_BASE64];

    for (size_t i = 0; i < sizeof example / sizeof *example; i++) {
        wr_sha256_hex(example[i].message, strlen(example[i].message), hex);
        wr_sha256_base64(example[i].message, strlen(example[i].message), base64);
        ck_assert_str_eq(hex, example[i].hex);
        ck_assert_str_eq(base64, example[i].base64);
    }
}
END_TEST

START_TEST(a_long_message)
{
    static char million[1000000];
    char hex[WR_SHA256_HEX];

    memset(million, 'a', sizeof million); /* FIPS 180-4's long message */
    wr_sha256_hex(million, sizeof million, hex);
    ck_assert_str_eq(hex, "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}
END_TEST

Suite *suite_digest(void);
Suite *suite_digest(void)
{
    Suite *s = suite_create("digest");
    TCase *t = tcase_create("digest");

    tcase_add_test(t, published_messages);
    tcase_add_test(t, a_long_message);
    suite_add_tcase(s, t);
    return s;
}
