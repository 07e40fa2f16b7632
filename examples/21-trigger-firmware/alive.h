/* Whether the converter still follows its input. */
#ifndef ALIVE_H
#define ALIVE_H

#include "plumbvolt_port.h"
#include <stdbool.h>

/* Forgets all codes. */
void alive_clear(void);

/* Takes the newest code of a channel; one that may not be trusted tells nothing. */
void alive_follow(uint32_t channel, int32_t code, bool trusted);

/* True where a channel has stood still for `samples` and stopped as no filtered voltage stops. */
bool alive_has_stuck(const pv_configuration_t *configuration, uint32_t samples);

#endif
