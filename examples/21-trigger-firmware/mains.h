/* The mains while it is connected: its period and its crest. */
#ifndef MAINS_H
#define MAINS_H

#include "plumbvolt_port.h"
#include <stdbool.h>

typedef struct {
    uint32_t period16; /* 1/16 sample */
    int32_t crest;     /* result units, of the newest period that agreed */
    uint32_t agreed;   /* periods in a row like the ones before */
    uint32_t strange;  /* periods in a row that were not */
    bool armed;        /* saw the negative half wave */
    bool has_crossing;
    uint32_t crossing16; /* place of the newest rising zero, 1/16 sample */
    int32_t peak;        /* of the half waves since then */
} mains_t;

/* Two samples next to each other, result units. */
typedef struct {
    uint32_t place; /* of the second */
    int32_t before;
    int32_t voltage;
} mains_sample_t;

/* Starts to synchronise anew: after lost samples and after strange periods. */
void mains_forget(mains_t *mains);

/* Follows the mains by one sample; while it is learning, any period of a mains is taken. */
void mains_follow(mains_t *mains, const pv_configuration_t *configuration,
                  const mains_sample_t *newest, bool learning);

#endif
