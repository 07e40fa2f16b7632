/*
 * Back-dating of the last opening.
 *
 * Comparison with the period before tells that the pins were left, not when they were left last: a
 * contact that bounces closes again, near a crest without moving the pins much. But what they hold
 * afterwards is the voltage of the last opening, and before it they were driven. So it is found
 * from the end:
 *
 *  1. an exponential is fitted to what is held;
 *  2. going back, the last place where the pins were elsewhere. The filter is undone for this:
 *     pins = sample + lag * slope, which is exact for one pole and noisy;
 *  3. from there on, the sample at which "driven as one period before" has to end and "held" has to
 *     begin so that what the filter makes of it differs least from the samples. Near a crest the
 *     mains pass the held voltage twice within a millisecond or two; the sum over many samples
 *     tells the two apart where no single one does.
 *
 * Differences from the mains and from what is held both decay by one factor in each sample, because
 * the filter is linear.
 */
#include "dating.h"
#include "convert.h"
#include "history.h"

#define ONE ((int32_t)1 << 15)
/* Width of the two means that an exponential goes through. */
#define MEAN_MS 5u
/* The filter has settled so long after an opening: six time constants of half a millisecond. */
#define SETTLING_MS 3u
/* Of the crest: pins that are further from what they hold later were driven. */
#define ELSEWHERE_SHARE 16
#define ELSEWHERE_CODES 3
/* How long mains can be that close to the held voltage, and how long the filter shows the end. */
#define CLOSE_MS 5u
#define COMPARED_MS 8u

/* Tolerance of the filter's time constant, and the step in which it is tried. */
#define FILTER_PERCENT 10u
#define FILTER_STEP_PERCENT 4u

/* Samples over which what happened between two of them is seen: the filter is known after these. */
#define BETWEEN 2u

/*
 * Misfits that tell nothing apart: noise, in codes summed over samples, and a share of the least,
 * for what no sample explains is the filter's step or what a bounce left.
 */
#define EQUAL_CODES 4
#define EQUAL_SHARE 4

/* Samples of CLOSE_MS and of COMPARED_MS at 20 kHz. */
#define MOST_TRIED 100u
#define MOST_COMPARED 160u

/* Result units summed over samples, by the last sample that was driven. */
static int64_t misfits[MOST_TRIED];
/* Result units, samples less what is held. */
static int32_t apart[MOST_COMPARED];

static uint32_t tried_of(const dating_t *dating)
{
    uint32_t tried = CLOSE_MS * dating->samples_in_ms;

    return tried < MOST_TRIED ? tried : MOST_TRIED;
}

static uint32_t compared_of(const dating_t *dating)
{
    uint32_t compared = COMPARED_MS * dating->samples_in_ms;

    return compared < MOST_COMPARED ? compared : MOST_COMPARED;
}

/* Voltage of the pins at a place, from three samples. */
static int32_t pins_at(const dating_t *dating, uint32_t place)
{
    int64_t twice = (int64_t)history_at(place + 1u) - history_at(place - 1u);

    return history_at(place) + (int32_t)(twice * (int64_t)dating->lag16 / 32);
}

static bool is_elsewhere(const dating_t *dating, const held_t *held, uint32_t place)
{
    int32_t limit = dating->crest / ELSEWHERE_SHARE + ELSEWHERE_CODES * dating->lsb;

    return size_of(pins_at(dating, place) - held_at(held, place)) > limit;
}

/* Place after the last two in a row where the pins were elsewhere, not before the earliest. */
static uint32_t first_close(const dating_t *dating, const held_t *held)
{
    uint32_t place = dating->newest - 2u * MEAN_MS * dating->samples_in_ms;
    uint32_t step;

    for (step = 0u; step < HISTORY && place != dating->earliest; step++) {
        if (is_elsewhere(dating, held, place) && is_elsewhere(dating, held, place - 1u)) {
            return place + 1u;
        }
        place--;
    }
    return place;
}

