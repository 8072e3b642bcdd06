/* SHA-256 (FIPS 180-4) as lower-case hexadecimal or, of the raw 32 bytes, as base64 (RFC 4648) for content policies. */
#pragma once

#include <stddef.h>

enum { WR_SHA256_HEX = 65, WR_SHA256_BASE64 = 45 }; /* room, NUL included */

void wr_sha256_hex(const void *bytes, size_t n, char hex[WR_SHA256_HEX]);
void wr_sha256_base64(const void *bytes, size_t n, char base64[WR_SHA256_BASE64]);
