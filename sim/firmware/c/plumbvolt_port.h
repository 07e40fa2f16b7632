/*
 * plumbvolt port, version 1.0
 *
 * The contract between a tester's firmware and whatever hands it codes: the drivers of the product,
 * or the simulation. The same header compiles in both. It holds plain structures of 32-bit and
 * 64-bit integers and five functions; nothing is allocated and nothing is called back, but for the
 * trace and assert hooks, which leave no code in the product.
 *
 * What firmware may rely on
 *   - Blocks come in the order of time. Sample k of a block was taken at
 *     time_stamp + k * ticks_per_sample, modulo 2^32; the status of a block holds for each sample.
 *   - A block holds one sample or more. Codes lie in the span of the converter, unless the converter
 *     itself is broken: 0 .. 2^code_bits - 1, or two's complement where the least trusted code lies
 *     below zero.
 *   - Inputs do not change during a call and belong to the caller: they are read only.
 *
 * What the caller may rely on
 *   - What is reported depends on samples and status alone: never on how they were cut into blocks,
 *     on what memory held before, or on an earlier start.
 *   - Every call ends after a bounded number of steps.
 *   - A configuration that breaks a rule beside its members is refused with the code of that rule.
 *     Firmware may have limits of its own beyond these and refuses with the same codes.
 *   - When all readings are taken the measurement is finished and its end is asked for.
 *   - Outputs are written in full, and nothing else is.
 *
 * Instants are ticks of one free-running 32-bit counter that wraps. Only differences of instants,
 * modulo 2^32, mean anything. Voltages are whole result units of the configuration.
 *
 * Data model: nothing here depends on the width of int or on the sign of plain char.
 */
#ifndef PLUMBVOLT_PORT_H
#define PLUMBVOLT_PORT_H

#include <stdint.h>

#define PV_PORT_MAJOR 1u
#define PV_PORT_MINOR 0u
#define PV_PORT_VERSION (((uint32_t)PV_PORT_MAJOR << 16) | PV_PORT_MINOR)

#define PV_MOST_CHANNELS 2u
#define PV_MOST_LINES 4u
#define PV_MOST_MOMENTS 2u

/* Answers of pv_start and pv_rearm. */
#define PV_ACCEPTED 0u
#define PV_REFUSED_PORT_VERSION 1u
#define PV_REFUSED_SAMPLE_RATE 2u
#define PV_REFUSED_CODE_WIDTH 3u
#define PV_REFUSED_CHANNELS 4u
#define PV_REFUSED_SCALE 5u
#define PV_REFUSED_TRIGGER_LEVEL 6u
#define PV_REFUSED_LINES 7u
#define PV_REFUSED_MOMENTS 8u
#define PV_REFUSED_WINDOW 9u
#define PV_REFUSED_MODE 10u
#define PV_REFUSED_OTHER 11u

/* What the channels are to each other. */
#define PV_ROLE_SINGLE 0u
/* Channels 0 and 1 each a pin against the tester's ground; the voltage is their difference. */
#define PV_ROLE_PER_PIN 1u
/* Channel 0 the fine range, channel 1 the coarse range of the same voltage. */
#define PV_ROLE_RANGES 2u

#define PV_ROUNDING_NEAREST 0u
/* Truncated towards minus infinity, as an arithmetic shift to the right does. */
#define PV_ROUNDING_DOWN 1u

#define PV_WINDOW_CENTRED 0u
#define PV_WINDOW_TRAILING 1u
#define PV_WINDOW_LEADING 2u

/* PV_MODE_WATCH: find a disconnection by hand. PV_MODE_AUTOMATIC: open the own contact. */
#define PV_MODE_WATCH 0u
#define PV_MODE_AUTOMATIC 1u

/* Straight line of one channel: units = (code * multiplier + addend) / 2^fraction_bits. */
typedef struct {
    int32_t zero_code_256; /* code of zero volts, 1/256 LSB */
    int32_t multiplier;    /* above zero */
    int64_t addend;
} pv_channel_t;

/* A limit line, in both polarities: its crossing is reported from level + margin to level - margin. */
typedef struct {
    int32_t level;  /* result units, above zero */
    int32_t margin; /* result units, zero or above */
} pv_line_t;

/* Everything that firmware is told at its start. Unused entries of the tables are zero. */
typedef struct {
    uint32_t port_version; /* PV_PORT_VERSION of the caller */
    uint32_t tick_rate;    /* ticks per second, above zero */
    uint32_t ticks_per_sample; /* above zero */
    uint32_t code_bits; /* above zero */
    int32_t least_trusted_code; /* inside the swing of the input stage */
    int32_t greatest_trusted_code; /* not below the least */
    uint32_t role;          /* PV_ROLE_... */
    uint32_t channel_count; /* 1 for PV_ROLE_SINGLE, else 2 */
    pv_channel_t channels[PV_MOST_CHANNELS];
    uint32_t fraction_bits;
    uint32_t rounding;    /* PV_ROUNDING_... */
    uint32_t result_unit; /* microvolts of one result unit */
    int32_t trigger_level; /* result units below which a disconnection need not be found; above zero */
    uint32_t line_count; /* up to PV_MOST_LINES */
    pv_line_t lines[PV_MOST_LINES];
    uint32_t moment_count; /* 1 or more, up to PV_MOST_MOMENTS */
    uint32_t moments[PV_MOST_MOMENTS]; /* ticks after the opening at which to read, rising */
    uint32_t window;                   /* ticks that a reading is averaged over */
    uint32_t window_position;          /* PV_WINDOW_..., about the moment */
    uint32_t input_lag; /* ticks by which the filter ahead of the converter lags */
    uint32_t mode;      /* PV_MODE_... */
    uint32_t reserved;  /* zero */
} pv_configuration_t;

