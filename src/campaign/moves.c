#include "wetrun/campaign/moves.h"

#include "sheet.h"
#include "wetrun/campaign/way_in.h"
#include "wetrun/base/memory.h"

enum move_column { M_MOVE, M_TASK, M_TO, N_MOVE_COLUMN };

static const struct sheet_column move_columns[N_MOVE_COLUMN] = {
    [M_MOVE] = {"move", true, NULL},
    [M_TASK] = {"task", true, NULL},
    [M_TO] = {"to", false, NULL},
};

static const char *const words[WR_N_MOVE_KIND] = {
#define ROW(id, text) [WR_MOVE_##id] = text,
    WR_MOVE_TABLE(ROW)
#undef ROW
};

const char *wr_move_word(enum wr_move_kind kind)
{
    return words[kind];
}

static bool same_move(const struct wr_move *a, const struct wr_move *b)
{
    if (a->kind != b->kind) return false;
    if (a->kind == WR_MOVE_EXCHANGE && a->task == b->other && a->other == b->task) return true;
    return a->task == b->task && a->other == b->other && a->lanes == b->lanes && a->factor == b->factor;
}

static const struct wr_move *find_same(const struct wr_moves *moves, const struct wr_move *m)
{
    for (size_t i = 0; i < moves->n_move; i++)
        if (same_move(&moves->move[i], m)) return &moves->move[i];
    return NULL;
}

struct moves_reading {
    struct wr_moves *moves;
    const struct wr_plan *plan;
};

static void take_kind(struct sheet *sheet, struct wr_move *m)
{
    const char *word = sheet_text(sheet, M_MOVE);

    for (int kind = 0; kind < WR_N_MOVE_KIND; kind++)
        if (sheet_name_is(word, words[kind])) {
            m->kind = (enum wr_move_kind)kind;
            return;
        }
    sheet_error(sheet, M_MOVE, "unknown-move",
                "'%.60s' is no kind of change: write exchange, before, crew, drop or shorten", word);
}

static size_t take_task(struct sheet *sheet, const struct wr_plan *plan, enum move_column column)
{
    const char *id = sheet_text(sheet, column);
    enum wr_spelling spelling;
    WR_SCOPED_STR text = {0};
    size_t task = wr_plan_resolve(plan, id, &spelling);

    if (task == SIZE_MAX) {
        wr_plan_say_no_task(plan, id, &text);
        sheet_error(sheet, column, "unknown-task", "%s", text.text);
    } else {
        sheet_note(sheet, column, spelling, plan->task[task].id);
    }
    return task;
}

static void take_to(struct sheet *sheet, const struct wr_plan *plan, struct wr_move *m)
{
    const char *to = sheet_text(sheet, M_TO);
    uint8_t order[WR_MAX_LANES];
    struct wr_maybe factor;

    switch (m->kind) {
    case WR_MOVE_EXCHANGE:
    case WR_MOVE_BEFORE:
        m->other = take_task(sheet, plan, M_TO);
        if (m->other == m->task && m->task != SIZE_MAX)
            sheet_error(sheet, M_TO, "move-with-itself", "'%.60s' cannot move against itself: name another task", to);
        return;
    case WR_MOVE_CREW:
        if (!wr_plan_crew_lanes(plan, to, order, &m->lanes))
            sheet_error(sheet, M_TO, "unknown-lane",
                        "'%.60s' names no lanes of the plan: write one, as %s, or several joined by +", to,
                        plan->lane[0]);
        return;
    case WR_MOVE_SHORTEN:
        if (sheet_number(sheet, M_TO, SHEET_DECIMAL, 0, 1, &factor) &&
            !(factor.known && factor.value > 0 && factor.value < 1))
            sheet_error(sheet, M_TO, "bad-factor",
                        "shorten needs a factor between 0 and 1: write 0.6 for six tenths of the time");
        m->factor = factor.known ? factor.value : 0;
        return;
    case WR_MOVE_DROP:
        if (to[0])
            sheet_error(sheet, M_TO, "needless-to", "drop stands alone, and '%.60s' says nothing here: leave it out",
                        to);
        return;
    case WR_N_MOVE_KIND: return;
    }
}

/* The way back in that a change would take away; SIZE_MAX if none. */
static size_t way_in_lost(const struct wr_plan *plan, const struct wr_move *m)
{
    switch (m->kind) {
    case WR_MOVE_EXCHANGE:
        if (wr_way_in_of(plan, m->other)) return m->other;
        return wr_way_in_of(plan, m->task) ? m->task : SIZE_MAX;
    case WR_MOVE_CREW: return wr_way_in_lost(plan, m->task, m->lanes);
    case WR_MOVE_BEFORE:
    case WR_MOVE_DROP: return wr_way_in_of(plan, m->task) ? m->task : SIZE_MAX;
    case WR_MOVE_SHORTEN:
    case WR_N_MOVE_KIND: break;
    }
    return SIZE_MAX;
}

static void refuse_way_in(struct sheet *sheet, const struct wr_plan *plan, const struct wr_move *m)
{
    size_t lost = way_in_lost(plan, m);
    WR_SCOPED_STR why = {0};

    if (lost == SIZE_MAX) return;
    wr_way_in_say(plan, lost, &why);
    sheet_error(sheet, M_TASK, "way-in-lost", "%s: take the row out", wr_str_text(&why));
}

