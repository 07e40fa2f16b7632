/* Only differences of instants mean anything: they stay right while the counter wraps. */
#include "clock.h"

uint32_t ticks_of_ms(const pv_configuration_t *configuration, uint32_t ms)
{
    return (uint32_t)((uint64_t)configuration->tick_rate * ms / 1000u);
}

uint32_t samples_of_ms(const pv_configuration_t *configuration, uint32_t ms)
{
    return ticks_of_ms(configuration, ms) / configuration->ticks_per_sample;
}

bool has_passed(uint32_t instant, uint32_t since, uint32_t limit)
{
    return instant - since >= limit && instant - since < 0x80000000u;
}
