/*
 * Bad calls of the press room: meshes, moiré, register and the check. As bad_calls.c.
 *
 * Ends with "N bad calls refused".
 */
#include "bad.h"
#include <float.h>
#include <math.h>

static double low, high, room[32];
static size_t count;
static dw_mesh_info info;
static dw_slip slip;
static dw_beat beat;
static dw_closure closure;
static dw_remedies remedies;
static dw_finding finding;
static dw_structure *new_structure;
static dw_beats *new_beats;
static dw_check *new_check;
static dw_findings *new_findings;

static output *outputs(size_t *number)
{
    static output all[] = {
        OUTPUT(PLAIN, low), OUTPUT(PLAIN, high), OUTPUT(PLAIN, room), OUTPUT(PLAIN, count), OUTPUT(SIZED, info),
        OUTPUT(SIZED, slip), OUTPUT(SIZED, beat), OUTPUT(SIZED, closure), OUTPUT(SIZED, remedies), OUTPUT(SIZED, finding),
        OUTPUT(HANDLE, new_structure), OUTPUT(HANDLE, new_beats), OUTPUT(HANDLE, new_check), OUTPUT(HANDLE, new_findings),
    };
    *number = sizeof all / sizeof *all;
    return all;
}

/* Inputs that are right: a mesh, screens that mesh, one of index dots, two structures that beat, a check of two films. */
static const dw_mesh mesh = {sizeof mesh, 230, 0, 40, 0, 0};
static const dw_look look = {sizeof look, 5, 5, 0.005, 2};
static dw_screen *normal, *inverted, *other, *index_dots;
static dw_structure *dots, *woven;
static dw_beats *beats;
static dw_check *check;
static dw_findings *findings;

static void make_inputs(void)
{
    dw_request *request = NULL;
    DONE(dw_request_new(600, 600, &request));
    DONE(dw_request_dot(request, DW_DOT_EUCLIDEAN));
    DONE(dw_screen_build(request, &normal));
    DONE(dw_screen_again(normal, DW_MODE_INVERTED, NULL, &inverted));
    DONE(dw_request_angle(request, 45));
    DONE(dw_screen_build(request, &other));
    DONE(dw_request_index(request, 4));
    DONE(dw_screen_build(request, &index_dots));
    dw_request_free(request);
    DONE(dw_structure_dots(55, 15, &dots));
    DONE(dw_structure_mesh(&mesh, &woven));
    DONE(dw_moire_beats(dots, woven, &look, &beats));
    DONE(dw_check_new(&mesh, &check));
    DONE(dw_check_film(check, "white", normal, NULL));
    DONE(dw_check_film(check, "black", inverted, &mesh));
    DONE(dw_check_findings(check, &findings));
}

/* A mesh with one member changed, in every call that reads one. */
#define BAD_MESH(member, value)                                                                    \
    do {                                                                                           \
        dw_mesh m = mesh;                                                                          \
        m.member = (value);                                                                        \
        BAD(REQUEST, dw_mesh_get_info(&m, &info));                                                 \
        NO_HANDLE(REQUEST, new_structure, dw_structure_mesh(&m, &new_structure));                  \
        NO_HANDLE(REQUEST, new_check, dw_check_new(&m, &new_check));                               \
        BAD(REQUEST, dw_check_film(check, "third", normal, &m));                                   \
    } while (0)
/* The same for what matters of beats. */
#define BAD_LOOK(member, value)                                                                    \
    do {                                                                                           \
        dw_look l = look;                                                                          \
        l.member = (value);                                                                        \
        NO_HANDLE(REQUEST, new_beats, dw_moire_beats(dots, woven, &l, &new_beats));                \
        BAD(REQUEST, dw_moire_remedies(dots, woven, &l, 1, 0.02, &remedies));                      \
    } while (0)

static void bad_meshes(void)
{
    BAD_MESH(struct_size, 0);
    BAD_MESH(struct_size, sizeof mesh - 1);
    BAD_MESH(threads_per_inch, 0); /* then neither is told */
    BAD_MESH(threads_per_inch, -230);
    BAD_MESH(threads_per_inch, NAN);
    BAD_MESH(threads_per_inch, INFINITY);
    BAD_MESH(threads_per_inch, 2600);
    BAD_MESH(threads_per_cm, 90); /* both */
    BAD_MESH(threads_per_cm, NAN);
    BAD_MESH(thread_um, 0);
    BAD_MESH(thread_um, -40);
    BAD_MESH(thread_um, 111); /* the pitch is 110.4 */
    BAD_MESH(thread_um, NAN);
    BAD_MESH(degrees, NAN);
    BAD_MESH(degrees, INFINITY);
    BAD_MESH(fabric_um, 39);
    BAD_MESH(fabric_um, 121);
    BAD_MESH(fabric_um, -60);
    BAD_MESH(fabric_um, NAN);
    BAD(REQUEST, dw_mesh_get_info(NULL, &info));
    BAD(REQUEST, dw_mesh_get_info(MISALIGNED(const dw_mesh, room), &info));
    BAD(REQUEST, dw_mesh_get_info(&mesh, NULL));
    BAD(REQUEST, dw_mesh_get_info(&mesh, MISALIGNED(dw_mesh_info, room)));
    TOO_SMALL(info, dw_mesh_get_info(&mesh, &info));
    BAD(REQUEST, dw_mesh_tints_held(150, 55, NULL, &high));
    BAD(REQUEST, dw_mesh_tints_held(150, 55, &low, NULL));
    BAD(REQUEST, dw_mesh_tints_held(NAN, 55, &low, &high));
    BAD(REQUEST, dw_mesh_tints_held(150, 0, &low, &high));
    BAD(REQUEST, dw_mesh_tints_held(150, NAN, &low, &high));
}

