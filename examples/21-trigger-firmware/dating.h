/* Finds the last electrical opening in the history of a voltage that has held since. */
#ifndef DATING_H
#define DATING_H

#include "held.h"
#include <stdbool.h>

typedef struct {
    uint32_t newest;       /* place of the newest sample */
    uint32_t earliest;     /* place that the opening does not lie before */
    uint32_t period16;     /* of the mains, 1/16 sample */
    uint32_t lag16;        /* time constant of the filter ahead of the converter, 1/16 sample */
    uint32_t samples_in_ms; /* of one millisecond, one or more */
    int32_t crest;         /* of the mains, result units */
    int32_t lsb;           /* result units of one code */
} dating_t;

typedef struct {
    uint32_t place; /* last sample at which the pins were driven */
    held_t held;    /* what they have held since */
} opening_t;

opening_t date_opening(const dating_t *dating);

#endif
