/* For how long the voltage has held: one sign, above the trigger level, no rise. */
#ifndef HOLD_H
#define HOLD_H

#include <stdint.h>

typedef struct {
    uint32_t run;  /* samples for which it has held */
    int32_t sign;  /* 1 or -1 */
    int32_t least; /* result units, in its own sign */
} hold_t;

typedef struct {
    int32_t level; /* result units, below which nothing is held */
    int32_t rise;  /* result units above the least that noise may make */
} hold_limits_t;

/* Follows the voltage by one sample. */
void hold_follow(hold_t *hold, int32_t voltage, const hold_limits_t *limits);

#endif
