/*
 * Readings: the mean of the codes in a window about each stated moment, converted once. The filter
 * lags, so that the windows lie later by its lag. The window has to be full and the voltage in it
 * nearly still and may not bend, or the reading is flagged; never left out.
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
/*
 * A voltage that bends within the window, as that of a product that begins to discharge, has a mean
 * that stands for no instant. The means of its thirds tell: first + third - twice the second is
 * nought for a straight line, and at most 2.7 times the error of the mean where it bends once.
 */
#define BEND_SHARE 64
#define LEAST_BEND_CODES 2
/* Noise below the window's own rate is not averaged away: 1/4096 of a fine converter's codes. */
#define BEND_RANGE_SHARE_BITS 12u

/* A share of the range of codes, but not less than so many, in result units. */
static int32_t share_of_range(const pv_configuration_t *configuration, uint32_t share_bits,
                              int32_t least)
{
    int32_t codes = (int32_t)((1u << configuration->code_bits) >> share_bits);

    return (codes < least ? least : codes) * units_of_code(configuration);
}

static int32_t span_allowed(const pv_configuration_t *configuration, int32_t voltage)
{
    return size_of(voltage) / SPAN_SHARE +
           share_of_range(configuration, RANGE_SHARE_BITS, LEAST_SPAN_CODES);
}

static int32_t bend_allowed(const pv_configuration_t *configuration, int32_t voltage)
{
    return size_of(voltage) / BEND_SHARE +
           share_of_range(configuration, BEND_RANGE_SHARE_BITS, LEAST_BEND_CODES);
}

/* Whether the codes stand still throughout, although the voltage was moving just before. */
static bool stands_still(const window_t *window, const pv_configuration_t *configuration)
{
    int32_t moving = LEAST_SPAN_CODES * units_of_code(configuration);

    return window->has_ahead && window->least == window->greatest &&
           size_of(window->least) > moving && size_of(window->ahead - window->least) > moving;
}

static bool bends(const window_t *window, const pv_configuration_t *configuration, int32_t voltage)
{
    int64_t means[WINDOW_PARTS];
    int64_t bend;
    uint32_t part;

    for (part = 0u; part < WINDOW_PARTS; part++) {
        if (window->part_counts[part] == 0u) {
            return false;
        }
        means[part] = window->parts[part] / (int64_t)window->part_counts[part];
    }
    bend = means[0] + means[2] - 2 * means[1];
    bend = bend < 0 ? -bend : bend;
    return bend > bend_allowed(configuration, voltage);
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

/* Third of the window in which an instant lies. */
static uint32_t part_at(const window_t *window, uint32_t instant)
{
    uint32_t third = (window->last - window->first) / WINDOW_PARTS + 1u;
    uint32_t part = (instant - window->first) / third;

    return part < WINDOW_PARTS ? part : WINDOW_PARTS - 1u;
}

static void add_to_window(window_t *window, const pv_configuration_t *configuration,
                          const sample_t *sample)
{
    uint32_t part = part_at(window, sample->instant);
    uint32_t channel;

    if (window->count == 0u) {
        window->first_instant = sample->instant;
        window->least = sample->voltage;
        window->greatest = sample->voltage;
    }
    window->last_instant = sample->instant;
    window->count++;
    window->parts[part] += sample->voltage;
    window->part_counts[part]++;
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
    if (stands_still(window, configuration)) {
        report->flags |= PV_FLAG_INPUT_NOT_ALIVE;
    }
    if (window->count < expected ||
        window->greatest - window->least > span_allowed(configuration, voltage) ||
        bends(window, configuration, voltage)) {
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

        if (!window->has_ahead &&
            has_passed(sample->instant, 2u * window->first - window->last, 0u)) {
            window->ahead = sample->voltage;
            window->has_ahead = true;
        }
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
