#include "wetrun/present/chart.h"

#include <stdatomic.h>
#include <stdio.h>
#include <string.h>
#include "chart_glyphs.h"
#include "chart_canvas.h"
#include "chart_say.h"
#include "chart_svg.h"
#include "embedded.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"
#include "wetrun/io/child.h"
#include "wetrun/present/caution.h"
#include "wetrun/present/escape.h"
#include "wetrun/present/words.h"

static const struct {
    const char *name, *help;
    enum wr_place place;
    unsigned shows;
    const char *row_table;
    const struct chart_builder *builder;
} chart_table[WR_N_CHART] = {
#define CHART_ROW(id, name, place, help, shows, rows, builder) [id] = {name, help, place, shows, rows, &builder},
    WR_CHART_TABLE(CHART_ROW)
#undef CHART_ROW
};

const char *wr_chart_name(enum wr_chart chart)
{
    return chart_table[chart].name;
}

const char *wr_chart_help(enum wr_chart chart)
{
    return chart_table[chart].help;
}

unsigned wr_chart_shows(enum wr_chart chart)
{
    return chart_table[chart].shows;
}

const char *wr_chart_row_table(enum wr_chart chart)
{
    return chart_table[chart].row_table;
}

enum wr_place wr_chart_place(enum wr_chart chart)
{
    return chart_table[chart].place;
}

bool wr_chart_find(const char *name, enum wr_chart *chart)
{
    for (int i = 0; i < WR_N_CHART; i++) {
        if (strcmp(chart_table[i].name, name) != 0) continue;
        *chart = (enum wr_chart)i;
        return true;
    }
    return false;
}

const char *wr_chart_missing(enum wr_chart chart, const struct wr_chart_input *in)
{
    return chart_table[chart].builder->missing(in);
}

void wr_chart_words(enum wr_chart chart, const struct wr_chart_input *in, struct wr_chart_words *words)
{
    WR_BUG_IF(wr_chart_missing(chart, in) != NULL);
    chart_table[chart].builder->words(in, words);
    if (!wr_chart_is_forecast(chart)) return;
    if (!chart_table[chart].builder->all_answers) {
        say_drawn_first(&words->subtitle, in);
        say_drawn_first(&words->alt, in);
    }
    struct wr_chart_input said = *in;
    struct wr_present_context context;
    if (in->context && !wr_chart_shows_limit(chart, in)) {
        context = *in->context;
        wr_context_leave_out_limits(&context);
        said.context = &context;
    }
    chart_table[chart].builder->about(&said, &words->about);
    if (words->about.len > 0) wr_str_addf(&words->alt, " %s", wr_str_text(&words->about));
}

bool wr_chart_shows_limit(enum wr_chart chart, const struct wr_chart_input *in)
{
    const struct chart_builder *builder = chart_table[chart].builder;

    return !builder->shows_limit || builder->shows_limit(in);
}

bool wr_chart_is_forecast(enum wr_chart chart)
{
    return chart_table[chart].builder->about != NULL;
}

void wr_chart_words_release(struct wr_chart_words *words)
{
    WR_STR_RELEASE(&words->title, &words->subtitle, &words->about, &words->alt);
}

static const char *plot_script(const char *name)
{
    size_t n = strlen(name);

    for (const struct embedded *e = plot_scripts; e->name; e++)
        if (strncmp(e->name, name, n) == 0 && strcmp(e->name + n, ".gp") == 0) return e->text;
    wr_bug(__FILE__, __LINE__, name);
}

void wr_chart_script(enum wr_chart chart, const struct wr_chart_input *in, const struct wr_chart_options *options,
                     struct wr_str *script)
{
    static const char *const terminal_script[] = {
        [WR_CHART_SVG] = "to_svg", [WR_CHART_PNG] = "to_png", [WR_CHART_PDF] = "to_pdf"};
    WR_RELEASED_BY(wr_chart_words_release) struct wr_chart_words words = {0};
    struct canvas canvas;

    wr_chart_words(chart, in, &words);
    canvas_begin(&canvas, &words, options);
    chart_table[chart].builder->build(in, &canvas);
    canvas_finish(&canvas, script);
    wr_str_add(script, plot_script(terminal_script[options->format]));
    wr_str_add(script, plot_script("prelude"));
    wr_str_add(script, plot_script(wr_chart_name(chart)));
}

