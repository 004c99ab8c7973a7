/* Eight threads on one screen: the film of one thread, and the words of each thread's own failure. */
#define _POSIX_C_SOURCE 200809L
#include "check.h"
#include <pthread.h>

enum { THREADS = 8, WIDTH = 1003, HEIGHT = 8 * 40, STRIDE = 128 };

static uint16_t samples[HEIGHT][WIDTH];
static uint8_t shared[HEIGHT][STRIDE], alone[HEIGHT][STRIDE];
static dw_screen *screen;
static pthread_barrier_t all_failed;

static dw_plate plate(void)
{
    dw_plate plate = {0};
    plate.struct_size = sizeof plate;
    plate.sample = DW_SAMPLE_U16;
    plate.samples = samples;
    plate.bytes = sizeof samples;
    plate.stride = sizeof samples[0];
    plate.width = WIDTH;
    plate.height = HEIGHT;
    plate.x = -700;
    plate.y = 90000;
    return plate;
}

static void run(uint8_t (*rows)[STRIDE], size_t first, size_t height)
{
    dw_plate whole = plate();
    dw_film_out out = {sizeof out, rows[first], height * STRIDE, STRIDE, WIDTH, height};
    DONE(dw_screen_run(screen, &whole, whole.x, whole.y + (int64_t)first, &out));
}

static void *work(void *user)
{
    size_t number = (size_t)(uintptr_t)user, band = HEIGHT / THREADS;
    char wrong[32];
    CHECK(dw_last_error()[0] == '\0');
    dw_request *request = NULL;
    dw_screen *again = NULL;
    DONE(dw_request_new(720, 720, &request));
    CHECK(dw_request_lines(request, 70000.0 + (double)number) == DW_ERROR_REQUEST);
    pthread_barrier_wait(&all_failed);
    sprintf(wrong, "7000%d", (int)number);
    CHECK(strstr(dw_last_error(), wrong) != NULL);

    for (int times = 0; times < 5; times++) {
        run(shared, number * band, band);
        DONE(dw_screen_again(screen, DW_MODE_INVERTED, NULL, &again));
        dw_screen_free(again);
    }
    /* A handle may be ended on a thread that did not make it, and each thread may build its own. */
    DONE(dw_screen_build(request, &again));
    dw_screen_free(again);
    dw_request_free(request);
    return NULL;
}

int main(void)
{
    pthread_t threads[THREADS];
    dw_request *request = NULL;
    for (size_t y = 0; y < HEIGHT; y++)
        for (size_t x = 0; x < WIDTH; x++)
            samples[y][x] = (uint16_t)(x * 65 + y * 3);
    DONE(dw_request_new(720, 720, &request));
    DONE(dw_screen_build(request, &screen));
    dw_request_free(request);

    run(alone, 0, HEIGHT);
    CHECK(pthread_barrier_init(&all_failed, NULL, THREADS) == 0);
    for (size_t i = 0; i < THREADS; i++)
        CHECK(pthread_create(&threads[i], NULL, work, (void *)(uintptr_t)i) == 0);
    for (size_t i = 0; i < THREADS; i++)
        CHECK(pthread_join(threads[i], NULL) == 0);
    pthread_barrier_destroy(&all_failed);
    CHECK(memcmp(shared, alone, sizeof shared) == 0);

    dw_plate whole = plate();
    dw_film_out out = {sizeof out, shared[0], sizeof shared, STRIDE, WIDTH, HEIGHT};
    memset(shared, 0, sizeof shared);
    DONE(dw_screen_run_threaded(screen, &whole, whole.x, whole.y, &out));
    CHECK(memcmp(shared, alone, sizeof shared) == 0);
    dw_screen_free(screen);
    return 0;
}
