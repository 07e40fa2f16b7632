/* The newest voltages, one for each sample. */
#ifndef HISTORY_H
#define HISTORY_H

#include <stdint.h>

/*
 * Samples kept at 20 kHz: 30 ms from a candidate until its opening is dated, 16 ms before it, and
 * one period of 44 Hz before that. A power of two.
 */
#define HISTORY 2048u

/* Forgets everything: zero volts at every place. */
void history_clear(void);

/* Keeps a voltage, result units, at a place. Places count samples and wrap. */
void history_keep(uint32_t place, int32_t voltage);

/* Voltage at one of the newest HISTORY places. */
int32_t history_at(uint32_t place);

/* Voltage 1/16 sample or more before a place, between two samples by a straight line. */
int32_t history_before(uint32_t place, uint32_t back16);

/* Mean of `count` voltages from a place on; `count` is above zero and at most HISTORY. */
int32_t history_mean(uint32_t first, uint32_t count);

#endif