/* Bytes of the PNG file that begins here, 0 if there is no whole one: a signature, then chunks of length, name, data
 * and check sum up to the one named IEND (ISO/IEC 15948:2004, 5; from memory). */
static size_t png_length(const char *bytes, size_t n)
{
    static const char signature[] = "\x89PNG\r\n\x1a\n";
    size_t at = sizeof signature - 1;

    if (n < at || memcmp(bytes, signature, at) != 0) return 0;
    while (n - at >= 12) {
        const unsigned char *size = (const unsigned char *)bytes + at;
        size_t data = (size_t)size[0] << 24 | (size_t)size[1] << 16 | (size_t)size[2] << 8 | size[3];
        bool last = memcmp(bytes + at + 4, "IEND", 4) == 0;
        if (data > n - at - 12) return 0;
        at += 12 + data;
        if (last) return at;
    }
    return 0;
}

/* The terminal writes when it drew, the one thing in a PDF that another run would not have; the Unix epoch in its place
 * keeps every offset. (ISO 32000-1:2008, 7.9.4, dates; from memory.) */
static void forget_date(struct wr_str *pdf)
{
    static const char key[] = "/CreationDate (D:", epoch[] = "19700101000000";
    char *at = memmem(pdf->text, pdf->len, key, sizeof key - 1);

    if (!at || pdf->len - (size_t)(at - pdf->text) < sizeof key + sizeof epoch) return;
    at += sizeof key - 1;
    for (size_t i = 0; i < sizeof epoch - 1; i++)
        if (at[i] < '0' || at[i] > '9') return;
    memcpy(at, epoch, sizeof epoch - 1);
}

static bool is_whole_pdf(const struct wr_str *drawn)
{
    static const char begin[] = "%PDF-", end[] = "%%EOF";
    size_t tail = drawn->len < 16 ? drawn->len : 16;

    return drawn->len > 32 && memcmp(drawn->text, begin, sizeof begin - 1) == 0
           && memmem(drawn->text + drawn->len - tail, tail, end, sizeof end - 1);
}

/* Bytes of the SVG document that begins here, up to its end; 0 if there is no whole one. */
static size_t svg_length(const char *bytes, size_t n)
{
    static const char end_tag[] = "</svg>";
    const char *end = memmem(bytes, n, end_tag, sizeof end_tag - 1);

    return end && memmem(bytes, (size_t)(end - bytes), "<svg", 4) ? (size_t)(end - bytes) + sizeof end_tag - 1 : 0;
}

/* GNUTERM may name a terminal that is not there, which ends gnuplot before it reads the script. */
static const struct wr_child_bounds drawing_bounds = {60, 64u << 20, "GNUTERM="}, asking_bounds = {10, 16u << 20, NULL};

/* Asks fontconfig, which comes with gnuplot's bitmap terminal; without an answer only the common characters stay. */
static void drop_missing_glyphs(struct wr_str *script)
{
    char *const argv[] = {(char[]){"fc-list"}, (char[]){"--format"}, (char[]){"%{charset}\n"}, NULL};
    struct wr_str coverage = {0}, replaced = {0};
    struct wr_error ignored = {0};

    if (!glyphs_are_in_doubt(wr_str_text(script))) return;
    if (wr_child_run(argv, "", 0, &asking_bounds, &coverage, &ignored) != WR_OK) wr_str_clear(&coverage);
    glyphs_replace_missing(&replaced, wr_str_text(script), wr_str_text(&coverage));
    WR_STR_RELEASE(&coverage, script);
    *script = replaced;
}

/* As it is sent: a file of glyphs cannot leave the choice of another font to who shows it. */
static void add_script(enum wr_chart chart, const struct wr_chart_input *in, const struct wr_chart_options *options,
                       struct wr_str *out)
{
    WR_SCOPED_STR script = {0};

    wr_chart_script(chart, in, options, &script);
    if (options->format != WR_CHART_SVG) drop_missing_glyphs(&script);
    wr_str_add_bytes(out, script.text, script.len);
}

