/*
 * Wedges, meshes, beats and checks for comparison with the Rust library: what numbers.txt asks for, in the order in which it is read
 * below, is told on standard output, a number or a text a line.
 *
 *     numbers numbers.txt
 */
#include "check.h"

static FILE *file;

static double number(void)
{
    double value;
    CHECK(fscanf(file, "%lf", &value) == 1);
    return value;
}

static size_t size(void)
{
    return (size_t)number();
}

static void tell(double value)
{
    printf("%.17g\n", value);
}

static void wedge(void)
{
    dw_readings *readings = NULL;
    dw_wedge *wedge = NULL;
    dw_curve *device = NULL, *curve = NULL;
    dw_wedge_info info;
    dw_wedge_patch patch;
    info.struct_size = sizeof info;
    patch.struct_size = sizeof patch;
    DONE(dw_readings_new((uint32_t)number(), &readings));
    double n = number(), channel = number(), noise = number();
    double middle = number(); /* of the film printer's curve, where there is one */
    if (n > 0)
        DONE(dw_readings_yule_nielsen(readings, n));
    else
        DONE(dw_readings_spot_colour(readings));
    if (channel >= 0)
        DONE(dw_readings_channel(readings, (size_t)channel));
    if (noise > 0)
        DONE(dw_readings_noise(readings, noise));
    if (middle > 0) {
        const double x[] = {0.5, 1}, y[] = {middle, 1};
        DONE(dw_curve_through(x, y, 2, &device));
        DONE(dw_readings_asked_of(readings, device));
        dw_curve_free(device);
    }
    double x = number(), y = number(), z = number();
    DONE(dw_readings_white(readings, x, y, z));
    size_t count = size(), values = size();
    while (count--) {
        double film = number(), row[8];
        for (size_t i = 0; i < values; i++)
            row[i] = number();
        DONE(dw_readings_add(readings, film, row, values));
    }
    dw_status status = dw_readings_measure(readings, &wedge);
    dw_readings_free(readings);
    if (status != DW_OK) {
        CHECK(status == DW_ERROR_DATA && wedge == NULL);
        printf("%s\n", dw_last_error());
        return;
    }
    DONE(dw_wedge_get_info(wedge, &info));
    tell((double)info.patches);
    tell((double)info.channel);
    tell(info.contrast);
    tell(info.noise);
    tell(info.noise_known);
    tell(info.direction);
    tell(info.rms_residual);
    tell(info.worst_residual);
    DONE(dw_wedge_curve(wedge, &curve));
    for (size_t i = 0; i < info.patches; i++) {
        double printed;
        DONE(dw_wedge_get_patch(wedge, i, &patch));
        DONE(dw_curve_eval(curve, (double)(i + 1) / 40, &printed));
        tell(patch.film);
        tell(patch.printed);
        tell((double)patch.repeats);
        tell(patch.spread);
        tell(patch.residual);
        tell(printed);
    }
    dw_curve_free(curve);
    dw_wedge_free(wedge);
}

static dw_mesh mesh(void)
{
    dw_mesh mesh = {sizeof mesh, 0, 0, 0, 0, 0};
    mesh.threads_per_inch = number();
    mesh.threads_per_cm = number();
    mesh.thread_um = number();
    mesh.degrees = number();
    mesh.fabric_um = number();
    return mesh;
}

static void mesh_numbers(void)
{
    dw_mesh told = mesh();
    dw_mesh_info info;
    info.struct_size = sizeof info;
    DONE(dw_mesh_get_info(&told, &info));
    const double numbers[] = {info.pitch_um, info.opening_um, info.open_area, info.fabric_um, info.ink_volume};
    for (size_t i = 0; i < 5; i++)
        tell(numbers[i]);
    for (size_t i = 0; i < 3; i++)
        tell(info.smallest_dots_um[i]);
    for (size_t i = 0; i < 4; i++)
        tell(info.lines_per_inch[i]);
    double lightest, darkest;
    DONE(dw_mesh_tints_held(info.smallest_dots_um[2], number(), &lightest, &darkest));
    tell(lightest);
    tell(darkest);
}

static dw_structure *structure(void)
{
    dw_structure *structure = NULL;
    size_t kind = size();
    double lines = number(), degrees = number();
    DONE((kind ? dw_structure_lines : dw_structure_dots)(lines, degrees, &structure));
    return structure;
}

static void orders(const double pair[2])
{
    tell(pair[0]);
    tell(pair[1]);
}

