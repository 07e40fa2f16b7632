/*
 * A converter that sticks gives one code for good, and so does a large capacitor that is held. The
 * filter tells them apart: with the pins left alone, what it gives moves on by lag * slope before
 * it comes to rest. A code that was moving and stands still from one sample to the next is stuck.
 *
 * Mains that turns round at a crest of its own can stop as suddenly: the caller looks whether it
 * did so one period earlier.
 *
 * At a crest nothing was moving, and the two look the same: that is a limit of what can be known.
 */
#include "alive.h"

/* Codes by which the filter has to have moved on for a stop to be called sudden. */
#define LEAST_REST 4u

static struct {
    int32_t newest;
    int32_t before; /* one sample earlier */
    uint32_t seen;
    uint32_t still;  /* samples since the newest change */
    uint32_t stride; /* codes of the two samples up to it */
} channels[PV_MOST_CHANNELS];

void alive_clear(void)
{
    uint32_t channel;

    for (channel = 0u; channel < PV_MOST_CHANNELS; channel++) {
        channels[channel].seen = 0u;
        channels[channel].still = 0u;
        channels[channel].stride = 0u;
    }
}

void alive_follow(uint32_t channel, int32_t code, bool trusted)
{
    int32_t stride;

    if (!trusted) {
        channels[channel].seen = 0u;
        channels[channel].stride = 0u;
        return;
    }
    if (channels[channel].seen > 0u && code == channels[channel].newest) {
        channels[channel].still++;
    } else {
        stride = channels[channel].seen > 1u ? code - channels[channel].before : 0;
        channels[channel].stride = (uint32_t)(stride < 0 ? -stride : stride);
        channels[channel].still = 0u;
    }
    channels[channel].before = channels[channel].seen > 0u ? channels[channel].newest : code;
    channels[channel].newest = code;
    channels[channel].seen += channels[channel].seen < 2u ? 1u : 0u;
}

uint32_t alive_stuck_for(const pv_configuration_t *configuration, uint32_t samples)
{
    uint32_t lag16 = 16u * configuration->input_lag / configuration->ticks_per_sample;
    uint32_t channel;

    for (channel = 0u; channel < configuration->channel_count; channel++) {
        uint32_t stride = channels[channel].stride;

        /* One code of the stride may be rounding; it covers two samples. */
        if (channels[channel].still >= samples && stride > 0u &&
            lag16 * (stride - 1u) >= 2u * 16u * LEAST_REST) {
            return channels[channel].still;
        }
    }
    return 0u;
}
