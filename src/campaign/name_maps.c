#include "name_maps.h"

#include <string.h>
#include "crew_text.h"
#include "wetrun/campaign/near_name.h"
#include "wetrun/campaign/plan.h"

enum { MOST_REPORTED = 20 };

/* Names of one kind, each with the spelling that stands for it. */
struct group { /* of names that are one but for case and blanks */
    const char *stands;  /* NULL: not known yet */
    size_t most;         /* how often that spelling is used */
    bool given;          /* by the plan or names.csv */
    bool reported;
};

struct kind {
    const char *what; /* "run" */
    bool is_person;
    struct wr_names folded;
    struct group *group;
    size_t room;
};

struct deciding {
    struct log_survey *survey;
    const struct name_counts *count;
    const struct wr_log_options *options;
    struct wr_findings *findings;
    struct wr_error *err;
    struct wr_str fold, text;
    size_t n_error;
};

static struct group *group_of(struct deciding *d, struct kind *kind, const char *name, size_t len)
{
    wr_str_clear(&d->fold);
    wr_fold_name(&d->fold, name, len);
    uint32_t i = wr_names_add(&kind->folded, &d->survey->text, wr_str_text(&d->fold), d->fold.len);
    if (i >= kind->room) {
        size_t room = kind->room ? 2 * kind->room : 64;
        kind->group = wr_realloc(kind->group, room, sizeof *kind->group);
        memset(kind->group + kind->room, 0, (room - kind->room) * sizeof *kind->group);
        kind->room = room;
    }
    return &kind->group[i];
}

static void report(struct deciding *d, const char *code, const char *file, size_t line, const char *message)
{
    if (d->n_error++ < MOST_REPORTED)
        wr_findings_add(d->findings, WR_ERROR, code, file, line, 0, "%s", message);
    if (d->n_error == 1) wr_fail(d->err, WR_E_INPUT, "%s:%zu: %s", file, line, message);
}

/* Blanks that stand together, or are no plain ones, are lost where lines are wrapped: they are drawn. */
static void add_with_blanks_seen(struct wr_str *out, const char *name)
{
    static const char open_box[] = "\xe2\x90\xa3", fixed[] = "\xc2\xa0";

    for (const char *at = name; *at; at++) {
        bool is_fixed = strncmp(at, fixed, 2) == 0;
        bool alone = *at == ' ' && at > name && at[-1] != ' ' && at[1] != ' ';
        if (is_fixed || *at == '\t' || (*at == ' ' && !alone)) wr_str_add(out, open_box);
        else wr_str_add_char(out, *at);
        at += is_fixed;
    }
}

static void report_alike(struct deciding *d, const struct kind *kind, const char *a, const char *b, const char *file,
                         size_t line)
{
    WR_SCOPED_STR text = {0}, one = {0}, other = {0};

    add_with_blanks_seen(&one, a);
    add_with_blanks_seen(&other, b);
    if (kind->is_person && d->options->anonymous) wr_str_addf(&text, "the names of two %ss", kind->what);
    else wr_str_addf(&text, "%ss '%.60s' and '%.60s'", kind->what, wr_str_text(&one), wr_str_text(&other));
    wr_str_add(
        &text,
        " differ in case, blanks or the coding of a letter only: one or two? --join-names takes such names for one, "
        "--keep-names for two; "
        "names.csv can say it for one name");
    report(d, "names-alike", file, line, text.text);
}

/* A name of the logs is counted for its group; the commonest spelling stands for all, if that is wanted. */
static void see_name(struct deciding *d, struct kind *kind, const char *name, size_t len, size_t n, const char *file,
                     size_t line)
{
    struct group *g = group_of(d, kind, name, len);

    if (!g->stands) {
        g->stands = wr_arena_copy(&d->survey->text, name, len);
        g->most = n;
    } else if (!g->given && strcmp(g->stands, name) != 0) {
        if (d->options->join == WR_JOIN_ASK && !g->reported) {
            g->reported = true;
            report_alike(d, kind, g->stands, name, file, line);
        }
        if (n > g->most) {
            g->stands = wr_arena_copy(&d->survey->text, name, len);
            g->most = n;
        }
    }
}

static const char *stands_for(struct deciding *d, struct kind *kind, const char *name)
{
    const struct group *g = group_of(d, kind, name, strlen(name));

    return g->stands && (g->given || d->options->join == WR_JOIN_NAMES) ? g->stands : name;
}

static void give(struct deciding *d, struct kind *kind, const char *name)
{
    struct group *g = group_of(d, kind, name, strlen(name));

    g->given = !g->stands || strcmp(g->stands, name) == 0;
    g->reported = !g->given; /* the plan itself has both: taken as they stand */
    if (!g->stands) g->stands = name;
}

