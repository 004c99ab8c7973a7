/*
 * The press room with numbers that are known from elsewhere: meshes, beats of gratings and of screens with a mesh, closure, register,
 * and what a check tells.
 *
 *     press moire_two_gratings.csv
 */
#include "check.h"
#include <math.h>

#define NEAR(value, expected, error) CHECK(fabs((value) - (expected)) <= (error))

static dw_mesh_info told(const dw_mesh *mesh)
{
    dw_mesh_info info;
    info.struct_size = sizeof info;
    DONE(dw_mesh_get_info(mesh, &info));
    return info;
}

/* Threads per cm, thread: opening and open area by w = 1/n - d and (w n)^2, computed beside makers' tables. */
static void meshes(void)
{
    static const double rows[][4] = {
        {43, 80, 152.6, 43.0}, {54, 64, 121.2, 42.8}, {77, 48, 81.9, 39.7}, {77, 55, 74.9, 33.2},
        {100, 40, 60.0, 36.0}, {120, 34, 49.3, 35.0}, {150, 31, 35.7, 28.6}, {165, 31, 29.6, 23.9},
    };
    /* A maker's rows of 90 threads/cm (nt-jp.com): thread, fabric, cm3/m2. */
    static const double made[][3] = {{40, 59, 25}, {48, 72, 24}, {54, 84, 23}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const dw_mesh mesh = {sizeof mesh, 0, rows[i][0], rows[i][1], 0, 0};
        NEAR(told(&mesh).opening_um, rows[i][2], 0.051);
        NEAR(100 * told(&mesh).open_area, rows[i][3], 0.051);
        NEAR(told(&mesh).fabric_um, 1.5 * rows[i][1], 1e-9);
    }
    for (size_t i = 0; i < sizeof made / sizeof *made; i++) {
        const dw_mesh mesh = {sizeof mesh, 0, 90, made[i][0], 0, made[i][1]};
        CHECK(told(&mesh).fabric_um == made[i][1]);
        NEAR(told(&mesh).ink_volume, made[i][2], 0.9);
    }
    /* 305 per inch; rules of the trade by their ratios, as the header states them. */
    const dw_mesh fine = {sizeof fine, 305, 0, 40, 0, 0};
    dw_mesh_info info = told(&fine);
    NEAR(info.opening_um, 43.3, 0.051);
    NEAR(info.pitch_um, 25400 / 305.0, 1e-9);
    static const double pitches[] = {1, 1.5, 2}, threads[] = {5, 4, 3.5, 2.5};
    for (int i = 0; i < 3; i++)
        NEAR(info.smallest_dots_um[i], pitches[i] * info.pitch_um, 1e-9);
    for (int i = 0; i < 4; i++)
        NEAR(info.lines_per_inch[i], 305 / threads[i], 1e-9);

    /* 166.7 um in cells of 461.8 um: pi/4 (0.3609)^2. */
    double lightest, darkest;
    DONE(dw_mesh_tints_held(2 * 10000 / 120.0, 55, &lightest, &darkest));
    NEAR(lightest, 0.10229, 1e-5);
    NEAR(darkest, 0.89771, 1e-5);
    DONE(dw_mesh_tints_held(400, 55, &lightest, &darkest));
    CHECK(lightest == 1 && darkest == 0);
}

static dw_structure *dots(double lines, double degrees)
{
    dw_structure *structure = NULL;
    DONE(dw_structure_dots(lines, degrees, &structure));
    return structure;
}

static dw_structure *woven(double threads)
{
    dw_mesh mesh = {sizeof mesh, 0, 0, 40, 0, 0};
    dw_structure *structure = NULL;
    mesh.threads_per_inch = threads;
    DONE(dw_structure_mesh(&mesh, &structure));
    return structure;
}

static dw_beat beat_of(const dw_beats *beats, size_t index)
{
    dw_beat beat;
    beat.struct_size = sizeof beat;
    DONE(dw_beats_get(beats, index, &beat));
    return beat;
}

static size_t count_of(const dw_beats *beats)
{
    size_t count;
    DONE(dw_beats_count(beats, &count));
    return count;
}

/* lines, lines, degrees between, beats per inch, mm: f^2 = f1^2 + f2^2 - 2 f1 f2 cos t, tests/reference/README.md. */
static void gratings(const char *path)
{
    char heading[256];
    double a, b, degrees, per_inch, mm;
    int rows = 0;
    FILE *file = fopen(path, "r");
    CHECK(file != NULL && fgets(heading, sizeof heading, file) != NULL);
    while (fscanf(file, "%lf,%lf,%lf,%lf,%lf", &a, &b, &degrees, &per_inch, &mm) == 5) {
        const dw_look all = {sizeof all, 1, 1, 0, 0};
        dw_structure *first = NULL, *second = NULL;
        dw_beats *beats = NULL;
        DONE(dw_structure_lines(a, 20, &first));
        DONE(dw_structure_lines(b, 20 + degrees, &second));
        DONE(dw_moire_beats(first, second, &all, &beats));
        dw_structure_free(first);
        dw_structure_free(second);
        dw_beat beat = beat_of(beats, 0);
        NEAR(beat.per_inch, per_inch, 1e-5 * per_inch);
        NEAR(beat.period_mm, mm, 1e-5);
        NEAR(beat.amplitude, 0.20264, 1e-5); /* 2 / pi^2 */
        CHECK(beat.first_orders[0] == 1 && beat.second_orders[0] == -1);
        dw_beats_free(beats);
        rows++;
    }
    CHECK(rows == 10);
    fclose(file);
}