static void bad_slips(void)
{
    BAD(REQUEST, dw_register_slip(NULL, inverted, 0.5, 0.5, 100, &slip));
    BAD(REQUEST, dw_register_slip(normal, NULL, 0.5, 0.5, 100, &slip));
    BAD(REQUEST, dw_register_slip(MISALIGNED(dw_screen, normal), inverted, 0.5, 0.5, 100, &slip));
    BAD(REQUEST, dw_register_slip(normal, inverted, 0.5, 0.5, 100, NULL));
    BAD(REQUEST, dw_register_slip(inverted, normal, 0.5, 0.5, 100, &slip));
    BAD(REQUEST, dw_register_slip(normal, other, 0.5, 0.5, 100, &slip));
    BAD(REQUEST, dw_register_slip(normal, normal, 0.5, 0.5, 100, &slip));
    BAD(REQUEST, dw_register_slip(index_dots, index_dots, 0.5, 0.5, 100, &slip));
    BAD(REQUEST, dw_register_slip(normal, inverted, -0.1, 0.5, 100, &slip));
    BAD(REQUEST, dw_register_slip(normal, inverted, 0.5, NAN, 100, &slip));
    BAD(REQUEST, dw_register_slip(normal, inverted, 0.5, 50, 100, &slip));
    BAD(REQUEST, dw_register_slip(normal, inverted, 0.5, 0.5, NAN, &slip));
    BAD(REQUEST, dw_register_slip(normal, inverted, 0.5, 0.5, 1e9, &slip)); /* more than 512 pixels */
    TOO_SMALL(slip, dw_register_slip(normal, inverted, 0.5, 0.5, 100, &slip));
}

static void bad_structures(void)
{
    NO_HANDLE(REQUEST, new_structure, dw_structure_screen(NULL, &new_structure));
    NO_HANDLE(REQUEST, new_structure, dw_structure_screen(index_dots, &new_structure));
    BAD(REQUEST, dw_structure_screen(normal, NULL));
    NO_HANDLE(REQUEST, new_structure, dw_structure_dots(0, 15, &new_structure));
    NO_HANDLE(REQUEST, new_structure, dw_structure_dots(NAN, 15, &new_structure));
    NO_HANDLE(REQUEST, new_structure, dw_structure_dots(55, NAN, &new_structure));
    BAD(REQUEST, dw_structure_dots(55, 15, NULL));
    NO_HANDLE(REQUEST, new_structure, dw_structure_lines(-55, 15, &new_structure));
    NO_HANDLE(REQUEST, new_structure, dw_structure_lines(55, INFINITY, &new_structure));
    BAD(REQUEST, dw_structure_lines(55, 15, MISALIGNED(dw_structure *, room)));
    NO_HANDLE(REQUEST, new_structure, dw_structure_mesh(NULL, &new_structure));
    BAD(REQUEST, dw_structure_mesh(&mesh, NULL));
}

