/*
 * Trigger and reading of a residual-voltage tester, port 1.0.
 *
 * Fixed point, no heap, no floating point, every loop bounded by a constant. One measurement:
 *
 *   synchronising   three periods of the mains that agree, or "input not alive"
 *   watching        each sample is compared with the mains one period earlier
 *   candidate       it differs by a tenth of the crest; the voltage has to hold for 12 ms
 *   timing          confirmed, then back-dated; readings, crossings, reconnection
 *   finished        the report stands until the next start
 *
 * The parts: mains (period and crest), hold (for how long the voltage has), dating (the opening),
 * alive (the converter), lines (crossings), windows (readings). Here they are put in order.
 *
 * Numbers: voltages in result units, 32 bits signed, below 2^29; instants in ticks, 32 bits, which
 * wrap; places in the history in samples, 32 bits, which wrap; the period in 1/16 sample.
 */
#include "alive.h"
#include "clock.h"
#include "convert.h"
#include "dating.h"
#include "history.h"
#include "hold.h"
#include "limits.h"
#include "lines.h"
#include "mains.h"
#include "sample.h"
#include "windows.h"

#define PERIODS_TO_AGREE 3u
#define STRANGE_PERIODS_TO_RESTART 4u

/* Shares of the crest: 1/10 to suspect, a rise of 1/50 to reject, 1/16 for a reconnection. */
#define CANDIDATE_SHARE 10
#define RISE_SHARE 50
#define RECONNECTION_SHARE 16
/* A voltage between two codes rounds to either: a rise of two is seen where there is none. */
#define ROUNDING_CODES 2

/*
 * A contact that bounces has come to rest before a candidate is confirmed: mains that returns later
 * is a reconnection.
 *
 * Connected mains can look held for 7.6 ms after a candidate, and for 15 ms across a phase jump
 * without one: the hold of a candidate and of a voltage without candidate stay clear of both.
 */
#define HOLD_MS 12u
#define HOLD_WITHOUT_CANDIDATE_MS 20u
/*
 * How much older than its candidate an opening may be: a quarter of a period until the curves
 * diverge, and 10 ms of bounces that reject the first candidate.
 */
#define BACK_DATING_MS 16u
/* The opening is dated so long after its confirmation: what is held is known better then. */
#define DATING_MS 10u
/* Lost samples of what is held are put in on a line: over so long it bends by less than 1/500. */
#define MOST_BRIDGED_MS 5u
/* After so many time constants the filter shows what is held within a code. */
#define LAGS_TO_SETTLE 6u
#define NOT_ALIVE_MS 300u
#define ANSWER_TO_COMMAND_MS 100u
#define LONGEST_WATCH_MS 60000u
#define QUIET_BEYOND_PERIOD_MS 10u

static struct {
    pv_configuration_t configuration;
    pv_report_t report;
    bool automatic_pending;
    uint32_t begun;     /* instant of the first sample */
    bool has_begun;
    uint32_t due;       /* time stamp of the sample after the newest */
    int32_t lost;       /* samples between the newest and the next; below nought: they come again */
    uint32_t commanded; /* instant of the command to open */
    bool has_commanded;

    uint32_t place; /* of the newest sample */
    uint32_t filled;

    mains_t mains;
    hold_t hold;
    uint32_t candidate_place;
    uint32_t confirmed_place;
    bool dated;
    int32_t sign;
    int32_t least; /* least voltage since the candidate, in its own sign */
    uint32_t quiet; /* samples below the trigger level */

    window_t windows[PV_MOST_MOMENTS];
    edges_t edges;
} state;

static uint32_t samples_of(uint32_t ms)
{
    return samples_of_ms(&state.configuration, ms);
}

static uint32_t ticks_of(uint32_t ms)
{
    return ticks_of_ms(&state.configuration, ms);
}

/* Rise of a held voltage that is noise: a share of the crest, or what rounding makes up. */
static int32_t rise_allowed(void)
{
    int32_t rise = state.mains.crest / RISE_SHARE;
    int32_t rounding = ROUNDING_CODES * units_of_code(&state.configuration);

    return rise > rounding ? rise : rounding;
}

static uint32_t instant_of(uint32_t place)
{
    return state.report.confirmation -
           (state.confirmed_place - place) * state.configuration.ticks_per_sample;
}

static void enter(uint32_t phase, uint32_t instant)
{
    state.report.phase = phase;
    PV_TRACE(instant, 0u, (int32_t)phase);
    (void)instant;
}