/* Links over the rows of an inline chart: what a task takes, what it costs the finish, who did it when. Without a
 * script, and reached by keyboard. */
static void add_row_links(struct wr_str *svg, enum wr_chart chart, const struct wr_chart_input *in,
                          const struct wr_chart_options *options)
{
    static const char end_tag[] = "</svg>", image[] = " role=\"img\"", group[] = " role=\"group\"";
    WR_RELEASED_BY(wr_chart_words_release) struct wr_chart_words words = {0};
    WR_SCOPED_STR links = {0}, text = {0};
    struct canvas canvas;

    wr_chart_words(chart, in, &words);
    canvas_begin(&canvas, &words, options);
    chart_table[chart].builder->build(in, &canvas);
    for (size_t i = 0; i < canvas.n_about; i++) {
        const struct canvas_about *row = &canvas.about[i];
        wr_str_clear(&text);
        say_task(&text, in, row->task, chart == WR_CHART_TASKS);
        wr_str_addf(&links, "<a class=\"hit\" href=\"#%s-r%zu\"><title>", options->row_table, row->task);
        wr_escape_html(&links, wr_str_text(&text));
        wr_str_addf(&links, "</title><rect x=\"0\" y=\"%.1f\" width=\"%.0f\" height=\"%.1f\"/></a>\n", row->top,
                    canvas.width, row->bottom - row->top);
    }
    WR_SCOPED_STR unused = {0};
    canvas_finish(&canvas, &unused);
    char *end = links.len > 0 ? memmem(svg->text, svg->len, end_tag, sizeof end_tag - 1) : NULL;
    char *role = end ? memmem(svg->text, svg->len, image, sizeof image - 1) : NULL;
    if (role) { /* a picture holds nothing to go to; a group may */
        struct wr_str linked = {0};
        wr_str_add_bytes(&linked, svg->text, (size_t)(role - svg->text));
        wr_str_add(&linked, group);
        wr_str_add_bytes(&linked, role + sizeof image - 1, (size_t)(end - role) - (sizeof image - 1));
        wr_str_add_bytes(&linked, links.text, links.len);
        wr_str_add_bytes(&linked, end, svg->len - (size_t)(end - svg->text));
        wr_str_release(svg);
        *svg = linked;
    }
}

static enum wr_status finish_svg(enum wr_chart chart, const struct wr_chart_input *in,
                                 const struct wr_chart_options *options, const struct wr_str *drawn,
                                 struct wr_str *bytes, struct wr_error *err)
{
    WR_RELEASED_BY(wr_chart_words_release) struct wr_chart_words words = {0};

    wr_chart_words(chart, in, &words);
    struct svg_dress dress = {.inline_id = options->inline_id, .css_class = options->css_class,
                              .caution = words.about.len > 0 ? wr_caution_line : NULL,
                              .alt = wr_str_text(&words.alt)};
    WR_SCOPED_STR tidy = {0};
    enum wr_status status = svg_tidy(drawn, &dress, &tidy, err);
    if (status == WR_OK && options->inline_id && options->row_table) add_row_links(&tidy, chart, in, options);
    if (status == WR_OK) wr_str_add_bytes(bytes, tidy.text, tidy.len);
    return status;
}

static enum wr_status finish_file(enum wr_chart_format format, struct wr_str *drawn, struct wr_str *bytes,
                                  struct wr_error *err)
{
    bool pdf = format == WR_CHART_PDF;

    if (pdf ? !is_whole_pdf(drawn) : drawn->len == 0 || png_length(wr_str_text(drawn), drawn->len) != drawn->len)
        return wr_fail(err, WR_E_CHILD,
                       "gnuplot gave no whole %s: install its %scairo terminal, or write --picture svg",
                       pdf ? "PDF" : "PNG", pdf ? "pdf" : "png");
    if (pdf) forget_date(drawn);
    wr_str_add_bytes(bytes, drawn->text, drawn->len);
    return WR_OK;
}

static enum wr_status run_gnuplot(const char *from, const struct wr_str *script, struct wr_str *drawn,
                                  struct wr_error *err)
{
    char named[16];
    char *const argv[] = {(char[]){"gnuplot"}, (char[]){"-d"}, named, NULL};

