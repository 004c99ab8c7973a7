/* What the C tests share. */
#ifndef CHECK_H
#define CHECK_H

#include <dotwright.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Ends the program with the place and the library's words where a condition does not hold. */
#define CHECK(condition)                                                                        \
    do {                                                                                        \
        if (!(condition)) {                                                                     \
            fprintf(stderr, "%s:%d: %s does not hold (%s)\n", __FILE__, __LINE__, #condition,   \
                    dw_last_error());                                                           \
            exit(1);                                                                            \
        }                                                                                       \
    } while (0)

#define DONE(call) CHECK((call) == DW_OK)

#endif
