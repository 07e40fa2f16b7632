/*
 * When limit lines are passed. The voltage is known within a margin, and so is the time: the
 * earliest instant at which it can have been the line's and the latest. One sample beyond may be
 * noise, so that three in a row count, from the first of them.
 */
#include "lines.h"
#include "convert.h"

#define SAMPLES_TO_CROSS 3u

void lines_clear(edges_t *all)
{
    uint32_t line;

    for (line = 0u; line < PV_MOST_LINES; line++) {
        all->edges[line][0] = (edge_t){0};
        all->edges[line][1] = (edge_t){0};
    }
}

/* Follows one end of one line's crossing; the first of three samples beyond it is the crossing. */
static void follow_edge(edge_t *edge, bool beyond, uint32_t after, uint32_t *found, bool *is_found)
{
    if (!beyond) {
        edge->run = 0u;
        return;
    }
    if (edge->run == 0u) {
        edge->began = after;
    }
    edge->run++;
    if (edge->run == SAMPLES_TO_CROSS) {
        *found = edge->began;
        *is_found = true;
    }
}

void lines_follow(edges_t *all, const pv_configuration_t *configuration, pv_crossing_t *crossings,
                  const line_sample_t *sample)
{
    int32_t size = size_of(sample->voltage);
    uint32_t after = sample->after;
    uint32_t line;

    for (line = 0u; line < configuration->line_count; line++) {
        const pv_line_t *limit = &configuration->lines[line];
        pv_crossing_t *crossing = &crossings[line];
        edge_t *edges = all->edges[line];
        bool found = false;

        if ((crossing->known & PV_CROSSING_EARLIEST) == 0u) {
            follow_edge(&edges[0], size <= limit->level + limit->margin, after,
                        &crossing->earliest, &found);
            crossing->known |= found ? PV_CROSSING_EARLIEST : 0u;
        }
        found = false;
        if ((crossing->known & PV_CROSSING_LATEST) == 0u) {
            follow_edge(&edges[1], size < limit->level - limit->margin, after,
                        &crossing->latest, &found);
            crossing->known |= found ? PV_CROSSING_LATEST : 0u;
        }
    }
}