/* The lowest beat of the threads' first order with screen orders up to 5, in mm, computed elsewhere: threads, lines, degrees, mm. */
static void screens_on_meshes(void)
{
    static const double rows[][4] = {
        {230, 55, 0, 2.54}, {230, 55, 15, 5.06}, {230, 55, 22.5, 0.75}, {230, 55, 30, 0.74}, {230, 55, 45, 0.48},
        {305, 55, 0, 0.85}, {305, 55, 15, 0.32}, {305, 55, 22.5, 0.29}, {305, 55, 45, 0.22}, {305, 65, 30, 0.35},
    };
    const dw_look all = {sizeof all, 5, 1, 0, 0};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        dw_structure *screen = dots(rows[i][1], rows[i][2]), *mesh = woven(rows[i][0]);
        dw_beats *beats = NULL;
        DONE(dw_moire_beats(screen, mesh, &all, &beats));
        size_t at = 0;
        dw_beat beat = beat_of(beats, at);
        /* Threads, not their weave, which has half orders. */
        while (floor(beat.second_orders[0]) != beat.second_orders[0])
            beat = beat_of(beats, ++at);
        NEAR(beat.period_mm, rows[i][3], 0.0051);
        CHECK(at == 0 || beat_of(beats, at - 1).period_mm >= beat.period_mm);
        dw_beats_free(beats);

        /* As the trade looks: 15 degrees on 230 threads are bad, 22.5 are not; and a remedy remedies. */
        if (rows[i][0] == 230 && rows[i][2] >= 15 && rows[i][2] <= 22.5) {
            int bad = rows[i][2] == 15;
            dw_remedies remedies;
            remedies.struct_size = sizeof remedies;
            DONE(dw_moire_beats(screen, mesh, NULL, &beats));
            CHECK((count_of(beats) > 0) == bad);
            dw_beats_free(beats);
            DONE(dw_moire_remedies(screen, mesh, NULL, 0, 0, &remedies));
            if (bad) {
                CHECK(remedies.turn != 0 && isnan(remedies.both_turn));
                dw_structure *turned = dots(55, 15 + remedies.turn);
                DONE(dw_moire_beats(turned, mesh, NULL, &beats));
                CHECK(count_of(beats) == 0);
                dw_beats_free(beats);
                dw_structure_free(turned);
            } else {
                CHECK(remedies.turn == 0 && remedies.lines == 1);
            }
        }
        dw_structure_free(screen);
        dw_structure_free(mesh);
    }
}

/* 15, 45 and 75 degrees close; a tenth of a degree beats at 265 mm, a whole one at 26.5: 2 sin(e/2) lines. */
static void three_screens(void)
{
    static const double rows[][2] = {{0.1, 265}, {0.25, 106}, {0.5, 53}, {1, 26.5}};
    dw_structure *a = dots(55, 15), *b = dots(55, 45), *c = dots(55, 75);
    dw_closure closure;
    closure.struct_size = sizeof closure;
    DONE(dw_moire_closure(a, b, c, &closure));
    CHECK(isinf(closure.period_mm) && closure.per_inch < 1e-9);
    for (size_t i = 0; i < 4; i++) {
        dw_structure *off = dots(55, 45 + rows[i][0]);
        DONE(dw_moire_closure(a, off, c, &closure));
        NEAR(closure.period_mm, rows[i][1], 3e-3 * rows[i][1]);
        dw_structure_free(off);
    }
    /* Two screens of one lattice never beat, or without end. */
    dw_beats *beats = NULL;
    DONE(dw_moire_beats(a, a, NULL, &beats));
    CHECK(isinf(beat_of(beats, 0).period_mm));
    dw_beats_free(beats);
    dw_structure_free(a);
    dw_structure_free(b);
    dw_structure_free(c);
}

static double spot(double x, double y, void *user)
{
    CHECK(user != NULL); /* ended with the request */
    return -fabs(x) - *(const double *)user * fabs(y);
}