/* Consecutive samples without a gap and with one status. */
typedef struct {
    uint32_t time_stamp; /* ticks, of the first sample */
    uint32_t missed;     /* samples that were due and lost before this block */
    uint32_t saturated;  /* bit n: the input stage of channel n reported saturation */
    uint32_t count;      /* samples, one or more */
    const int32_t *codes[PV_MOST_CHANNELS]; /* null for a channel that is not there */
} pv_block_t;

/* What firmware asks for. A block ends at the sample after which it asks. */
#define PV_ACTION_NONE 0u
#define PV_ACTION_OPEN_CONTACT 1u
/* argument: which range or channel the input stage shall connect to channel 0 */
#define PV_ACTION_SELECT_INPUT 2u
/* argument: ticks from one sample to the next */
#define PV_ACTION_CHANGE_RATE 3u
/* The report is final; further samples may start another measurement or be ignored. */
#define PV_ACTION_END_OF_MEASUREMENT 4u

typedef struct {
    uint32_t kind; /* PV_ACTION_... */
    uint32_t argument;
} pv_action_t;

/* Phases of a measurement. */
#define PV_PHASE_SYNCHRONISING 0u /* learning the mains */
#define PV_PHASE_WATCHING 1u      /* watching for a disconnection */
#define PV_PHASE_CANDIDATE 2u     /* a divergence is being confirmed */
#define PV_PHASE_TIMING 3u        /* confirmed; waiting for the moments of reading */
#define PV_PHASE_FINISHED 4u      /* all readings taken, or ended with a flag */

/* Flags of a report. */
#define PV_FLAG_OVER_RANGE 1u            /* a sample of the reading was not to be trusted */
#define PV_FLAG_NO_DISCONNECTION_SEEN 2u /* the measurement ended without one */
#define PV_FLAG_RECONNECTED 4u           /* the mains came back before the last reading */
#define PV_FLAG_BELOW_TRIGGER 8u         /* fell below the trigger level before confirmation */
#define PV_FLAG_NOT_SETTLED 16u          /* moved too much in the window, or samples were lost */
#define PV_FLAG_INPUT_NOT_ALIVE 32u      /* no mains before the opening, or impossible codes */

/* One reading; it stands for the middle of its samples less the input lag. */
typedef struct {
    uint32_t instant;
    /* Result units; zero for a channel that is not there. Of two ranges the first is the voltage. */
    int32_t voltages[PV_MOST_CHANNELS];
} pv_reading_t;

#define PV_CROSSING_EARLIEST 1u
#define PV_CROSSING_LATEST 2u

/* When a limit line was passed, ticks after the opening. */
typedef struct {
    uint32_t known; /* PV_CROSSING_...: which ends were passed */
    uint32_t earliest;
    uint32_t latest;
} pv_crossing_t;

#define PV_KNOWN_CANDIDATE 1u
#define PV_KNOWN_CONFIRMATION 2u
#define PV_KNOWN_OPENING 4u

/* State of a measurement. What is not known is zero. */
typedef struct {
    uint32_t phase;        /* PV_PHASE_... */
    uint32_t flags;        /* PV_FLAG_... */
    uint32_t known;        /* PV_KNOWN_... */
    uint32_t candidate;    /* instant at which the divergence was seen */
    uint32_t confirmation; /* instant at which it was confirmed */
    uint32_t opening;      /* the last electrical opening, back-dated */
    uint32_t reading_count;
    pv_reading_t readings[PV_MOST_MOMENTS];
    pv_crossing_t crossings[PV_MOST_LINES];
} pv_report_t;

#if defined(__wasm__)
#define PV_EXPORT(name) __attribute__((export_name(#name))) name
#define PV_IMPORT(name) __attribute__((import_module("plumbvolt"), import_name(#name))) name
#else
#define PV_EXPORT(name) name
#endif

/* PV_PORT_VERSION of the firmware. May be called before anything else. */
uint32_t PV_EXPORT(pv_port_version)(void);

/* Starts from power-up. Returns PV_ACCEPTED or why the configuration is refused. */
uint32_t PV_EXPORT(pv_start)(const pv_configuration_t *configuration);

/* Starts a further measurement; may keep what it learnt, as the period of the mains. */
uint32_t PV_EXPORT(pv_rearm)(const pv_configuration_t *configuration);

/* Takes samples and returns how many it took: all of them, or up to the one that asks. */
uint32_t PV_EXPORT(pv_samples)(const pv_block_t *block, pv_action_t *action);

/* State of the measurement; at any time after a start. */
void PV_EXPORT(pv_report)(pv_report_t *report);

/*
 * Hooks. PV_TRACE shows a value in a lane of the waveform; lane 0 is the number of the phase.
 * PV_ASSERT stops a simulation with the line. Neither leaves code in the product.
 */
#if defined(PV_HOST)
void PV_IMPORT(pv_trace)(uint32_t instant, uint32_t lane, int32_t value);
#define PV_TRACE(instant, lane, value) pv_trace((instant), (lane), (value))
void PV_IMPORT(pv_assert_failed)(void) __attribute__((noreturn));
#define PV_ASSERT(condition) ((condition) ? (void)0 : pv_assert_failed())
#else
#define PV_TRACE(instant, lane, value) ((void)0)
#define PV_ASSERT(condition) ((void)0)
#endif

#endif