static void kind_release(struct kind *kind)
{
    wr_names_release(&kind->folded);
    wr_free(kind->group);
}

static struct wr_csv_field kept(struct deciding *d, const char *text)
{
    size_t n = strlen(text);

    return (struct wr_csv_field){wr_arena_copy(&d->survey->text, text, n), n};
}

static void set_meant(struct deciding *d, struct name_map *map, size_t i, const char *meant, enum wr_spelling spelling)
{
    const struct wr_name *raw = &map->raw.name[i];
    bool same = strcmp(raw->text, meant) == 0;

    map->meant[i] = same ? (struct wr_csv_field){raw->text, raw->len} : kept(d, meant);
    map->spelling[i] = same ? WR_PLAIN : spelling;
    map->changes |= !same;
}

static void begin_map(struct name_map *map)
{
    map->meant = WR_NEW_ARRAY(struct wr_csv_field, map->raw.n_name + 1);
    map->spelling = WR_NEW_ARRAY(enum wr_spelling, map->raw.n_name + 1);
}

/* ---- runs and tasks ---- */

static void decide_runs(struct deciding *d)
{
    struct kind kind = {.what = "run"};
    struct name_map *map = &d->survey->map[MAP_RUN];
    const struct name_counts *count = &d->count[MAP_RUN];

    begin_map(map);
    for (size_t i = 0; i < map->raw.n_name; i++) {
        const char *name = wr_alias_of(d->options->aliases, WR_NAME_RUN, map->raw.name[i].text);
        see_name(d, &kind, name, strlen(name), count->n[i], count->file[i], count->line[i]);
    }
    for (size_t i = 0; i < map->raw.n_name; i++) {
        const char *name = wr_alias_of(d->options->aliases, WR_NAME_RUN, map->raw.name[i].text);
        set_meant(d, map, i, stands_for(d, &kind, name), WR_SP_NAME);
    }
    kind_release(&kind);
}

/* The plan's task that a name means, or the name by names.csv. */
static const char *task_meant(const struct deciding *d, const char *name, enum wr_spelling *spelling)
{
    const struct wr_plan *plan = d->options->plan;
    size_t task = plan ? wr_plan_resolve(plan, name, spelling) : SIZE_MAX;

    if (task != SIZE_MAX) return plan->task[task].id;
    *spelling = WR_SP_NAME;
    return wr_alias_of(d->options->aliases, WR_NAME_TASK, name);
}

static void decide_tasks(struct deciding *d)
{
    struct kind kind = {.what = "task"};
    struct name_map *map = &d->survey->map[MAP_TASK];
    const struct name_counts *count = &d->count[MAP_TASK];
    enum wr_spelling spelling;

    begin_map(map);
    for (size_t k = 0; d->options->plan && k < d->options->plan->n_task; k++)
        give(d, &kind, d->options->plan->task[k].id);
    for (size_t i = 0; i < map->raw.n_name; i++) {
        const char *name = task_meant(d, map->raw.name[i].text, &spelling);
        set_meant(d, map, i, name, spelling);
        see_name(d, &kind, name, strlen(name), count->n[i], count->file[i], count->line[i]);
    }
    for (size_t i = 0; i < map->raw.n_name; i++) {
        if (map->spelling[i] == WR_SP_TITLE) continue;
        set_meant(d, map, i, stands_for(d, &kind, map->meant[i].text), WR_SP_NAME);
    }
    kind_release(&kind);
}

/* ---- crews and people ---- */

struct parts_of {
    struct deciding *d;
    struct kind *kind;
    size_t n, line;
    const char *file;
    enum wr_name_kind alias;
    struct wr_str *out;
};

static void see_part(void *arg, const char *part, size_t len)
{
    struct parts_of *p = arg;
    char name[256];

    if (len == 0 || len >= sizeof name) return;
    memcpy(name, part, len);
    name[len] = '\0';
    const char *meant = wr_alias_of(p->d->options->aliases, p->alias, name);
    see_name(p->d, p->kind, meant, strlen(meant), p->n, p->file, p->line);
}

static void write_part(void *arg, const char *part, size_t len)
{
    struct parts_of *p = arg;
    char name[256];

    if (p->out->len) wr_str_add_char(p->out, '+');
    if (len == 0 || len >= sizeof name) {
        wr_str_add_bytes(p->out, part, len);
        return;
    }
    memcpy(name, part, len);
    name[len] = '\0';
    wr_str_add(p->out, stands_for(p->d, p->kind, wr_alias_of(p->d->options->aliases, p->alias, name)));
}