static void bad_beats(void)
{
    size_t found = 0;
    DONE(dw_beats_count(beats, &found));
    CHECK(found > 0);
    NO_HANDLE(REQUEST, new_beats, dw_moire_beats(NULL, woven, NULL, &new_beats));
    NO_HANDLE(REQUEST, new_beats, dw_moire_beats(dots, NULL, NULL, &new_beats));
    NO_HANDLE(REQUEST, new_beats, dw_moire_beats(dots, MISALIGNED(dw_structure, woven), NULL, &new_beats));
    NO_HANDLE(REQUEST, new_beats, dw_moire_beats(dots, woven, MISALIGNED(const dw_look, room), &new_beats));
    BAD(REQUEST, dw_moire_beats(dots, woven, NULL, NULL));
    BAD_LOOK(struct_size, sizeof look - 1);
    BAD_LOOK(first_orders, 0);
    BAD_LOOK(first_orders, 9);
    BAD_LOOK(second_orders, 257); /* one, if it were cut to a byte */
    BAD_LOOK(second_orders, UINT32_MAX);
    BAD_LOOK(amplitude, -0.1);
    BAD_LOOK(amplitude, NAN);
    BAD_LOOK(periods, 1001);
    BAD_LOOK(periods, NAN);
    BAD(REQUEST, dw_beats_count(NULL, &count));
    BAD(REQUEST, dw_beats_count(beats, NULL));
    BAD(REQUEST, dw_beats_get(NULL, 0, &beat));
    BAD(REQUEST, dw_beats_get(beats, 0, NULL));
    BAD(REQUEST, dw_beats_get(beats, found, &beat));
    BAD(REQUEST, dw_beats_get(beats, SIZE_MAX, &beat));
    TOO_SMALL(beat, dw_beats_get(beats, 0, &beat));

    BAD(REQUEST, dw_moire_remedies(NULL, woven, NULL, 1, 0.02, &remedies));
    BAD(REQUEST, dw_moire_remedies(dots, NULL, NULL, 1, 0.02, &remedies));
    BAD(REQUEST, dw_moire_remedies(dots, woven, NULL, 1, 0.02, NULL));
    BAD(REQUEST, dw_moire_remedies(dots, woven, NULL, -1, 0.02, &remedies));
    BAD(REQUEST, dw_moire_remedies(dots, woven, NULL, 11, 0.02, &remedies));
    BAD(REQUEST, dw_moire_remedies(dots, woven, NULL, NAN, 0.02, &remedies));
    BAD(REQUEST, dw_moire_remedies(dots, woven, NULL, 1, 2, &remedies));
    BAD(REQUEST, dw_moire_remedies(dots, woven, NULL, 1, NAN, &remedies));
    TOO_SMALL(remedies, dw_moire_remedies(dots, woven, NULL, 1, 0.02, &remedies));

    BAD(REQUEST, dw_moire_closure(NULL, dots, dots, &closure));
    BAD(REQUEST, dw_moire_closure(dots, NULL, dots, &closure));
    BAD(REQUEST, dw_moire_closure(dots, dots, NULL, &closure));
    BAD(REQUEST, dw_moire_closure(dots, dots, dots, NULL));
    TOO_SMALL(closure, dw_moire_closure(dots, dots, dots, &closure));
}

static void bad_checks(void)
{
    dw_check *none = NULL;
    size_t found = 0;
    DONE(dw_findings_count(findings, &found));
    NO_HANDLE(REQUEST, new_check, dw_check_new(NULL, &new_check));
    BAD(REQUEST, dw_check_new(&mesh, NULL));
    BAD(REQUEST, dw_check_film(NULL, "third", normal, NULL));
    BAD(REQUEST, dw_check_film(MISALIGNED(dw_check, check), "third", normal, NULL));
    BAD(REQUEST, dw_check_film(check, NULL, normal, NULL));
    BAD(REQUEST, dw_check_film(check, "\xff", normal, NULL));
    BAD(REQUEST, dw_check_film(check, "third", NULL, NULL));
    BAD(REQUEST, dw_check_film(check, "third", MISALIGNED(dw_screen, normal), NULL));
    BAD(REQUEST, dw_check_film(check, "third", normal, MISALIGNED(const dw_mesh, room)));
    NO_HANDLE(REQUEST, new_findings, dw_check_findings(NULL, &new_findings));
    BAD(REQUEST, dw_check_findings(check, NULL));
    DONE(dw_check_new(&mesh, &none));
    NO_HANDLE(REQUEST, new_findings, dw_check_findings(none, &new_findings)); /* no films */
    for (int i = 0; i < 33; i++)
        DONE(dw_check_film(none, "", normal, NULL));
    NO_HANDLE(REQUEST, new_findings, dw_check_findings(none, &new_findings)); /* too many */
    dw_check_free(none);

    BAD(REQUEST, dw_findings_count(NULL, &count));
    BAD(REQUEST, dw_findings_count(findings, NULL));
    BAD(REQUEST, dw_findings_get(NULL, 0, &finding));
    BAD(REQUEST, dw_findings_get(findings, 0, NULL));
    BAD(REQUEST, dw_findings_get(findings, found, &finding));
    BAD(REQUEST, dw_findings_get(findings, SIZE_MAX, &finding));
    TOO_SMALL(finding, dw_findings_get(findings, 0, &finding));

    /* The check is what it was before: two films. */
    dw_findings *after = NULL;
    DONE(dw_check_findings(check, &after));
    DONE(dw_findings_count(after, &count));
    CHECK(count == found);
    dw_findings_free(after);
}

int main(void)
{
    make_inputs();
    bad_meshes();
    bad_slips();
    bad_structures();
    bad_beats();
    bad_checks();

    dw_structure_free(NULL);
    dw_beats_free(NULL);
    dw_check_free(NULL);
    dw_findings_free(NULL);
    dw_screen_free(normal);
    dw_screen_free(inverted);
    dw_screen_free(other);
    dw_screen_free(index_dots);
    dw_structure_free(dots);
    dw_structure_free(woven);
    dw_beats_free(beats);
    dw_check_free(check);
    dw_findings_free(findings);
    printf("%d bad calls refused\n", refused);
    return 0;
}
