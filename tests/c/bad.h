/*
 * What the programs of bad calls share. Each lists its outputs; every BAD call is then answered with the status expected and with
 * words of its own, and writes to none of them.
 */
#ifndef BAD_H
#define BAD_H

#include "check.h"

enum kind { PLAIN, SIZED, HANDLE };

typedef struct {
    enum kind kind;
    void *at;
    size_t bytes;
    size_t size; /* what the struct_size of one that is SIZED says */
} output;

#define OUTPUT(kind, variable) {kind, &(variable), sizeof(variable), sizeof(variable)}

/* Every output of the program, by the program itself. */
static output *outputs(size_t *count);

static int refused;
static uint8_t mark; /* its address stands in the places for handles */

static void marks(void)
{
    const void *address = &mark;
    dw_request *none = NULL;
    size_t count;
    const output *o = outputs(&count);
    for (; count--; o++) {
        memset(o->at, 0xa5, o->bytes);
        if (o->kind == HANDLE)
            memcpy(o->at, &address, sizeof address);
        if (o->kind == SIZED)
            memcpy(o->at, &o->size, sizeof o->size);
    }
    /* Words that no bad call has. */
    CHECK(dw_request_new(987654321, 987654321, &none) == DW_ERROR_REQUEST);
    CHECK(strstr(dw_last_error(), "987654321") != NULL);
}

static int untouched(void)
{
    size_t count;
    const output *o = outputs(&count);
    for (; count--; o++) {
        const uint8_t *bytes = o->at;
        void *handle;
        size_t size = 0;
        if (o->kind == HANDLE) {
            memcpy(&handle, o->at, sizeof handle);
            if (handle != NULL && handle != (void *)&mark)
                return 0;
            continue;
        }
        if (o->kind == SIZED) {
            memcpy(&size, o->at, sizeof size);
            if (size != o->size)
                return 0;
            size = sizeof size;
        }
        for (; size < o->bytes; size++)
            if (bytes[size] != 0xa5)
                return 0;
    }
    return 1;
}

static void answered(int line, const char *call, dw_status expected, dw_status status)
{
    const char *words = dw_last_error();
    if (status != expected || words[0] == '\0' || strstr(words, "987654321") || !untouched()) {
        fprintf(stderr, "line %d: %s\n  answered %d (%s), expected %d%s\n", line, call, (int)status, words, (int)expected,
                untouched() ? "" : "; an output was touched");
        exit(1);
    }
    refused++;
}

/* What the struct_size of an output says from now on. */
static inline void state_size(const void *at, size_t size)
{
    size_t count;
    output *o = outputs(&count);
    for (; count--; o++)
        if (o->at == at)
            o->size = size;
}

#define REQUEST DW_ERROR_REQUEST
#define DATA DW_ERROR_DATA
#define MISALIGNED(type, pointer) ((type *)(void *)((char *)(void *)(pointer) + 1))

#define BAD(expected, call) (marks(), answered(__LINE__, #call, expected, call))
/* The same with a handle asked for, which must be NULL. */
#define NO_HANDLE(expected, handle, call) \
    do {                                  \
        BAD(expected, call);              \
        CHECK((handle) == NULL);          \
    } while (0)
/* The same with a structure to fill in that says to be too small. */
#define TOO_SMALL(structure, call)                         \
    do {                                                   \
        const size_t sizes[] = {0, 8, sizeof(structure) - 1}; \
        for (size_t i = 0; i < 3; i++) {                   \
            state_size(&(structure), sizes[i]);            \
            BAD(REQUEST, call);                            \
        }                                                  \
        state_size(&(structure), sizeof(structure));       \
    } while (0)

#endif