/* Share of a difference that a filter of so many percent of the lag leaves, 2^-15 a sample. */
static int32_t left_after_sample(const dating_t *dating, uint32_t percent)
{
    int32_t twice = (int32_t)(2u * dating->lag16 * percent / 100u);

    return twice <= 16 ? 0 : (int32_t)((int64_t)ONE * (twice - 16) / (twice + 16));
}

static int32_t decayed(int32_t difference, int32_t left)
{
    return (int32_t)((int64_t)difference * left / ONE);
}

/*
 * Sum of what samples differ by from pins that are held from a sample on, where `difference` is
 * what the filter was off then.
 */
static int64_t misfit_of(uint32_t opened, int32_t difference, uint32_t compared, int32_t left)
{
    int64_t sum = 0;
    uint32_t index;

    for (index = opened + 1u; index < compared; index++) {
        difference = decayed(difference, left);
        sum += size_of(apart[index] - difference);
    }
    return sum;
}

/* Misfits of one filter, driven from `first` on; keeps the least of each sample. */
static void try_filter(const dating_t *dating, uint32_t first, int32_t left)
{
    uint32_t compared = compared_of(dating);
    int32_t difference = history_at(first) - history_before(first, dating->period16);
    int64_t driven = 0;
    uint32_t index;

    for (index = 0u; index < tried_of(dating); index++) {
        uint32_t opened = first + index;
        int32_t predicted = history_before(opened, dating->period16) + difference;
        int32_t off = history_at(opened) - predicted;
        int64_t misfit;

        driven += size_of(off);
        /*
         * Where a contact bounced, the filter is elsewhere than "driven" leaves it, and what follows
         * begins at the sample itself; where it did not, what is foreseen for that sample tells
         * more: from the middle of both.
         */
        misfit = driven + misfit_of(index, apart[index] - off / 2, compared, left);
        misfits[index] = misfit < misfits[index] ? misfit : misfits[index];
        difference = decayed(difference, left);
    }
}

/*
 * The sample that best ends "driven", for the filters that tolerances allow: which one it is shows
 * in the samples as well. On a flat crest several explain the samples equally: their middle.
 */
static uint32_t best_end_of_driving(const dating_t *dating, const held_t *held, uint32_t first)
{
    int64_t least = INT64_MAX;
    uint32_t from = 0u;
    uint32_t to = 0u;
    uint32_t percent;
    uint32_t index;

    for (index = 0u; index < MOST_TRIED; index++) {
        misfits[index] = INT64_MAX;
    }
    for (index = 0u; index < compared_of(dating); index++) {
        apart[index] = history_at(first + index) - held_at(held, first + index);
    }
    for (percent = 100u - FILTER_PERCENT; percent <= 100u + FILTER_PERCENT;
         percent += FILTER_STEP_PERCENT) {
        try_filter(dating, first, left_after_sample(dating, percent));
    }
    for (index = 0u; index < tried_of(dating); index++) {
        least = misfits[index] < least ? misfits[index] : least;
    }
    for (index = tried_of(dating); index > 0u; index--) {
        if (misfits[index - 1u] - least <= EQUAL_CODES * dating->lsb + least / EQUAL_SHARE) {
            to = index - 1u > to ? index - 1u : to;
            from = index - 1u;
        }
    }
    return first + from + (to - from) / 2u;
}

opening_t date_opening(const dating_t *dating)
{
    uint32_t count = MEAN_MS * dating->samples_in_ms;
    uint32_t late = dating->newest - count;
    held_t held = held_through(late - count, late, count);
    uint32_t first = first_close(dating, &held);
    uint32_t settled = first + SETTLING_MS * dating->samples_in_ms;
    opening_t opening;

    /* Means further apart tell the rate better; the early one lies close to the opening. */
    if (dating->newest - settled >= 3u * count && dating->newest - settled < HISTORY) {
        held = held_through(settled, late, count);
        first = first_close(dating, &held);
    }
    opening.place = best_end_of_driving(dating, &held, first + BETWEEN);
    opening.held = held;
    return opening;
}
