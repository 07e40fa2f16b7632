/* What this firmware can be configured to; the port allows more. */
#ifndef LIMITS_H
#define LIMITS_H

#include "plumbvolt_port.h"

/* PV_ACCEPTED, or the first reason why a configuration is refused. */
uint32_t reason_to_refuse(const pv_configuration_t *configuration);

#endif
