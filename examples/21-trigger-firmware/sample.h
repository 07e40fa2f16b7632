/* One sample, and what its channels are together. */
#ifndef SAMPLE_H
#define SAMPLE_H

#include "plumbvolt_port.h"
#include <stdbool.h>

/* One sample after conversion. */
typedef struct {
    uint32_t instant;
    int32_t voltage;
    int32_t codes[PV_MOST_CHANNELS];
    bool trusted[PV_MOST_CHANNELS];
} sample_t;

/* Voltage of channels in result units, by their role. */
int32_t voltage_of(const pv_configuration_t *configuration, const int32_t *units,
                   const bool *trusted);

/* Whether the voltage of the channels rests on a code that may not be trusted. */
bool is_over_range(const pv_configuration_t *configuration, const bool *trusted);

/* Converts one sample of a block. Returns false for a code that no working converter gives. */
bool sample_convert(const pv_configuration_t *configuration, const pv_block_t *block,
                    uint32_t index, sample_t *sample);

#endif
