#include "study_parts.h"

#include <stdio.h>
#include <string.h>
#include "wetrun/base/memory.h"
#include "wetrun/campaign/near_name.h"

/* ---- --anonymous ---- */

const char *wr_letter_name(struct wr_arena *text, size_t i)
{
    char name[24];

    if (i < 26) snprintf(name, sizeof name, "%c", (char)('A' + i));
    else snprintf(name, sizeof name, "P%zu", i + 1);
    return wr_arena_copy(text, name, strlen(name));
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
    return wr_letter_name(&in->text, i);
}

static const char *anonymous_crew(struct wr_study *in, struct name_map *map, const char *crew)
{
    WR_SCOPED_STR out = {0};

    for (struct wr_part name; wr_next_part(&crew, '+', &name);) {
        if (name.len) wr_str_add(&out, renamed(in, map, name.text, name.len));
        if (crew) wr_str_add_char(&out, '+');
    }
    return wr_arena_copy(&in->text, wr_str_text(&out), out.len);
}

/* ---- --people ---- */

static void see_person(struct wr_names *people, struct wr_arena *text, const char *performer)
{
    for (struct wr_part name; wr_next_part(&performer, '+', &name);)
        if (name.len) wr_names_add(people, text, name.text, name.len);
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

/* One LANE=NAME; anything else goes on as it is, to be refused where it is understood. */
static void add_pair(struct wr_study *in, const struct wr_names *people, struct name_map *letters, const char *from,
                     const char *to, struct wr_str *out)
{
    const char *equals = memchr(from, '=', (size_t)(to - from)), *end = equals, *name = equals ? equals + 1 : to;

    if (!equals) {
        wr_str_add_bytes(out, from, (size_t)(to - from));
        return;
    }
    wr_trim(&from, &end);
    wr_trim(&name, &to);
    const char *lane_text = wr_arena_copy(&in->text, from, (size_t)(end - from));
    const char *person = person_meant(in, people, wr_arena_copy(&in->text, name, (size_t)(to - name)));
    size_t lane = wr_plan_resolve_lane(&in->plan, lane_text, NULL);
    wr_str_addf(out, "%s=", lane == SIZE_MAX ? lane_text : in->plan.lane[lane]);
    wr_str_add(out, letters && *person ? renamed(in, letters, person, strlen(person)) : person);
}

static void read_people(struct wr_study *in, const char *said, const struct wr_names *people, struct name_map *letters)
{
    WR_SCOPED_STR out = {0};

    for (const char *at = said;;) {
        size_t len = strcspn(at, ",");
        add_pair(in, people, letters, at, at + len, &out);
        at += len;
        if (*at++ == '\0') break;
        wr_str_add_char(&out, ',');
    }
    in->options.fit.people = wr_arena_copy(&in->text, wr_str_text(&out), out.len);
}

void wr_study_people_names(struct wr_study *in)
{
    const char *said = in->options.fit.people;
    struct name_map letters = {0};
    WR_RELEASED_BY(wr_names_release) struct wr_names people = {0};

    in->people_said = said;
    for (size_t i = 0; said && i < in->log.n_step; i++) see_person(&people, &in->text, in->log.step[i].performer);
    for (size_t i = 0; in->options.anonymous && i < in->log.n_step; i++)
        in->log.step[i].performer = anonymous_crew(in, &letters, in->log.step[i].performer);
    if (said) read_people(in, said, &people, in->options.anonymous ? &letters : NULL);
    wr_free(letters.from);
}
