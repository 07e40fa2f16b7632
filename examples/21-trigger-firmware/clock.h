/* Instants are ticks of a counter that wraps; durations are stated in milliseconds. */
#ifndef CLOCK_H
#define CLOCK_H

#include "plumbvolt_port.h"
#include <stdbool.h>

uint32_t ticks_of_ms(const pv_configuration_t *configuration, uint32_t ms);

uint32_t samples_of_ms(const pv_configuration_t *configuration, uint32_t ms);

/* True from `limit` ticks after `since` on; right across one wrap of the counter. */
bool has_passed(uint32_t instant, uint32_t since, uint32_t limit);

#endif