static void finish(uint32_t flags, uint32_t instant)
{
    state.report.flags |= flags;
    enter(PV_PHASE_FINISHED, instant);
}

/* Forgets what was learnt of the mains: after lost samples and after strange periods. */
static void synchronise(uint32_t instant)
{
    state.filled = 0u;
    mains_forget(&state.mains);
    state.hold.run = 0u;
    state.quiet = 0u;
    state.report.known = 0u;
    state.report.candidate = 0u;
    enter(PV_PHASE_SYNCHRONISING, instant);
}

static void follow_lines(int32_t voltage, uint32_t after)
{
    line_sample_t sample = {voltage, after};

    lines_follow(&state.edges, &state.configuration, state.report.crossings, &sample);
}

/* Limit lines from the opening to now. Until the filter has settled what is held stands for it. */
static void catch_up_lines(const opening_t *opening)
{
    uint32_t lag = state.configuration.input_lag;
    uint32_t seen = state.report.opening + lag;
    uint32_t place = opening->place;
    uint32_t step;

    for (step = 0u; step < HISTORY && place != state.place; step++) {
        uint32_t instant = instant_of(++place);

        if (has_passed(instant, seen, 0u)) {
            bool settled = has_passed(instant, seen, LAGS_TO_SETTLE * lag);

            follow_lines(settled ? history_at(place) : held_at(&opening->held, place),
                         instant - seen);
        }
    }
}

/* Dates the opening from what is held since, and catches up on what came since. */
static void date(void)
{
    const pv_configuration_t *configuration = &state.configuration;
    dating_t dating = {
        .newest = state.place,
        .earliest = state.candidate_place - samples_of(BACK_DATING_MS),
        .period16 = state.mains.period16,
        .lag16 = 16u * configuration->input_lag / configuration->ticks_per_sample,
        .samples_in_ms = samples_of(1u),
        .crest = state.mains.crest,
        .lsb = units_of_code(configuration),
    };
    opening_t opening = date_opening(&dating);

    /* Between the last sample that was driven and the first that was held. */
    state.report.opening = instant_of(opening.place) + configuration->ticks_per_sample / 2u;
    state.report.known |= PV_KNOWN_OPENING;
    state.dated = true;
    windows_place(state.windows, configuration, state.report.opening);
    catch_up_lines(&opening);
    PV_TRACE(state.report.opening, 1u, history_at(opening.place));
}

/*
 * Whether the converter stands still since where the mains of the period before moved on. Where it
 * turned round, what is held may stand still at once: the filter rests where its own crest is.
 */
static bool has_stuck(void)
{
    uint32_t still = alive_stuck_for(&state.configuration, samples_of(DATING_MS));
    uint32_t stop = state.place - still;
    uint32_t half_ms = samples_of(1u) / 2u;
    int32_t at_stop = history_before(stop, state.mains.period16);
    int32_t onward = history_before(stop + half_ms, state.mains.period16) - at_stop;
    int32_t toward = at_stop - history_before(stop - half_ms, state.mains.period16);
    bool turned_round = (onward < 0) != (toward < 0);

    return still > 0u && !turned_round &&
           size_of(onward) > ROUNDING_CODES * units_of_code(&state.configuration);
}

/* The disconnection is confirmed. */
static void confirm(uint32_t suspect, uint32_t instant)
{
    int32_t voltage = history_at(state.place);

    state.report.confirmation = instant;
    state.candidate_place = suspect;
    state.confirmed_place = state.place;
    if ((state.report.known & PV_KNOWN_CANDIDATE) == 0u) {
        state.report.candidate = instant_of(suspect);
    }
    state.report.known = PV_KNOWN_CANDIDATE | PV_KNOWN_CONFIRMATION;
    state.sign = voltage < 0 ? -1 : 1;
    state.least = state.sign * voltage;
    state.dated = false;
    enter(PV_PHASE_TIMING, instant);
}

/* Timing: reconnection, dating, crossings and windows. */
static void take_while_timing(const sample_t *sample)
{
    int32_t height = state.sign * sample->voltage;
    int32_t floor = state.least > 0 ? state.least : 0;
    int32_t rise = state.mains.crest / RECONNECTION_SHARE;

    if (height > floor + rise || height < -rise) {
        finish(PV_FLAG_RECONNECTED, sample->instant);
        return;
    }
    state.least = height < state.least ? height : state.least;
    if (!state.dated) {
        if (state.place - state.confirmed_place < samples_of(DATING_MS)) {
            return;
        }
        if (has_stuck()) {
            finish(PV_FLAG_INPUT_NOT_ALIVE, sample->instant);
            return;
        }
        date();
        return;
    }
    follow_lines(sample->voltage,
                 sample->instant - state.report.opening - state.configuration.input_lag);
    if (windows_follow(state.windows, &state.configuration, &state.report, sample)) {
        finish(0u, sample->instant);
    }
}

