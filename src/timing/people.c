#include "people.h"

#include <string.h>

/* ---- one cell ---- */

void cell_people_clear(struct cell_people *c)
{
    for (size_t l = 0; l < WR_MAX_LANES; l++) c->in_lane[l] = -1;
    c->n = 0;
}

static void add_once(unsigned *person, size_t *n, unsigned who)
{
    for (size_t i = 0; i < *n; i++)
        if (person[i] == who) return;
    if (*n < WR_MAX_PERFORMERS) person[(*n)++] = who;
}

/* Cuts "AB + CD" at its plus signs; returns how many names there are, the first `most` of them in who[]. */
static size_t read_names(struct wr_names *people, struct wr_arena *text, const char *performer, unsigned *who,
                         size_t most)
{
    size_t n = 0;

    for (struct wr_part name; wr_next_part(&performer, '+', &name);) {
        if (!name.len) continue;
        if (n < most) who[n] = wr_names_add(people, text, name.text, name.len);
        n++;
    }
    return n;
}

enum performer_fit cell_people_add(struct cell_people *c, struct wr_names *people, struct wr_arena *text,
                                   const char *performer, const uint8_t *lane, size_t n_lane)
{
    unsigned who[WR_MAX_LANES];
    size_t n = read_names(people, text, performer, who, WR_MAX_LANES);
    enum performer_fit fit = n == n_lane ? PERFORMERS_FIT : PERFORMERS_OTHER_COUNT;

    if (n == 0) return PERFORMERS_FIT;
    for (size_t i = 0; i < n && i < WR_MAX_LANES; i++) {
        for (size_t j = 0; j < i; j++)
            if (who[i] == who[j]) fit = PERFORMERS_TWICE;
        add_once(c->person, &c->n, who[i]);
    }
    for (size_t i = 0; i < n_lane && n == n_lane; i++)
        if (c->in_lane[lane[i]] < 0) c->in_lane[lane[i]] = (int)who[i];
    return fit;
}

void cell_people_write(const struct cell_people *c, const struct wr_plan_task *task, struct wr_cell *cell)
{
    cell->n_performer = 0;
    for (size_t i = 0; i < task->n_lane; i++)
        if (c->in_lane[task->lane_order[i]] >= 0)
            add_once(cell->person, &cell->n_performer, (unsigned)c->in_lane[task->lane_order[i]]);
    for (size_t i = 0; i < c->n; i++) add_once(cell->person, &cell->n_performer, c->person[i]);
}

/* ---- lanes of a run ---- */

void lane_votes_add(struct lane_votes *votes, const struct cell_people *c, size_t n_lane)
{
    for (size_t l = 0; l < n_lane; l++) {
        size_t i = 0;
        if (c->in_lane[l] < 0) continue;
        while (i < votes->n && !(votes->vote[i].lane == l && votes->vote[i].person == c->in_lane[l])) i++;
        if (i == votes->n) {
            struct lane_vote *v = WR_PUSH(votes->vote, votes->n, votes->room);
            *v = (struct lane_vote){l, c->in_lane[l], 0};
        }
        votes->vote[i].count++;
    }
}

int lane_votes_winner(const struct lane_votes *votes, size_t lane, size_t *n_person)
{
    size_t most = 0;
    int winner = -1;

    *n_person = 0;
    for (size_t i = 0; i < votes->n; i++) {
        if (votes->vote[i].lane != lane) continue;
        ++*n_person;
        if (votes->vote[i].count > most) {
            most = votes->vote[i].count;
            winner = votes->vote[i].person;
        }
    }
    return winner;
}

void lane_votes_release(struct lane_votes *votes)
{
    wr_free(votes->vote);
    *votes = (struct lane_votes){0};
}
