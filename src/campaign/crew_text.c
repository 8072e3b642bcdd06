#include "crew_text.h"

#include <string.h>
#include <strings.h>
#include "wetrun/campaign/near_name.h"

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

/* ---- two lanes that nothing joins ---- */

static bool is_of_a_name(char c)
{
    return ((c | 32) >= 'a' && (c | 32) <= 'z') || (c >= '0' && c <= '9');
}

/* What stands between two known lanes: EV1 EV2, EV1-EV2, EV1 or EV2, EV1EV2 are hardly a third one. 12 beside 1 and 2,
 * or IV beside I and V, may well be, and a letter just behind a name goes on with it. */
static bool find_gap(const struct crew_lanes *lanes, const char *crew, size_t len, size_t *begin, size_t *end)
{
    enum { LONGEST = 100 };

    if (len > LONGEST) return false;
    for (*begin = 1; *begin < len; ++*begin) {
        uint32_t first = wr_names_find(&lanes->name, crew, *begin);
        for (*end = *begin; first != WR_NO_NAME && *end < len; ++*end) {
            uint32_t second = wr_names_find(&lanes->name, crew + *end, len - *end);
            if (second == WR_NO_NAME || second == first) continue;
            if (*begin == *end) return strspn(crew, "0123456789") < len && strspn(crew, "IVX") < len;
            if (!is_of_a_name(crew[*begin]) && !is_of_a_name(crew[*end - 1])) return true;
        }
    }
    return false;
}

static bool crew_unjoined(const struct crew_lanes *lanes, const char *crew, struct wr_str *plain, const char **trouble)
{
    WR_SCOPED_STR between = {0};
    size_t len = strlen(crew), begin, end;

    wr_str_add(plain, crew);
    if (lanes->are_people || strchr(crew, '+') || !find_gap(lanes, crew, len, &begin, &end)) return true;
    *trouble = "one lane of that name, or two? write one lane, or two joined by +";
    wr_fold_name(&between, crew + begin, end - begin);
    if (begin == end || between.text[strspn(between.text, "-")]) return false;
    wr_str_clear(plain);
    wr_str_add_bytes(plain, crew, begin);
    wr_str_add_char(plain, '+');
    wr_str_add(plain, crew + end);
    return true;
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

/* Returns how many. */
static size_t join_all(const struct crew_lanes *lanes, struct wr_str *plain)
{
    size_t n = 0, begin, end;

    for (size_t i = 0; i < lanes->name.n_name; i++) {
        const struct wr_name *name = &lanes->name.name[i];
        if (!find_gap(lanes, name->text, name->len, &begin, &end))
            wr_str_addf(plain, "%s%s", n++ ? "+" : "", name->text);
    }
    return n;
}

bool crew_plain(const struct crew_lanes *lanes, const char *crew, struct wr_str *plain, const char **trouble)
{
    struct joining j = {lanes, plain, 0};

    wr_str_clear(plain);
    bool both = means_both(crew);
    if (both || means_all(crew)) {
        *trouble = both ? "which two lanes are both? write them joined by +"
                        : "no row names a lane alone: which are all? write them joined by +";
        size_t n = join_all(lanes, plain);
        return both ? n == 2 : n > 0;
    }
    if (!crew_has_other_joiner(crew)) return crew_unjoined(lanes, crew, plain, trouble);
    *trouble = "one lane of that name, or several? write several joined by +, and one without these signs";
    crew_parts(crew, true, join_part, &j);
    return j.n_known > 0;
}

bool crew_learn_joined(struct crew_lanes *lanes, const char *crew)
{
    WR_SCOPED_STR plain = {0};
    const char *trouble;
    size_t n_before = lanes->name.n_name;

    if (crew_has_other_joiner(crew) && crew_plain(lanes, crew, &plain, &trouble)) crew_learn(lanes, plain.text);
    return lanes->name.n_name > n_before;
}
