/* Limit lines: when the voltage passes them, in either polarity. */
#ifndef LINES_H
#define LINES_H

#include "plumbvolt_port.h"
#include <stdbool.h>

/* An end of a crossing that is being confirmed. */
typedef struct {
    uint32_t run; /* samples beyond it */
    uint32_t began;
} edge_t;

typedef struct {
    edge_t edges[PV_MOST_LINES][2];
} edges_t;

typedef struct {
    int32_t voltage; /* result units */
    uint32_t after;  /* ticks after the opening */
} line_sample_t;

void lines_clear(edges_t *all);

/* Follows the lines of a configuration by one sample and writes the crossings that it confirms. */
void lines_follow(edges_t *all, const pv_configuration_t *configuration, pv_crossing_t *crossings,
                  const line_sample_t *sample);

#endif
