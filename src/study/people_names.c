#include "study_parts.h"

#include <string.h>
#include "wetrun/base/memory.h"
#include "wetrun/campaign/near_name.h"

/* ---- --anonymous ---- */

/* The letter names A … Z, then P27, P28, …: in order of first appearance. */
static const char *letter_name(struct wr_study *in, size_t i)
{
    struct wr_str s = {0};

    if (i < 26)
        wr_str_add_char(&s, (char)('A' + i));
    else
        wr_str_addf(&s, "P%zu", i + 1);
    char *copy = wr_arena_copy(&in->text, s.text, s.len);
    wr_str_release(&s);
    return copy;
}

struct name_map { const char **from; size_t n_from, room; };

static const char *renamed(struct wr_study *in, struct name_map *map, const char *name, size_t len)
{
    size_t i = 0;

    while (i < map->n_from && !(strlen(map->from[i]) == len && memcmp(map->from[i], name, len) == 0)) i++;
    if (i == map->n_from) {
        const char **slot = WR_PUSH(map->from, map->n_from, map->room);
        *slot = wr_arena_copy(&in->text, name, len);
    }
    return letter_name(in, i);
}

static const char *anonymous_crew(struct wr_study *in, struct name_map *map, const char *crew)
{
    struct wr_str out = {0};

    while (*crew) {
        size_t len = strcspn(crew, "+");
        while (len && *crew == ' ') crew++, len--;
        size_t tail = len;
        while (tail && crew[tail - 1] == ' ') tail--;
        if (tail) wr_str_add(&out, renamed(in, map, crew, tail));
        crew += len;
        if (*crew == '+') wr_str_add_char(&out, *crew++);
    }
    const char *copy = wr_arena_copy(&in->text, wr_str_text(&out), out.len);
    wr_str_release(&out);
    return copy;
}

/* ---- --people ---- */

static void see_person(struct wr_names *people, struct wr_arena *text, const char *performer)
{
    while (*performer) {
        size_t len = strcspn(performer, "+"), lead = strspn(performer, " "), tail = len;
        while (tail > lead && performer[tail - 1] == ' ') tail--;
        if (tail > lead) wr_names_add(people, text, performer + lead, tail - lead);
        performer += len + (performer[len] == '+');
    }
}

static const char *person_at(const void *arg, size_t i)
{
    return ((const struct wr_names *)arg)->name[i].text;
}

/* The person of the log whom a name means, or the name. */
static const char *person_meant(struct wr_study *in, const struct wr_names *people, const char *name)
{
    const struct wr_name_list list = {person_at, people, people->n_name};
    const char *meant = wr_alias_of(&in->aliases, WR_NAME_PERSON, name);
    size_t i = wr_find_spelling(&list, meant);

    return i == SIZE_MAX ? meant : people->name[i].text;
}

static void trim(const char **from, const char **to)
{
    while (*from < *to && **from == ' ') ++*from;
    while (*to > *from && (*to)[-1] == ' ') --*to;
}

/* One LANE=NAME; anything else goes on as it is, to be refused where it is understood. */
static void add_pair(struct wr_study *in, const struct wr_names *people, struct name_map *letters, const char *from,
                     const char *to, struct wr_str *out)
{
    const char *equals = memchr(from, '=', (size_t)(to - from)), *end = equals, *name = equals ? equals + 1 : to;

    if (!equals) {
        wr_str_add_bytes(out, from, (size_t)(to - from));
        return;
    }
    trim(&from, &end);
    trim(&name, &to);
    const char *lane_text = wr_arena_copy(&in->text, from, (size_t)(end - from));
    const char *person = person_meant(in, people, wr_arena_copy(&in->text, name, (size_t)(to - name)));
    size_t lane = wr_plan_resolve_lane(&in->plan, lane_text, NULL);
    wr_str_addf(out, "%s=", lane == SIZE_MAX ? lane_text : in->plan.lane[lane]);
    wr_str_add(out, letters && *person ? renamed(in, letters, person, strlen(person)) : person);
}

static void read_people(struct wr_study *in, const char *said, const struct wr_names *people, struct name_map *letters)
{
    struct wr_str out = {0};

    for (const char *at = said;;) {
        size_t len = strcspn(at, ",");
        add_pair(in, people, letters, at, at + len, &out);
        at += len;
        if (*at++ == '\0') break;
        wr_str_add_char(&out, ',');
    }
    in->options.fit.people = wr_arena_copy(&in->text, wr_str_text(&out), out.len);
    wr_str_release(&out);
}

void wr_study_people_names(struct wr_study *in)
{
    const char *said = in->options.fit.people;
    struct name_map letters = {0};
    struct wr_names people = {0};

    for (size_t i = 0; said && i < in->log.n_step; i++) see_person(&people, &in->text, in->log.step[i].performer);
    for (size_t i = 0; in->options.anonymous && i < in->log.n_step; i++)
        in->log.step[i].performer = anonymous_crew(in, &letters, in->log.step[i].performer);
    if (said) read_people(in, said, &people, in->options.anonymous ? &letters : NULL);
    wr_names_release(&people);
    wr_free(letters.from);
}
