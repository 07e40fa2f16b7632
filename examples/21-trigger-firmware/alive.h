/* Whether the converter still follows its input. */
#ifndef ALIVE_H
#define ALIVE_H

#include "plumbvolt_port.h"
#include <stdbool.h>

/* Forgets all codes. */
void alive_clear(void);

/* Takes the newest code of a channel; one that may not be trusted tells nothing. */
void alive_follow(uint32_t channel, int32_t code, bool trusted);

/*
 * For how many samples a channel has stood still, where that is `samples` or more and it stopped
 * more suddenly than a filtered voltage that is left alone; else 0.
 */
uint32_t alive_stuck_for(const pv_configuration_t *configuration, uint32_t samples);

#endif
