/*
 * Readings: the mean of the codes in a window about each stated moment, converted once. The filter
 * lags, so that the windows lie later by its lag. The window has to be full and the voltage in it
 * nearly still, or the reading is flagged; never left out.
 */
#include "windows.h"
#include "clock.h"
#include "convert.h"

/*
 * A window is settled while its span is below an eighth of its middle plus 1/256 of the range of
 * codes, which covers the noise of fine converters, or four codes, for coarse ones.
 */
#define SPAN_SHARE 8
#define LEAST_SPAN_CODES 4
#define RANGE_SHARE_BITS 8u

static int32_t span_allowed(const pv_configuration_t *configuration, int32_t voltage)
{
    int32_t codes = (int32_t)((1u << configuration->code_bits) >> RANGE_SHARE_BITS);

    codes = codes < LEAST_SPAN_CODES ? LEAST_SPAN_CODES : codes;
    return size_of(voltage) / SPAN_SHARE + codes * units_of_code(configuration);
}

void windows_place(window_t *windows, const pv_configuration_t *configuration, uint32_t opening)
{
    uint32_t moment;

    for (moment = 0u; moment < configuration->moment_count; moment++) {
        window_t *window = &windows[moment];
        uint32_t stated = opening + configuration->moments[moment] + configuration->input_lag;

        *window = (window_t){0};
        window->first = stated;
        if (configuration->window_position == PV_WINDOW_CENTRED) {
            window->first = stated - configuration->window / 2u;
        } else if (configuration->window_position == PV_WINDOW_TRAILING) {
            window->first = stated - configuration->window;
        }
        window->last = window->first + configuration->window;
        window->trusted[0] = true;
        window->trusted[1] = true;
    }
}

static void add_to_window(window_t *window, const pv_configuration_t *configuration,
                          const sample_t *sample)
{
    uint32_t channel;

    if (window->count == 0u) {
        window->first_instant = sample->instant;
        window->least = sample->voltage;
        window->greatest = sample->voltage;
    }
    window->last_instant = sample->instant;
    window->count++;
    window->least = sample->voltage < window->least ? sample->voltage : window->least;
    window->greatest = sample->voltage > window->greatest ? sample->voltage : window->greatest;
    for (channel = 0u; channel < configuration->channel_count; channel++) {
        window->sums[channel] += sample->codes[channel];
        window->trusted[channel] = window->trusted[channel] && sample->trusted[channel];
    }
}

/* Turns a complete window into a reading. */
static void read_window(window_t *window, const pv_configuration_t *configuration,
                        pv_report_t *report)
{
    pv_reading_t *reading = &report->readings[report->reading_count];
    uint32_t expected = configuration->window / configuration->ticks_per_sample;
    uint32_t channel;
    int32_t voltage;

    window->done = true;
    if (window->count == 0u) {
        report->flags |= PV_FLAG_NOT_SETTLED;
        return;
    }
    for (channel = 0u; channel < configuration->channel_count; channel++) {
        reading->voltages[channel] =
            units_of_mean(configuration, channel, window->sums[channel], window->count);
    }
    voltage = voltage_of(configuration, reading->voltages, window->trusted);
    if (configuration->role == PV_ROLE_RANGES) {
        reading->voltages[0] = voltage;
    }
    reading->instant = window->first_instant +
                       (window->last_instant - window->first_instant) / 2u -
                       configuration->input_lag;
    report->reading_count++;
    if (is_over_range(configuration, window->trusted)) {
        report->flags |= PV_FLAG_OVER_RANGE;
    }
    if (window->count < expected ||
        window->greatest - window->least > span_allowed(configuration, voltage)) {
        report->flags |= PV_FLAG_NOT_SETTLED;
    }
}

bool windows_follow(window_t *windows, const pv_configuration_t *configuration, pv_report_t *report,
                    const sample_t *sample)
{
    uint32_t moment;
    bool done = true;

    for (moment = 0u; moment < configuration->moment_count; moment++) {
        window_t *window = &windows[moment];

        if (!window->done && has_passed(sample->instant, window->first, 0u)) {
            if (!has_passed(sample->instant, window->last, 1u)) {
                add_to_window(window, configuration, sample);
            }
            if (has_passed(sample->instant + configuration->ticks_per_sample, window->last, 1u)) {
                read_window(window, configuration, report);
            }
        }
        done = done && window->done;
    }
    return done;
}