/* Watching and candidate: comparison with the period before, then the hold. */
static void take_while_watching(const sample_t *sample)
{
    int32_t voltage = sample->voltage;
    int32_t difference = voltage - history_before(state.place, state.mains.period16);
    bool differs = size_of(difference) > state.mains.crest / CANDIDATE_SHARE;

    if (state.report.phase == PV_PHASE_CANDIDATE) {
        int32_t height = state.sign * voltage;

        if (height < state.configuration.trigger_level ||
            height > state.least + rise_allowed()) {
            state.report.known = 0u;
            state.report.candidate = 0u;
            enter(PV_PHASE_WATCHING, sample->instant);
        } else {
            state.least = height < state.least ? height : state.least;
            if (state.place - state.candidate_place >= samples_of(HOLD_MS)) {
                confirm(state.candidate_place, sample->instant);
            }
            return;
        }
    }
    if (differs && size_of(voltage) >= state.configuration.trigger_level) {
        state.candidate_place = state.place;
        state.sign = voltage < 0 ? -1 : 1;
        state.least = size_of(voltage);
        state.report.candidate = sample->instant;
        state.report.known = PV_KNOWN_CANDIDATE;
        enter(PV_PHASE_CANDIDATE, sample->instant);
    } else if (state.hold.run >= samples_of(HOLD_WITHOUT_CANDIDATE_MS)) {
        confirm(state.place - (state.hold.run - 1u), sample->instant);
    }
}

/* Ends what takes too long; every wait of this firmware has an end. */
static void watch_clock(const sample_t *sample)
{
    uint32_t instant = sample->instant;

    if (state.report.phase == PV_PHASE_SYNCHRONISING) {
        if (has_passed(instant, state.begun, ticks_of(NOT_ALIVE_MS))) {
            finish(PV_FLAG_INPUT_NOT_ALIVE | PV_FLAG_NO_DISCONNECTION_SEEN, instant);
        }
        return;
    }
    if (state.quiet >= (state.mains.period16 >> 4) + samples_of(QUIET_BEYOND_PERIOD_MS)) {
        finish(PV_FLAG_BELOW_TRIGGER, instant);
    } else if (has_passed(instant, state.begun, ticks_of(LONGEST_WATCH_MS)) ||
               (state.has_commanded &&
                has_passed(instant, state.commanded, ticks_of(ANSWER_TO_COMMAND_MS)))) {
        finish(PV_FLAG_NO_DISCONNECTION_SEEN, instant);
    }
}

/*
 * Places in the history count samples: those that are lost between confirmation and dating are put
 * in, those that come again are taken back. False where that cannot be.
 */
static bool bridge(int32_t voltage)
{
    int64_t before = history_at(state.place);
    int32_t lost = state.lost;
    int32_t step;

    state.lost = 0;
    if (lost < 0) {
        uint32_t again = 0u - (uint32_t)lost;

        if (again > state.place - state.confirmed_place) {
            return false;
        }
        state.place -= again;
        return true;
    }
    if ((uint32_t)lost > samples_of(MOST_BRIDGED_MS)) {
        return false;
    }
    for (step = 1; step <= lost; step++) {
        state.place++;
        history_keep(state.place, (int32_t)(before + (voltage - before) * step / (lost + 1)));
    }
    return true;
}

