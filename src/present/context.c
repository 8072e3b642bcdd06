#include "wetrun/present/context.h"

#include "wetrun/present/words.h"

void wr_context_headline(const struct wr_present_context *ctx, const char *what, struct wr_str *out)
{
    char b[WR_WORDS];

    if (ctx->campaign && *ctx->campaign) wr_str_addf(out, "%s: ", ctx->campaign);
    wr_str_add(out, what);
    if (ctx->has_target) wr_str_addf(out, " of %s", wr_target_words(ctx->target));
    if (ctx->n_run > 0)
        wr_str_addf(out, ", from %s rehearsal%s", wr_count_words(ctx->n_run, b), ctx->n_run == 1 ? "" : "s");
}
