#include "wetrun/io/digest.h"

#include <sha2.h>
#include <string.h>

static void digest_of(const void *bytes, size_t n, uint8_t raw[SHA256_DIGEST_LENGTH])
{
    SHA2_CTX context;

    SHA256Init(&context);
    if (n) SHA256Update(&context, bytes, n);
    SHA256Final(raw, &context);
}

static void write_hex(const uint8_t raw[SHA256_DIGEST_LENGTH], char hex[WR_SHA256_HEX])
{
    static const char digit[] = "0123456789abcdef";

    for (size_t i = 0; i < SHA256_DIGEST_LENGTH; i++) {
        hex[2 * i] = digit[raw[i] >> 4];
        hex[2 * i + 1] = digit[raw[i] & 15];
    }
    hex[2 * SHA256_DIGEST_LENGTH] = '\0';
}

void wr_sha256_hex(const void *bytes, size_t n, char hex[WR_SHA256_HEX])
{
    uint8_t raw[SHA256_DIGEST_LENGTH];

    digest_of(bytes, n, raw);
    write_hex(raw, hex);
}

void wr_sha256_base64(const void *bytes, size_t n, char base64[WR_SHA256_BASE64])
{
    static const char letter[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    uint8_t raw[SHA256_DIGEST_LENGTH + 1] = {0};
    char *to = base64;

    digest_of(bytes, n, raw);
    for (size_t i = 0; i < SHA256_DIGEST_LENGTH; i += 3) { /* 32 bytes: ten threes and two more */
        uint32_t group = (uint32_t)raw[i] << 16 | (uint32_t)raw[i + 1] << 8 | (i + 2 < sizeof raw ? raw[i + 2] : 0u);
        for (int shift = 18; shift >= 0; shift -= 6) *to++ = letter[group >> shift & 63];
    }
    to[-1] = '=';
    *to = '\0';
}
