/*
 * Limits of a configuration. They keep every product of this firmware inside its word and every
 * place that is looked at inside the history; each has the reason code of the port.
 */
#include "limits.h"
#include "convert.h"

#define MOST_TICK_RATE 10000000u
/* Places in the history are counted for 20 kHz; below 2 kHz the filter would not be seen. */
#define MOST_SAMPLE_RATE 20000u
#define LEAST_SAMPLE_RATE 2000u
#define MOST_LEVEL 1000000000
/* A slower filter would hide what a contact does. */
#define MOST_LAG_MS 10u
#define MOST_MOMENT 0x40000000u
/* Confirmed and dated: 20 ms of hold, 10 ms more, and a period of bounces before. */
#define EARLIEST_READING_MS 60u

static bool has_sample_rate(const pv_configuration_t *configuration)
{
    uint32_t rate;

    if (configuration->ticks_per_sample == 0u || configuration->tick_rate > MOST_TICK_RATE) {
        return false;
    }
    rate = configuration->tick_rate / configuration->ticks_per_sample;
    return rate >= LEAST_SAMPLE_RATE && rate <= MOST_SAMPLE_RATE;
}

static bool has_code_width(const pv_configuration_t *configuration)
{
    return configuration->code_bits >= 8u && configuration->code_bits <= 16u &&
           configuration->least_trusted_code <= configuration->greatest_trusted_code;
}

static bool has_channels(const pv_configuration_t *configuration)
{
    return configuration->role <= PV_ROLE_RANGES &&
           configuration->channel_count == (configuration->role == PV_ROLE_SINGLE ? 1u : 2u);
}

static bool has_scales(const pv_configuration_t *configuration)
{
    uint32_t channel;

    for (channel = 0u; channel < configuration->channel_count; channel++) {
        if (!scale_is_usable(configuration, channel)) {
            return false;
        }
    }
    return true;
}

static bool has_lines(const pv_configuration_t *configuration)
{
    uint32_t index;

    if (configuration->line_count > PV_MOST_LINES) {
        return false;
    }
    for (index = 0u; index < configuration->line_count; index++) {
        const pv_line_t *line = &configuration->lines[index];

        if (line->level <= 0 || line->margin < 0 || line->margin >= line->level ||
            line->level > MOST_LEVEL) {
            return false;
        }
    }
    return true;
}

static bool has_moments(const pv_configuration_t *configuration)
{
    uint64_t least = (uint64_t)configuration->tick_rate * EARLIEST_READING_MS / 1000u;
    uint32_t index;

    if (configuration->moment_count == 0u || configuration->moment_count > PV_MOST_MOMENTS) {
        return false;
    }
    for (index = 0u; index < configuration->moment_count; index++) {
        if (configuration->moments[index] > MOST_MOMENT ||
            configuration->moments[index] < least + configuration->window ||
            (index > 0u && configuration->moments[index] <= configuration->moments[index - 1u])) {
            return false;
        }
    }
    return true;
}

uint32_t reason_to_refuse(const pv_configuration_t *configuration)
{
    if (configuration->port_version >> 16 != PV_PORT_MAJOR) {
        return PV_REFUSED_PORT_VERSION;
    }
    if (!has_sample_rate(configuration)) {
        return PV_REFUSED_SAMPLE_RATE;
    }
    if (!has_code_width(configuration)) {
        return PV_REFUSED_CODE_WIDTH;
    }
    if (!has_channels(configuration)) {
        return PV_REFUSED_CHANNELS;
    }
    if (!has_scales(configuration)) {
        return PV_REFUSED_SCALE;
    }
    if (configuration->trigger_level <= 0 || configuration->trigger_level > MOST_LEVEL) {
        return PV_REFUSED_TRIGGER_LEVEL;
    }
    if (!has_lines(configuration)) {
        return PV_REFUSED_LINES;
    }
    if (configuration->window / configuration->ticks_per_sample >= MOST_AVERAGED ||
        configuration->window_position > PV_WINDOW_LEADING) {
        return PV_REFUSED_WINDOW;
    }
    if (!has_moments(configuration)) {
        return PV_REFUSED_MOMENTS;
    }
    if (configuration->input_lag > configuration->tick_rate / 1000u * MOST_LAG_MS) {
        return PV_REFUSED_OTHER;
    }
    if (configuration->mode > PV_MODE_AUTOMATIC) {
        return PV_REFUSED_MODE;
    }
    return PV_ACCEPTED;
}