/* The plain form of each crew or performer text, in an array of copies. */
static const char **plain_texts(struct deciding *d, size_t which, const struct crew_lanes *lanes)
{
    const struct name_map *map = &d->survey->map[which];
    const struct name_counts *count = &d->count[which];
    const char **plain = WR_NEW_ARRAY(const char *, map->raw.n_name + 1);
    enum wr_name_kind alias = which == MAP_CREW ? WR_NAME_LANE : WR_NAME_PERSON;

    for (size_t i = 0; i < map->raw.n_name; i++) {
        const char *raw = map->raw.name[i].text, *trouble = NULL;
        plain[i] = wr_alias_of(d->options->aliases, alias, raw);
        if (!raw[0] || wr_alias_is_given(d->options->aliases, alias, raw)) continue;
        if (which == MAP_PERFORMER && crew_means_group(raw)) continue;
        if (crew_plain(lanes, raw, &d->text, &trouble)) {
            plain[i] = wr_arena_copy(&d->survey->text, wr_str_text(&d->text), d->text.len);
        } else if (which == MAP_CREW && !(d->options->plan && d->options->plan->n_lane)) {
            WR_SCOPED_STR message = {0};
            wr_str_addf(&message, "crew '%.60s': %s (or let names.csv say it: ", raw, trouble);
            wr_alias_add_row(&message, WR_NAME_LANE, raw, "NAME");
            wr_str_add_char(&message, ')');
            report(d, "bad-crew", count->file[i], count->line[i], message.text);
        }
    }
    return plain;
}

static void decide_crews(struct deciding *d, size_t which, const char *what)
{
    const struct wr_plan *plan = which == MAP_CREW ? d->options->plan : NULL;
    struct kind kind = {.what = what, .is_person = which == MAP_PERFORMER};
    WR_RELEASED_BY(crew_lanes_release) struct crew_lanes lanes = {.are_people = kind.is_person};
    struct name_map *map = &d->survey->map[which];
    const struct name_counts *count = &d->count[which];
    struct parts_of p = {
        .d = d, .kind = &kind, .alias = which == MAP_CREW ? WR_NAME_LANE : WR_NAME_PERSON, .out = &d->text};

    begin_map(map);
    for (size_t l = 0; plan && l < plan->n_lane; l++) {
        give(d, &kind, plan->lane[l]);
        crew_learn(&lanes, plan->lane[l]);
    }
    for (size_t i = 0; i < map->raw.n_name; i++)
        if (!plan || !plan->n_lane) crew_learn(&lanes, map->raw.name[i].text);
    for (bool more = which == MAP_CREW && !(plan && plan->n_lane); more;) {
        more = false;
        for (size_t i = 0; i < map->raw.n_name; i++) {
            const char *raw = map->raw.name[i].text;
            if (!wr_alias_is_given(d->options->aliases, p.alias, raw)) more |= crew_learn_joined(&lanes, raw);
        }
    }
    WR_SCOPED const char **plain = plain_texts(d, which, &lanes);
    for (size_t i = 0; i < map->raw.n_name; i++) {
        p.n = count->n[i];
        p.file = count->file[i];
        p.line = count->line[i];
        crew_parts(plain[i], false, see_part, &p);
    }
    for (size_t i = 0; i < map->raw.n_name; i++) {
        wr_str_clear(&d->text);
        crew_parts(plain[i], false, write_part, &p);
        bool joined = strcmp(plain[i], map->raw.name[i].text) != 0;
        bool respelt = d->text.len != strlen(plain[i]) || strcmp(wr_str_text(&d->text), plain[i]) != 0;
        /* "EV1 + EV2" is plain, whatever its blanks */
        set_meant(d, map, i, joined || respelt ? wr_str_text(&d->text) : plain[i], joined ? WR_SP_CREW : WR_SP_NAME);
        if (!joined && wr_same_but_for_spelling(plain[i], wr_str_text(&d->text)) && strchr(plain[i], '+'))
            map->spelling[i] = WR_PLAIN;
    }
    kind_release(&kind);
}

size_t name_maps_decide(struct log_survey *survey, const struct name_counts count[N_MAP],
                        const struct wr_log_options *options, struct wr_findings *findings, struct wr_error *err)
{
    struct deciding d = {.survey = survey, .count = count, .options = options, .findings = findings, .err = err};

    decide_runs(&d);
    decide_tasks(&d);
    decide_crews(&d, MAP_CREW, "lane");
    decide_crews(&d, MAP_PERFORMER, "performer");
    WR_STR_RELEASE(&d.fold, &d.text);
    return d.n_error;
}
