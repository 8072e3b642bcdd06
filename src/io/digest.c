#include "wetrun/io/digest.h"

#include <nettle/base16.h>
#include <nettle/base64.h>
#include <nettle/sha2.h>

static void digest_of(const void *bytes, size_t n, uint8_t raw[SHA256_DIGEST_SIZE])
{
    struct sha256_ctx context;

    sha256_init(&context);
    if (n) sha256_update(&context, n, bytes);
    sha256_digest(&context, SHA256_DIGEST_SIZE, raw);
}

void wr_sha256_hex(const void *bytes, size_t n, char hex[WR_SHA256_HEX])
{
    uint8_t raw[SHA256_DIGEST_SIZE];

    digest_of(bytes, n, raw);
    base16_encode_update(hex, SHA256_DIGEST_SIZE, raw);
    hex[WR_SHA256_HEX - 1] = '\0';
}

void wr_sha256_base64(const void *bytes, size_t n, char base64[WR_SHA256_BASE64])
{
    uint8_t raw[SHA256_DIGEST_SIZE];

    digest_of(bytes, n, raw);
    base64_encode_raw(base64, SHA256_DIGEST_SIZE, raw);
    base64[WR_SHA256_BASE64 - 1] = '\0';
}