    snprintf(named, sizeof named, "%s", from);
    return wr_child_run(argv, script->text, script->len, &drawing_bounds, drawn, err);
}

enum wr_status wr_chart_render(enum wr_chart chart, const struct wr_chart_input *in,
                               const struct wr_chart_options *options, struct wr_str *bytes, struct wr_error *err)
{
    const char *missing = wr_chart_missing(chart, in);
    WR_SCOPED_STR script = {0}, drawn = {0};

    if (missing) return wr_fail(err, WR_E_TOO_FEW, "the chart '%s' needs %s", wr_chart_name(chart), missing);
    add_script(chart, in, options, &script);
    enum wr_status status = run_gnuplot("-", &script, &drawn, err);
    if (status == WR_OK && options->format == WR_CHART_SVG)
        status = finish_svg(chart, in, options, &drawn, bytes, err);
    else if (status == WR_OK)
        status = finish_file(options->format, &drawn, bytes, err);
    if (status != WR_OK) wr_error_prefix(err, "chart '%s'", wr_chart_name(chart));
    return status;
}

/* ---- several at once ---- */

/* Starting gnuplot costs as much as several drawings, above all with fonts for bitmaps, so the charts of one format
 * share as many runs as there are threads. */
struct batch {
    struct wr_chart_job **job; /* all of one format */
    size_t n, room;
    struct wr_str script, drawn;
    bool alone; /* not in a common run */
    bool done;  /* drawn holds them all */
};

struct wr_chart_runs {
    struct batch *batch;
    size_t n_batch, room;
    const struct wr_chart_input *in;
    atomic_bool hung; /* gnuplot did once: nobody waits that long again */
    bool to_the_second;
};

static void render_alone(struct wr_chart_runs *all, struct wr_chart_job *job)
{
    if (atomic_load(&all->hung))
        job->status = wr_fail(&job->err, WR_E_CHILD_HUNG, "chart '%s': gnuplot did not end within %u s and was stopped",
                              wr_chart_name(job->chart), drawing_bounds.seconds);
    else
        job->status = wr_chart_render(job->chart, all->in, &job->options, &job->bytes, &job->err);
    if (job->status == WR_E_CHILD_HUNG) atomic_store(&all->hung, true);
}

static size_t drawing_length(enum wr_chart_format format, const char *bytes, size_t n)
{
    return format == WR_CHART_PNG ? png_length(bytes, n) : svg_length(bytes, n);
}

/* True if there are exactly as many drawings as jobs, and nothing else but blanks. */
static bool all_there(const struct batch *batch)
{
    const char *at = wr_str_text(&batch->drawn), *end = at + batch->drawn.len;

    for (size_t i = 0; i < batch->n; i++) {
        size_t n = drawing_length(batch->job[0]->options.format, at, (size_t)(end - at));
        if (n == 0) return false;
        at += n;
    }
    while (at < end && (*at == '\n' || *at == '\r')) at++;
    return at == end;
}

/* From its standard input gnuplot reads one character a call, and what it writes there it writes in small pieces: for
 * forty charts half a million calls. The same pipes opened by name are files to it, read and written in blocks. Where
 * there are no such names the run fails, and each chart is drawn alone, without them. */
static const char script_name[] = "/dev/stdin", output_line[] = "set output '/dev/stdout'\n";

/* Cuts the drawings apart and gives each to its job. */
static void hand_out(const struct wr_chart_runs *all, const struct batch *batch)
{
    const char *at = wr_str_text(&batch->drawn), *end = at + batch->drawn.len;

    for (size_t i = 0; i < batch->n; i++) {
        struct wr_chart_job *job = batch->job[i];
        size_t n = drawing_length(job->options.format, at, (size_t)(end - at));
        WR_SCOPED_STR one = {0};
        wr_str_add_bytes(&one, at, n);
        at += n;
        if (job->options.format == WR_CHART_PNG) wr_str_add_bytes(&job->bytes, one.text, one.len);
        else job->status = finish_svg(job->chart, all->in, &job->options, &one, &job->bytes, &job->err);
    }
}

