#include "chart_script.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>
#include "../../src/present/embedded.h"

const struct chart_case_options chart_usual = {.n_task = 28, .n_lane = 2, .n_run = 9, .limit_min = -91, .spread = 1};
const struct chart_case_options chart_hostile = {
    .n_task = 30, .n_lane = 2, .n_run = 9, .limit_min = -91, .spread = 1, .titles = TITLES_HOSTILE};

static bool next_line(const char **at, struct line *line)
{
    if (!**at) return false;
    const char *end = strchr(*at, '\n');
    REQUIRE(end != NULL, "a line is not ended: %.40s", *at);
    *line = (struct line){*at, (size_t)(end - *at)};
    *at = end + 1;
    return true;
}

static bool begins(struct line line, const char *text)
{
    return line.n >= strlen(text) && memcmp(line.at, text, strlen(text)) == 0;
}

static bool is_number_line(struct line line)
{
    size_t i = 0;

    while (i < line.n && (isalnum((unsigned char)line.at[i]) || line.at[i] == '_')) i++;
    if (i == 0 || i + 3 >= line.n || memcmp(line.at + i, " = ", 3) != 0) return false;
    for (i += 3; i < line.n; i++)
        if (!strchr("0123456789.+-e", line.at[i])) return false;
    return true;
}

static bool is_embedded_tail(const char *at)
{
    for (const struct embedded *e = plot_scripts; e->name; e++)
        if (strncmp(at, e->text, strlen(e->text)) == 0) return true;
    return false;
}

void chart_script_walk(const char *script, void (*row)(void *arg, const char *block, struct line line), void *arg)
{
    const char *at = script;
    char block[64] = "", terminator[80] = "";
    struct line line;

    while (!is_embedded_tail(at) || block[0]) {
        REQUIRE(next_line(&at, &line), "the script ends too early");
        if (block[0]) {
            if (line.n == strlen(terminator) && begins(line, terminator))
                block[0] = '\0';
            else
                row(arg, block, line);
        } else if (line.at[0] == '$') {
            int used = 0;
            ck_assert_int_eq(sscanf(line.at, "$%60[a-z] << %70[a-z_]%n", block, terminator, &used), 2);
            ck_assert_uint_eq((size_t)used, line.n);
        } else {
            REQUIRE(is_number_line(line) || begins(line, "array face_px["), "a command: %.*s", (int)line.n, line.at);
        }
    }
    for (const struct embedded *e; *at; at += strlen(e->text)) {
        for (e = plot_scripts; e->name; e++)
            if (strncmp(at, e->text, strlen(e->text)) == 0) break;
        ck_assert_msg(e->name != NULL, "not one of our scripts: %.60s", at);
    }
}
