#include "crew_text.h"

#include <string.h>
#include <strings.h>

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

/* The length of what joins two lanes at this place, or 0. */
static size_t joiner_at(const char *crew, const char *at, bool any)
{
    if (*at == '+') return 1;
    if (!any) return 0;
    if (*at == '&' || *at == '/' || *at == ',' || *at == ';') return 1;
    if (*at == '\n') return 1;
    if (at > crew && is_blank(at[-1]) && strncasecmp(at, "and", 3) == 0 && is_blank(at[3])) return 3;
    if (at > crew && is_blank(at[-1]) && strncasecmp(at, "with", 4) == 0 && is_blank(at[4])) return 4;
    return 0;
}

void crew_parts(const char *crew, bool any_joiner, crew_part_fn *fn, void *arg)
{
    const char *begin = crew;

    for (const char *at = crew;; at++) {
        size_t join = *at ? joiner_at(crew, at, any_joiner) : 0;
        if (*at && !join) continue;
        const char *end = at;
        wr_trim(&begin, &end);
        fn(arg, begin, (size_t)(end - begin));
        if (!*at) return;
        at += join - 1;
        begin = at + 1;
    }
}

static bool crew_has_other_joiner(const char *crew)
{
    for (const char *at = crew; *at; at++)
        if (*at != '+' && joiner_at(crew, at, true)) return true;
    return false;
}

bool crews_may_share_a_lane(const char *a, const char *b)
{
    return !a[0] || !b[0] || strcmp(a, b) == 0 || strchr(a, '+') || strchr(b, '+');
}

static bool means_both(const char *crew)
{
    return strcasecmp(crew, "both") == 0;
}

static bool means_all(const char *crew)
{
    return strcasecmp(crew, "all") == 0 || strcasecmp(crew, "everybody") == 0;
}

bool crew_means_group(const char *crew)
{
    return means_both(crew) || means_all(crew);
}

static void learn_part(void *arg, const char *part, size_t len)
{
    struct crew_lanes *lanes = arg;

    if (len) wr_names_add(&lanes->name, &lanes->text, part, len);
}

void crew_learn(struct crew_lanes *lanes, const char *crew)
{
    if (crew[0] && !crew_has_other_joiner(crew) && !crew_means_group(crew))
        crew_parts(crew, false, learn_part, lanes);
}

void crew_lanes_release(struct crew_lanes *lanes)
{
    wr_names_release(&lanes->name);
    wr_arena_release(&lanes->text);
    *lanes = (struct crew_lanes){0};
}

struct joining {
    const struct crew_lanes *lanes;
    struct wr_str *out;
    size_t n_known;
};

static void join_part(void *arg, const char *part, size_t len)
{
    struct joining *j = arg;

    if (j->out->len) wr_str_add_char(j->out, '+');
    wr_str_add_bytes(j->out, part, len);
    j->n_known += wr_names_find(&j->lanes->name, part, len) != WR_NO_NAME;
}

static bool join_all(const struct crew_lanes *lanes, struct wr_str *plain)
{
    for (size_t i = 0; i < lanes->name.n_name; i++)
        wr_str_addf(plain, "%s%s", i ? "+" : "", lanes->name.name[i].text);
    return lanes->name.n_name > 0;
}

bool crew_plain(const struct crew_lanes *lanes, const char *crew, struct wr_str *plain, const char **trouble)
{
    struct joining j = {lanes, plain, 0};

    wr_str_clear(plain);
    bool both = means_both(crew);
    if (both || means_all(crew)) {
        *trouble = both ? "which two lanes are both? write them joined by +"
                        : "no row names a lane alone: which are all? write them joined by +";
        return (!both || lanes->name.n_name == 2) && join_all(lanes, plain);
    }
    if (!crew_has_other_joiner(crew)) {
        wr_str_add(plain, crew);
        return true;
    }
    *trouble = "one lane of that name, or several? write several joined by +, and one without these signs";
    crew_parts(crew, true, join_part, &j);
    return j.n_known > 0;
}