static void beats(void)
{
    dw_structure *first = structure(), *second = structure(), *woven = NULL;
    dw_mesh threads = mesh();
    dw_look look = {sizeof look, 0, 0, 0, 0};
    dw_closure closure;
    dw_remedies remedies;
    closure.struct_size = sizeof closure;
    remedies.struct_size = sizeof remedies;
    DONE(dw_structure_mesh(&threads, &woven));
    look.first_orders = (uint32_t)number();
    look.second_orders = (uint32_t)number();
    look.amplitude = number();
    look.periods = number();
    double degrees = number(), relative = number();
    for (int i = 0; i < 2; i++) {
        const dw_structure *other = i ? woven : second;
        dw_beats *found = NULL;
        size_t count;
        DONE(dw_moire_beats(first, other, i ? NULL : &look, &found));
        DONE(dw_beats_count(found, &count));
        tell((double)count);
        for (size_t at = 0; at < count; at++) {
            dw_beat beat;
            beat.struct_size = sizeof beat;
            DONE(dw_beats_get(found, at, &beat));
            orders(beat.first_orders);
            orders(beat.second_orders);
            tell(beat.per_inch);
            tell(beat.degrees);
            tell(beat.period_mm);
            tell(beat.amplitude);
        }
        dw_beats_free(found);
        DONE(dw_moire_remedies(first, other, i ? NULL : &look, degrees, relative, &remedies));
        tell(remedies.turn);
        tell(remedies.lines);
        tell(remedies.both_turn);
        tell(remedies.both_lines);
    }
    DONE(dw_moire_closure(first, second, woven, &closure));
    orders(closure.first_orders);
    orders(closure.second_orders);
    orders(closure.third_orders);
    tell(closure.per_inch);
    tell(closure.period_mm);
    dw_structure_free(first);
    dw_structure_free(second);
    dw_structure_free(woven);
}

/* Films of one printer: name, lines, angle, dot, and whether it is inverted on the lattice of the one before. */
static void check(void)
{
    const double resolution = number();
    dw_mesh job = mesh(), own = mesh();
    dw_check *check = NULL;
    dw_findings *findings = NULL;
    dw_screen *before = NULL, *screen = NULL;
    DONE(dw_check_new(&job, &check));
    size_t count = size();
    for (size_t i = 0; i < count; i++) {
        char name[32];
        CHECK(fscanf(file, "%31s", name) == 1);
        double lines = number(), degrees = number();
        uint32_t dot = (uint32_t)number();
        size_t inverted = size(), on_own = size();
        if (inverted) {
            DONE(dw_screen_again(before, DW_MODE_INVERTED, NULL, &screen));
        } else {
            dw_request *request = NULL;
            DONE(dw_request_new(resolution, resolution, &request));
            DONE(dw_request_lines(request, lines));
            DONE(dw_request_angle(request, degrees));
            if (dot < 6)
                DONE(dw_request_dot(request, dot));
            else
                DONE(dw_request_index(request, 4));
            DONE(dw_screen_build(request, &screen));
            dw_request_free(request);
        }
        DONE(dw_check_film(check, name, screen, on_own ? &own : NULL));
        if (inverted) {
            dw_slip slip;
            slip.struct_size = sizeof slip;
            DONE(dw_register_slip(before, screen, 0.4, 0.6, 150, &slip));
            tell(slip.overlap);
            tell(slip.worst_overlap);
            tell(slip.gap);
            tell(slip.worst_gap);
        }
        dw_screen_free(before);
        before = screen;
    }
    dw_screen_free(before);
    DONE(dw_check_findings(check, &findings));
    dw_check_free(check);
    DONE(dw_findings_count(findings, &count));
    for (size_t i = 0; i < count; i++) {
        dw_finding f;
        f.struct_size = sizeof f;
        DONE(dw_findings_get(findings, i, &f));
        tell(f.about);
        tell(f.weight);
        tell(f.source_kind);
        tell(f.number);
        for (uint32_t film = 0; film < f.film_count; film++)
            printf("%s\n", f.films[film]);
        printf("%s\n%s\n%s\n%s\n", f.unit, f.text, f.rule, f.source);
    }
    dw_findings_free(findings);
}

int main(int count, char **words)
{
    char kind[16];
    CHECK(count == 2 && (file = fopen(words[1], "r")) != NULL);
    while (fscanf(file, "%15s", kind) == 1) {
        if (strcmp(kind, "wedge") == 0) {
            wedge();
        } else if (strcmp(kind, "mesh") == 0) {
            mesh_numbers();
        } else if (strcmp(kind, "beats") == 0) {
            beats();
        } else {
            CHECK(strcmp(kind, "check") == 0);
            check();
        }
    }
    fclose(file);
    return 0;
}
