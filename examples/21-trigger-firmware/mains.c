/*
 * Period and crest of the mains, from the rising zeros.
 *
 * A zero counts behind a negative half wave of the trigger level, so that noise about zero is none.
 * It is placed between two samples by a straight line: the period is known to 1/16 sample.
 */
#include "mains.h"
#include "convert.h"

#define LEAST_MAINS_HZ 44u
#define MOST_MAINS_HZ 67u
/* Periods agree that differ by less than a share of 1/32. */
#define TOLERANCE_SHARE 32u

void mains_forget(mains_t *mains)
{
    mains->armed = false;
    mains->has_crossing = false;
    mains->agreed = 0u;
    mains->strange = 0u;
    mains->peak = 0;
}

/* Takes the length of one period: it agrees, it is strange, or it is none of the mains'. */
static void learn_period(mains_t *mains, const pv_configuration_t *configuration, uint32_t length16,
                         bool learning)
{
    uint32_t per_second16 = 16u * (configuration->tick_rate / configuration->ticks_per_sample);
    uint32_t tolerance = mains->period16 / TOLERANCE_SHARE;

    if (length16 < per_second16 / MOST_MAINS_HZ || length16 > per_second16 / LEAST_MAINS_HZ) {
        mains->strange++;
        mains->agreed = 0u;
        return;
    }
    if (length16 + tolerance < mains->period16 || length16 > mains->period16 + tolerance) {
        mains->strange++;
        mains->agreed = 0u;
        if (learning) {
            mains->period16 = length16;
        }
        return;
    }
    mains->strange = 0u;
    mains->agreed++;
    mains->crest = mains->peak;
    /* A quarter of the change: one disturbed zero moves the period by less than 1 %. */
    mains->period16 = (3u * mains->period16 + length16 + 2u) / 4u;
}

/* Finds rising zeros behind a negative half wave of at least the trigger level. */
void mains_follow(mains_t *mains, const pv_configuration_t *configuration,
                  const mains_sample_t *newest, bool learning)
{
    int32_t voltage = newest->voltage;

    if (size_of(voltage) > mains->peak) {
        mains->peak = size_of(voltage);
    }
    if (voltage <= -configuration->trigger_level) {
        mains->armed = true;
    }
    if (mains->armed && newest->before <= 0 && voltage > 0) {
        int32_t back16 = (int32_t)(16 * (int64_t)voltage / ((int64_t)voltage - newest->before));
        uint32_t crossing16 = 16u * newest->place - (uint32_t)back16;

        if (mains->has_crossing) {
            learn_period(mains, configuration, crossing16 - mains->crossing16, learning);
        }
        mains->has_crossing = true;
        mains->crossing16 = crossing16;
        mains->armed = false;
        mains->peak = voltage;
    }
}