static void take_sample(const sample_t *sample)
{
    int32_t before = history_at(state.place);
    hold_limits_t limits;

    if (state.report.phase == PV_PHASE_TIMING && !state.dated && !bridge(sample->voltage)) {
        finish(PV_FLAG_NOT_SETTLED, sample->instant);
        return;
    }
    state.place++;
    history_keep(state.place, sample->voltage);
    if (!state.has_begun) {
        state.has_begun = true;
        state.begun = sample->instant;
    }
    if (state.report.phase == PV_PHASE_TIMING) {
        take_while_timing(sample);
        return;
    }
    state.filled++;
    state.quiet = size_of(sample->voltage) < state.configuration.trigger_level
                      ? state.quiet + 1u
                      : 0u;
    if (state.filled > 1u) {
        mains_sample_t newest = {state.place, before, sample->voltage};

        mains_follow(&state.mains, &state.configuration, &newest,
                     state.report.phase == PV_PHASE_SYNCHRONISING);
    }
    limits.level = state.configuration.trigger_level;
    limits.rise = rise_allowed();
    hold_follow(&state.hold, sample->voltage, &limits);
    if (state.report.phase == PV_PHASE_SYNCHRONISING) {
        if (state.mains.agreed >= PERIODS_TO_AGREE) {
            state.begun = sample->instant;
            enter(PV_PHASE_WATCHING, sample->instant);
        }
    } else {
        take_while_watching(sample);
    }
    if (state.report.phase == PV_PHASE_WATCHING &&
        state.mains.strange >= STRANGE_PERIODS_TO_RESTART) {
        state.begun = sample->instant;
        synchronise(sample->instant);
    }
    if (state.report.phase < PV_PHASE_TIMING) {
        watch_clock(sample);
    }
}

static void follow_converter(const sample_t *sample)
{
    uint32_t channel;

    for (channel = 0u; channel < state.configuration.channel_count; channel++) {
        alive_follow(channel, sample->codes[channel], sample->trusted[channel]);
    }
}

/* What to ask for after a sample. */
static uint32_t action_after(const sample_t *sample, bool was_finished)
{
    if (state.report.phase == PV_PHASE_FINISHED && !was_finished) {
        return PV_ACTION_END_OF_MEASUREMENT;
    }
    if (state.automatic_pending && state.report.phase == PV_PHASE_WATCHING) {
        state.automatic_pending = false;
        state.has_commanded = true;
        state.commanded = sample->instant;
        return PV_ACTION_OPEN_CONTACT;
    }
    return PV_ACTION_NONE;
}

/* Whether samples are missing or come again, told or by the time stamp. */
static bool has_gap(const pv_block_t *block)
{
    uint32_t ticks = state.configuration.ticks_per_sample;

    return block->missed > 0u ||
           (state.has_begun && block->time_stamp - state.due + ticks / 2u > ticks);
}

/* Lost samples: before the confirmation start anew; after it the clock goes on. */
static void take_gap(const pv_block_t *block)
{
    int32_t ticks = (int32_t)state.configuration.ticks_per_sample;
    int32_t apart = (int32_t)(block->time_stamp - state.due);

    alive_clear();
    state.lost = (apart + (apart < 0 ? -ticks : ticks) / 2) / ticks;
    if (state.report.phase < PV_PHASE_TIMING && state.has_begun) {
        synchronise(block->time_stamp);
        state.begun = block->time_stamp;
        state.lost = 0;
    }
}

uint32_t pv_port_version(void)
{
    return PV_PORT_VERSION;
}

uint32_t pv_samples(const pv_block_t *block, pv_action_t *action)
{
    uint32_t index;

    action->kind = PV_ACTION_NONE;
    action->argument = 0u;
    if (has_gap(block)) {
        take_gap(block);
    }
    for (index = 0u; index < block->count; index++) {
        bool was_finished = state.report.phase == PV_PHASE_FINISHED;
        sample_t sample = {0};

        if (was_finished) {
            return block->count;
        }
        state.due = block->time_stamp + (index + 1u) * state.configuration.ticks_per_sample;
        if (sample_convert(&state.configuration, block, index, &sample)) {
            follow_converter(&sample);
            take_sample(&sample);
        } else {
            finish(PV_FLAG_INPUT_NOT_ALIVE, sample.instant);
        }
        action->kind = action_after(&sample, was_finished);
        if (action->kind != PV_ACTION_NONE) {
            return index + 1u;
        }
    }
    return block->count;
}

void pv_report(pv_report_t *report)
{
    *report = state.report;
}

uint32_t pv_start(const pv_configuration_t *configuration)
{
    uint32_t reason = reason_to_refuse(configuration);

    if (reason != PV_ACCEPTED) {
        return reason;
    }
    state.configuration = *configuration;
    state.report = (pv_report_t){0};
    state.automatic_pending = configuration->mode == PV_MODE_AUTOMATIC;
    state.has_commanded = false;
    state.has_begun = false;
    state.begun = 0u;
    state.lost = 0;
    state.place = 0u;
    state.mains.period16 = 0u;
    state.mains.crest = 0;
    history_clear();
    alive_clear();
    lines_clear(&state.edges);
    synchronise(0u);
    return PV_ACCEPTED;
}

uint32_t pv_rearm(const pv_configuration_t *configuration)
{
    return pv_start(configuration);
}
