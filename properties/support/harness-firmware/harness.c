/* Firmware that goes wrong in one way, chosen by the trigger level; for tests of the host alone. */
#include "plumbvolt_port.h"

static int32_t behaviour;
static uint32_t taken;
static int32_t sum;
static volatile int32_t sink;

uint32_t pv_port_version(void)
{
    return PV_PORT_VERSION;
}

uint32_t pv_start(const pv_configuration_t *configuration)
{
    behaviour = configuration->trigger_level;
    return behaviour == 99 ? PV_REFUSED_OTHER : PV_ACCEPTED;
}

uint32_t pv_rearm(const pv_configuration_t *configuration)
{
    return pv_start(configuration);
}

static uint32_t misbehave(const pv_block_t *block)
{
    int32_t *codes = (int32_t *)(uintptr_t)block->codes[0];
    int32_t big = INT32_MAX;

    switch (behaviour) {
    case 2:
        for (;;) {
            sink++;
        }
    case 3:
        sink = big + codes[0];
        break;
    case 4:
        codes[block->count] = 0;
        break;
    case 5:
        codes[0] = codes[0] + 1;
        break;
    case 6:
        return block->count + 1u;
    case 7:
        PV_ASSERT(codes[0] < 0);
        break;
    case 8:
        *(int32_t *)(uintptr_t)0x7fffff00u = 1;
        break;
    default:
        break;
    }
    return block->count;
}

uint32_t pv_samples(const pv_block_t *block, pv_action_t *action)
{
    uint32_t index;

    action->kind = behaviour == 9 ? 17u : PV_ACTION_NONE;
    if (behaviour != 12) {
        action->argument = 0u;
    }
    for (index = 0u; index < block->count; index++) {
        sum += block->codes[0][index];
        PV_TRACE(block->time_stamp + index, 1u, sum);
    }
    taken += block->count;
    return misbehave(block);
}

void pv_report(pv_report_t *report)
{
    *report = (pv_report_t){0};
    if (behaviour == 1) {
        report->flags = 63u;
    }
    if (behaviour == 10) {
        report->phase = 5u;
    }
    if (behaviour == 13) {
        report->crossings[3].latest = 1u;
    }
    if (behaviour == 14) {
        report->readings[1].instant = 1u;
    }
    report->known = PV_KNOWN_OPENING | (behaviour == 11 ? 0u : PV_KNOWN_CANDIDATE);
    report->opening = taken;
    report->candidate = (uint32_t)sum;
}
