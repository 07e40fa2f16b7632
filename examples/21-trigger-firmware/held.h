/* The voltage of a product that is left to itself: an exponential through two means. */
#ifndef HELD_H
#define HELD_H

#include <stdint.h>

typedef struct {
    uint32_t place;  /* at which the voltage is known best */
    int32_t voltage; /* there, result units */
    int32_t rate;    /* share that one sample takes away, 2^-24 */
} held_t;

/*
 * Fits the exponential to the means of `count` samples from `early` and from `late` on. Where it
 * cannot have been one, the mean of the early ones stands for all.
 */
held_t held_through(uint32_t early, uint32_t late, uint32_t count);

/* Voltage of the exponential at a place, result units. */
int32_t held_at(const held_t *held, uint32_t place);

#endif
