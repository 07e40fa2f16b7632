/* Codes to result units. */
#ifndef CONVERT_H
#define CONVERT_H

#include "plumbvolt_port.h"
#include <stdbool.h>

/* Most codes of one mean: with it no intermediate result leaves 64 bits. */
#define MOST_AVERAGED 4096u

/* True where every code of the given width converts, alone or in a mean, without overflow. */
bool scale_is_usable(const pv_configuration_t *configuration, uint32_t channel);

/* Result units of the mean of `count` codes of one channel with the given sum. */
int32_t units_of_mean(const pv_configuration_t *configuration, uint32_t channel, int64_t sum,
                      uint32_t count);

/* Result units of one code of a channel. */
int32_t units_of_sample(const pv_configuration_t *configuration, uint32_t channel, int32_t code);

/* Result units of one step of the code of the first channel, rounded down. */
int32_t units_of_code(const pv_configuration_t *configuration);

/* Voltage without its sign. */
int32_t size_of(int32_t voltage);

#endif