static void caution_way_in(struct sheet *sheet, const struct wr_plan *plan, const struct wr_move *m)
{
    WR_SCOPED_STR why = {0};

    if (m->kind != WR_MOVE_DROP || wr_way_in_after(plan, m->task) == SIZE_MAX) return;
    wr_way_in_part_say(plan, m->task, &why);
    sheet_warn(sheet, M_TASK, "way-in-part", "%s: take the row out", wr_str_text(&why));
}

/* The clock whose begin or end a change would leave out; NULL if none. */
static const struct wr_limit *clock_lost(const struct wr_moves *moves, const struct wr_move *m)
{
    return m->kind == WR_MOVE_DROP && moves->limits ? wr_clock_of(moves->limits, m->task) : NULL;
}

static void refuse_clock(struct sheet *sheet, const struct moves_reading *r, const struct wr_move *m)
{
    const struct wr_limit *clock = clock_lost(r->moves, m);
    WR_SCOPED_STR why = {0};

    if (!clock) return;
    wr_clock_say(r->plan, clock, clock->from != m->task, &why);
    sheet_error(sheet, M_TASK, "clock-lost", "%s: take the row out", wr_str_text(&why));
}

static void take_move(void *arg, struct sheet *sheet)
{
    struct moves_reading *r = arg;
    struct wr_move m = {.line = sheet->record->line};
    size_t before = sheet->n_error;

    take_kind(sheet, &m);
    if (sheet->n_error > before) return;
    m.task = take_task(sheet, r->plan, M_TASK);
    take_to(sheet, r->plan, &m);
    if (sheet->n_error == before) refuse_way_in(sheet, r->plan, &m);
    if (sheet->n_error == before) refuse_clock(sheet, r, &m);
    if (sheet->n_error > before) return;
    caution_way_in(sheet, r->plan, &m);
    const struct wr_move *same = find_same(r->moves, &m);
    if (same)
        sheet_error(sheet, M_MOVE, "move-twice", "this move is in line %zu already: leave one of the two rows out",
                    same->line);
    else
        *WR_PUSH(r->moves->move, r->moves->n_move, r->moves->room) = m;
}

enum wr_status wr_moves_read_bytes(struct wr_moves *moves, const char *name, const char *bytes, size_t n,
                                   const struct wr_plan *plan, struct wr_findings *findings, struct wr_error *err)
{
    struct moves_reading r = {moves, plan};
    struct sheet sheet = {
        .file = name, .column = move_columns, .n_column = N_MOVE_COLUMN, .row = take_move, .arg = &r,
        .no_row = "no move below the header: add a row, as drop,TASK, or leave the file out",
        .findings = findings, .err = err,
    };

    return sheet_read(&sheet, bytes, n);
}

/* ---- general permissions ---- */

static void allow(struct wr_moves *moves, const struct wr_plan *plan, struct wr_move m)
{
    if (way_in_lost(plan, &m) != SIZE_MAX || clock_lost(moves, &m) || find_same(moves, &m)) return;
    *WR_PUSH(moves->move, moves->n_move, moves->room) = m;
}

static bool one_lane(const struct wr_plan_task *t)
{
    return t->n_lane == 1;
}

/* Exchanges with the next task of its lane, or moves before all up to the lane's last joint task. */
static void allow_in_lane(struct wr_moves *moves, const struct wr_plan *plan, size_t k, enum wr_move_kind kind)
{
    for (size_t j = k; j-- > 0;) {
        if (!(plan->task[j].lanes & plan->task[k].lanes)) continue;
        if (!one_lane(&plan->task[j])) return;
        allow(moves, plan, (struct wr_move){.kind = kind, .task = kind == WR_MOVE_EXCHANGE ? j : k,
                                            .other = kind == WR_MOVE_EXCHANGE ? k : j});
        if (kind == WR_MOVE_EXCHANGE) return;
    }
}

void wr_moves_allow(struct wr_moves *moves, enum wr_move_kind kind, const struct wr_plan *plan)
{
    for (size_t k = 0; k < plan->n_task; k++) {
        const struct wr_plan_task *t = &plan->task[k];
        switch (kind) {
        case WR_MOVE_EXCHANGE:
        case WR_MOVE_BEFORE:
            if (one_lane(t)) allow_in_lane(moves, plan, k, kind);
            break;
        case WR_MOVE_CREW:
            for (size_t l = 0; one_lane(t) && l < plan->n_lane; l++)
                if (!(t->lanes >> l & 1))
                    allow(moves, plan, (struct wr_move){.kind = kind, .task = k, .lanes = UINT32_C(1) << l});
            break;
        case WR_MOVE_DROP:
            if (t->drop_after_min.known) allow(moves, plan, (struct wr_move){.kind = kind, .task = k});
            break;
        case WR_MOVE_SHORTEN:
            if (t->drop_after_min.known) allow(moves, plan, (struct wr_move){.kind = kind, .task = k, .factor = 0.5});
            break;
        case WR_N_MOVE_KIND: break;
        }
    }
}

void wr_moves_release(struct wr_moves *moves)
{
    wr_free(moves->move);
    *moves = (struct wr_moves){0};
}
