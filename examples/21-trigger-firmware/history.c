/*
 * The newest voltages, in a ring. Result units below 2^29 in size: the sum of all of them stays
 * below 2^40, and a difference times 16 below 2^34.
 */
#include "history.h"

static int32_t ring[HISTORY];

void history_clear(void)
{
    uint32_t place;

    for (place = 0u; place < HISTORY; place++) {
        ring[place] = 0;
    }
}

void history_keep(uint32_t place, int32_t voltage)
{
    ring[place & (HISTORY - 1u)] = voltage;
}

int32_t history_at(uint32_t place)
{
    return ring[place & (HISTORY - 1u)];
}

int32_t history_before(uint32_t place, uint32_t back16)
{
    uint32_t whole = back16 >> 4;
    int32_t part = (int32_t)(back16 & 15u);
    int32_t later = history_at(place - whole);
    int32_t earlier = history_at(place - whole - 1u);

    return later + (int32_t)((int64_t)(earlier - later) * part / 16);
}

int32_t history_mean(uint32_t first, uint32_t count)
{
    int64_t sum = 0;
    uint32_t index;

    for (index = 0u; index < count && index < HISTORY; index++) {
        sum += history_at(first + index);
    }
    return (int32_t)(sum / (int64_t)count);
}
