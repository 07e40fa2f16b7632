/*
 * From codes to one voltage. A fine and a coarse channel: the fine one while it may be trusted. Two
 * pins: their difference.
 */
#include "sample.h"
#include "convert.h"

int32_t voltage_of(const pv_configuration_t *configuration, const int32_t *units,
                   const bool *trusted)
{
    switch (configuration->role) {
    case PV_ROLE_PER_PIN:
        return units[0] - units[1];
    case PV_ROLE_RANGES:
        return trusted[0] ? units[0] : units[1];
    default:
        return units[0];
    }
}

bool is_over_range(const pv_configuration_t *configuration, const bool *trusted)
{
    switch (configuration->role) {
    case PV_ROLE_PER_PIN:
        return !(trusted[0] && trusted[1]);
    case PV_ROLE_RANGES:
        return !trusted[1] && !trusted[0];
    default:
        return !trusted[0];
    }
}

bool sample_convert(const pv_configuration_t *configuration, const pv_block_t *block,
                    uint32_t index, sample_t *sample)
{
    int32_t span = (int32_t)1 << configuration->code_bits;
    int32_t lowest = configuration->least_trusted_code < 0 ? -(span / 2) : 0;
    int32_t units[PV_MOST_CHANNELS] = {0, 0};
    uint32_t channel;

    sample->instant = block->time_stamp + index * configuration->ticks_per_sample;
    for (channel = 0u; channel < configuration->channel_count; channel++) {
        int32_t code = block->codes[channel][index];

        if (code < lowest || code > lowest + span - 1) {
            return false;
        }
        sample->codes[channel] = code;
        sample->trusted[channel] = code >= configuration->least_trusted_code &&
                                   code <= configuration->greatest_trusted_code &&
                                   (block->saturated >> channel & 1u) == 0u;
        units[channel] = units_of_sample(configuration, channel, code);
    }
    sample->voltage = voltage_of(configuration, units, sample->trusted);
    return true;
}
