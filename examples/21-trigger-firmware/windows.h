/* Windows of reading about the stated moments. */
#ifndef WINDOWS_H
#define WINDOWS_H

#include "sample.h"

/* Parts of a window whose means are compared. */
#define WINDOW_PARTS 3u

/* Sums over one window. */
typedef struct {
    uint32_t first; /* ticks, ends of the window */
    uint32_t last;
    int64_t sums[PV_MOST_CHANNELS];
    uint32_t count;
    uint32_t first_instant; /* of the samples taken */
    uint32_t last_instant;
    int32_t least;
    int32_t greatest;
    int64_t parts[WINDOW_PARTS]; /* sums of voltages */
    uint32_t part_counts[WINDOW_PARTS];
    int32_t ahead; /* voltage one length ahead of the window */
    bool has_ahead;
    bool trusted[PV_MOST_CHANNELS];
    bool done;
} window_t;

/* Places one window for each moment of a configuration, ticks after the opening. */
void windows_place(window_t *windows, const pv_configuration_t *configuration, uint32_t opening);

/* Hands a sample to the windows that it lies in. Returns true once all of them are read. */
bool windows_follow(window_t *windows, const pv_configuration_t *configuration, pv_report_t *report,
                    const sample_t *sample);

#endif