static void add_scripts(void *arg, size_t piece)
{
    struct wr_chart_runs *all = arg;
    struct batch *batch = &all->batch[piece];

    wr_moments_to_the_second(all->to_the_second); /* every thread has its own */
    if (batch->n == 0 || batch->alone) return;
    wr_str_add(&batch->script, output_line);
    for (size_t i = 0; i < batch->n; i++) {
        add_script(batch->job[i]->chart, all->in, &batch->job[i]->options, &batch->script);
        wr_str_add(&batch->script, plot_script("forget"));
    }
}

static void draw_batch(void *arg, size_t piece)
{
    struct wr_chart_runs *all = arg;
    struct batch *batch = &all->batch[piece];
    struct wr_error ignored = {0};

    if (batch->script.len == 0 || atomic_load(&all->hung)) return;
    enum wr_status status = run_gnuplot(script_name, &batch->script, &batch->drawn, &ignored);
    if (status == WR_E_CHILD_HUNG) atomic_store(&all->hung, true);
    batch->done = status == WR_OK && all_there(batch);
}

/* Where the common run failed each job runs on its own and has its own failure to report. */
static void finish_batch(void *arg, size_t piece)
{
    struct wr_chart_runs *all = arg;
    struct batch *batch = &all->batch[piece];

    wr_moments_to_the_second(all->to_the_second);
    if (batch->done) hand_out(all, batch);
    for (size_t i = 0; i < batch->n && !batch->done; i++) render_alone(all, batch->job[i]);
}

/* In turn, so that large charts that follow each other are not all in one run. */
static void share_out(struct wr_chart_runs *all, struct wr_chart_job *job, size_t n_job, enum wr_chart_format format,
                      unsigned n_run)
{
    size_t first = all->n_batch, n = 0;

    for (unsigned i = 0; i < n_run; i++) (void)WR_PUSH(all->batch, all->n_batch, all->room);
    for (size_t i = 0; i < n_job; i++) {
        if (job[i].options.format != format) continue;
        /* it fails on its own, and draws nothing; it cannot be cut out of others */
        bool alone = wr_chart_missing(job[i].chart, all->in) != NULL || format == WR_CHART_PDF;
        struct batch *batch = alone ? WR_PUSH(all->batch, all->n_batch, all->room) : &all->batch[first + n++ % n_run];
        *WR_PUSH(batch->job, batch->n, batch->room) = &job[i];
        batch->alone = alone;
    }
}

struct wr_chart_runs *wr_chart_runs_begin(struct wr_chart_job *job, size_t n_job, const struct wr_chart_input *in,
                                          unsigned n_thread)
{
    struct wr_chart_runs *all = WR_NEW(struct wr_chart_runs);
    unsigned n_run = wr_parallel_workers(n_job, n_thread);

    all->in = in;
    all->to_the_second = wr_moments_are_to_the_second();
    share_out(all, job, n_job, WR_CHART_PNG, n_run);
    share_out(all, job, n_job, WR_CHART_SVG, n_run);
    share_out(all, job, n_job, WR_CHART_PDF, 0);
    wr_parallel_for(all->n_batch, n_thread, add_scripts, all);
    return all;
}

void wr_chart_runs_draw(struct wr_chart_runs *all, unsigned n_thread)
{
    wr_parallel_for(all->n_batch, n_thread, draw_batch, all);
}

void wr_chart_runs_finish(struct wr_chart_runs *all, unsigned n_thread)
{
    wr_parallel_for(all->n_batch, n_thread, finish_batch, all);
}

void wr_chart_runs_release(struct wr_chart_runs *all)
{
    for (size_t i = 0; i < all->n_batch; i++) {
        WR_STR_RELEASE(&all->batch[i].script, &all->batch[i].drawn);
        wr_free(all->batch[i].job);
    }
    WR_FREE(all->batch, all);
}

void wr_chart_render_all(struct wr_chart_job *job, size_t n_job, const struct wr_chart_input *in, unsigned n_thread)
{
    struct wr_chart_runs *all = wr_chart_runs_begin(job, n_job, in, n_thread);

    wr_chart_runs_draw(all, n_thread);
    wr_chart_runs_finish(all, n_thread);
    wr_chart_runs_release(all);
}