/* A job: two plates that mesh, one at a bad angle, one of the caller's own dots, one of index dots on a mesh of its own. */
static void a_job(void)
{
    const dw_mesh mesh = {sizeof mesh, 230, 0, 40, 0, 0}, coarse = {sizeof coarse, 110, 0, 80, 0, 0};
    dw_request *request = NULL;
    dw_screen *rose = NULL, *black = NULL, *teal = NULL, *own = NULL, *index = NULL;
    dw_structure *structure = NULL, *threads = NULL;
    dw_beats *beats = NULL;
    double *bend = malloc(sizeof *bend);
    CHECK(bend != NULL);
    *bend = 0.5;
    DONE(dw_request_new(720, 720, &request));
    DONE(dw_request_dot(request, DW_DOT_EUCLIDEAN));
    DONE(dw_request_lines(request, 55));
    DONE(dw_screen_build(request, &rose));
    DONE(dw_screen_again(rose, DW_MODE_INVERTED, NULL, &black));
    DONE(dw_request_angle(request, 15));
    DONE(dw_screen_build(request, &teal));
    DONE(dw_request_spot(request, spot, bend));
    DONE(dw_screen_build(request, &own));
    DONE(dw_request_index(request, 3));
    DONE(dw_screen_build(request, &index));
    dw_request_free(request);
    free(bend);

    /* The built lattice has the beat of the one asked for, to its tolerance. */
    DONE(dw_structure_screen(teal, &structure));
    DONE(dw_structure_mesh(&mesh, &threads));
    DONE(dw_moire_beats(structure, threads, NULL, &beats));
    NEAR(beat_of(beats, 0).period_mm, 5.06, 0.1);
    dw_beats_free(beats);
    dw_structure_free(structure);
    dw_structure_free(threads);

    dw_check *check = NULL;
    dw_findings *findings = NULL;
    DONE(dw_check_new(&mesh, &check));
    DONE(dw_check_film(check, "rose", rose, NULL));
    DONE(dw_check_film(check, "teal", teal, NULL));
    DONE(dw_check_film(check, "black", black, NULL));
    DONE(dw_check_film(check, "own", own, NULL));
    DONE(dw_check_film(check, "w\xc3\xa4sh", index, &coarse));
    DONE(dw_check_findings(check, &findings));

    /* Plates that mesh, half and half, shifted by 0.2 mm. */
    dw_slip slip;
    slip.struct_size = sizeof slip;
    DONE(dw_register_slip(rose, black, 0.5, 0.5, 200, &slip));
    CHECK(slip.overlap > 0.1 && slip.worst_overlap >= slip.overlap && slip.worst_gap >= slip.gap);
    NEAR(slip.gap, slip.overlap, 1e-9); /* what falls on ink is missing elsewhere */
    double worst = slip.worst_overlap;
    DONE(dw_register_slip(rose, black, 0.5, 0.5, 0, &slip));
    CHECK(slip.worst_overlap == 0);

    /* Findings outlive what they were found in. */
    dw_check_free(check);
    dw_screen_free(rose);
    dw_screen_free(teal);
    dw_screen_free(black);
    dw_screen_free(own);
    dw_screen_free(index);
    size_t count, moire = 0, ratios = 0, index_dots = 0, register_found = 0;
    uint32_t weight = DW_WEIGHT_WRONG;
    DONE(dw_findings_count(findings, &count));
    for (size_t i = 0; i < count; i++) {
        dw_finding f;
        f.struct_size = sizeof f;
        DONE(dw_findings_get(findings, i, &f));
        CHECK(f.weight <= weight && f.film_count >= 1 && f.text[0] && f.rule[0] && f.unit[0]);
        CHECK((f.source_kind == DW_SOURCE_COMMON_PRACTICE) == (strcmp(f.source, "common practice") == 0));
        weight = f.weight;
        if (f.about == DW_ABOUT_MESH_MOIRE && strcmp(f.films[0], "teal") == 0) {
            CHECK(f.weight > DW_WEIGHT_NOTE && strcmp(f.unit, "mm") == 0 && strstr(f.text, "turn by"));
            moire++;
        }
        if (f.about == DW_ABOUT_THREADS_PER_LINE) {
            NEAR(f.number, 230 / 55.0, 0.01);
            ratios++;
        }
        if (f.about == DW_ABOUT_INDEX_DOT) {
            NEAR(f.number, 3 * 25400 / 720.0, 1e-9);
            /* Smaller than the pitch of its own mesh, 231 um. */
            CHECK(f.weight == DW_WEIGHT_WRONG && f.film_count == 1 && strcmp(f.films[0], "w\xc3\xa4sh") == 0);
            index_dots++;
        }
        if (f.about == DW_ABOUT_REGISTER && strstr(f.text, "50 and 50 %") && strstr(f.text, "0.2 mm")) {
            CHECK(f.film_count == 2 && strcmp(f.films[0], "rose") == 0 && strcmp(f.films[1], "black") == 0);
            NEAR(f.number, 100 * worst, 1e-9);
            register_found++;
        }
    }
    CHECK(moire == 1 && ratios == 4 && index_dots == 1 && register_found == 1);
    dw_findings_free(findings);
}

int main(int count, char **words)
{
    CHECK(count == 2);
    meshes();
    gratings(words[1]);
    screens_on_meshes();
    three_screens();
    a_job();
    return 0;
}
