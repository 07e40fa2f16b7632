/*
 * Trigger and reading of a residual-voltage tester, port 1.0.
 *
 * Fixed point, no heap, no floating point, every loop bounded by a constant. One measurement:
 *
 *   synchronising   three periods of the mains that agree, or "input not alive"
 *   watching        each sample is compared with the mains one period earlier
 *   candidate       it differs by a tenth of the crest; the voltage has to hold for 12 ms
 *   timing          confirmed and back-dated; readings at the stated moments, crossings, reconnection
 *   finished        the report stands until the next start
 *
 * Numbers: voltages in result units, 32 bits signed, below 2^29; instants in ticks, 32 bits, which
 * wrap; places in the history in samples, 32 bits, which wrap; the period in 1/16 sample.
 */
#include "alive.h"
#include "convert.h"
#include "dating.h"
#include "history.h"

#define MOST_SAMPLE_RATE 20000u
#define LEAST_SAMPLE_RATE 2000u

#define LEAST_MAINS_HZ 44u
#define MOST_MAINS_HZ 67u
#define PERIODS_TO_AGREE 3u
#define STRANGE_PERIODS_TO_RESTART 4u

/* Shares of the crest: 1/10 to suspect, 1/50 to reject or to see a divergence, 1/16 reconnection. */
#define CANDIDATE_SHARE 10
#define RISE_SHARE 50
#define RECONNECTION_SHARE 16

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
/* After so many time constants the filter shows what is held within a code. */
#define LAGS_TO_SETTLE 6u
#define NOT_ALIVE_MS 300u
#define ANSWER_TO_COMMAND_MS 100u
#define LONGEST_WATCH_MS 60000u
#define EARLIEST_READING_MS 60u
#define QUIET_BEYOND_PERIOD_MS 10u
/* A line counts as passed when so many samples in a row lie beyond it. */
#define SAMPLES_TO_CROSS 3u
/* A window is settled while its span is below an eighth of its middle plus four codes. */
#define SPAN_SHARE 8
#define SPAN_CODES 4

/* One sample after conversion. */
typedef struct {
    uint32_t instant;
    int32_t voltage;
    int32_t codes[PV_MOST_CHANNELS];
    bool trusted[PV_MOST_CHANNELS];
} sample_t;

/* Sums over one window of reading. */
typedef struct {
    uint32_t first; /* ticks, ends of the window */
    uint32_t last;
    int64_t sums[PV_MOST_CHANNELS];
    uint32_t count;
    uint32_t first_instant; /* of the samples taken */
    uint32_t last_instant;
    int32_t least;
    int32_t greatest;
    bool trusted[PV_MOST_CHANNELS];
    bool done;
} window_t;

/* A crossing that is being confirmed. */
typedef struct {
    uint32_t run;
    uint32_t began;
} edge_t;

static struct {
    pv_configuration_t configuration;
    pv_report_t report;
    bool automatic_pending;
    uint32_t begun;     /* instant of the first sample */
    bool has_begun;
    uint32_t commanded; /* instant of the command to open */
    bool has_commanded;

    uint32_t place; /* of the newest sample */
    uint32_t filled;

    bool armed; /* saw the negative half wave */
    uint32_t crossing16; /* place of the newest rising zero, 1/16 sample */
    bool has_crossing;
    uint32_t period16;
    uint32_t agreed;
    uint32_t strange;
    int32_t peak; /* of the half waves since the newest rising zero */
    int32_t crest;

    uint32_t candidate_place;
    uint32_t confirmed_place;
    bool dated;
    int32_t sign;
    int32_t least; /* least voltage since the candidate, in its own sign */
    uint32_t run;  /* samples for which the voltage has held, candidate or not */
    int32_t run_sign;
    int32_t run_least;
    uint32_t quiet; /* samples below the trigger level */

    window_t windows[PV_MOST_MOMENTS];
    edge_t edges[PV_MOST_LINES][2];
} state;

static uint32_t ticks_of_ms(uint32_t ms)
{
    return (uint32_t)((uint64_t)state.configuration.tick_rate * ms / 1000u);
}

static uint32_t samples_of_ms(uint32_t ms)
{
    return ticks_of_ms(ms) / state.configuration.ticks_per_sample;
}

/* True from `limit` ticks after `since` on; right across one wrap of the counter. */
static bool has_passed(uint32_t instant, uint32_t since, uint32_t limit)
{
    return instant - since >= limit && instant - since < 0x80000000u;
}

static int32_t size_of(int32_t voltage)
{
    return voltage < 0 ? -voltage : voltage;
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
    state.armed = false;
    state.has_crossing = false;
    state.agreed = 0u;
    state.strange = 0u;
    state.peak = 0;
    state.run = 0u;
    state.quiet = 0u;
    state.report.known = 0u;
    state.report.candidate = 0u;
    enter(PV_PHASE_SYNCHRONISING, instant);
}

/* Takes the length of one period: it agrees, it is strange, or it is none of the mains'. */
static void learn_period(uint32_t length16)
{
    uint32_t per_second16 =
        16u * (state.configuration.tick_rate / state.configuration.ticks_per_sample);
    uint32_t tolerance = state.period16 / 32u;

    if (length16 < per_second16 / MOST_MAINS_HZ || length16 > per_second16 / LEAST_MAINS_HZ) {
        state.strange++;
        state.agreed = 0u;
        return;
    }
    if (length16 + tolerance < state.period16 || length16 > state.period16 + tolerance) {
        state.strange++;
        state.agreed = 0u;
        if (state.report.phase == PV_PHASE_SYNCHRONISING) {
            state.period16 = length16;
        }
        return;
    }
    state.strange = 0u;
    state.agreed++;
    state.crest = state.peak;
    /* A quarter of the change: one disturbed zero moves the period by less than 1 %. */
    state.period16 = (3u * state.period16 + length16 + 2u) / 4u;
}

/* Finds rising zeros behind a negative half wave of at least the trigger level. */
static void follow_mains(int32_t before, int32_t voltage)
{
    if (size_of(voltage) > state.peak) {
        state.peak = size_of(voltage);
    }
    if (voltage <= -state.configuration.trigger_level) {
        state.armed = true;
    }
    if (state.armed && before <= 0 && voltage > 0) {
        int32_t back16 = (int32_t)(16 * (int64_t)voltage / ((int64_t)voltage - before));
        uint32_t crossing16 = 16u * state.place - (uint32_t)back16;

        if (state.has_crossing) {
            learn_period(crossing16 - state.crossing16);
        }
        state.has_crossing = true;
        state.crossing16 = crossing16;
        state.armed = false;
        state.peak = voltage;
    }
}

/* Counts samples for which the voltage has held: one sign, above the level, no rise. */
static void follow_hold(int32_t voltage)
{
    int32_t height = state.run_sign * voltage;

    if (state.run > 0u && height >= state.configuration.trigger_level &&
        height <= state.run_least + state.crest / RISE_SHARE) {
        state.run++;
        state.run_least = height < state.run_least ? height : state.run_least;
        return;
    }
    state.run_sign = voltage < 0 ? -1 : 1;
    state.run_least = size_of(voltage);
    state.run = state.run_least >= state.configuration.trigger_level ? 1u : 0u;
}

/* Follows one end of one line's crossing; the first of three samples beyond it is the crossing. */
static void follow_edge(edge_t *edge, bool beyond, uint32_t after, uint32_t *found, bool *is_found)
{
    if (!beyond) {
        edge->run = 0u;
        return;
    }
    if (edge->run == 0u) {
        edge->began = after;
    }
    edge->run++;
    if (edge->run == SAMPLES_TO_CROSS) {
        *found = edge->began;
        *is_found = true;
    }
}

static void follow_lines(int32_t voltage, uint32_t after)
{
    int32_t size = size_of(voltage);
    uint32_t line;

    for (line = 0u; line < state.configuration.line_count; line++) {
        const pv_line_t *limit = &state.configuration.lines[line];
        pv_crossing_t *crossing = &state.report.crossings[line];
        edge_t *edges = state.edges[line];
        bool found = false;

        if ((crossing->known & PV_CROSSING_EARLIEST) == 0u) {
            follow_edge(&edges[0], size <= limit->level + limit->margin, after,
                        &crossing->earliest, &found);
            crossing->known |= found ? PV_CROSSING_EARLIEST : 0u;
        }
        found = false;
        if ((crossing->known & PV_CROSSING_LATEST) == 0u) {
            follow_edge(&edges[1], size < limit->level - limit->margin, after,
                        &crossing->latest, &found);
            crossing->known |= found ? PV_CROSSING_LATEST : 0u;
        }
    }
}

/* Places the windows of reading. The filter lags, so that they lie later by its lag. */
static void place_windows(void)
{
    const pv_configuration_t *configuration = &state.configuration;
    uint32_t moment;

    for (moment = 0u; moment < configuration->moment_count; moment++) {
        window_t *window = &state.windows[moment];
        uint32_t stated =
            state.report.opening + configuration->moments[moment] + configuration->input_lag;

        *window = (window_t){0};
        window->first = stated;
        if (configuration->window_position == PV_WINDOW_CENTRED) {
            window->first = stated - configuration->window / 2u;
        } else if (configuration->window_position == PV_WINDOW_TRAILING) {
            window->first = stated - configuration->window;
        }
        window->last = window->first + configuration->window;
        window->trusted[0] = true;
        window->trusted[1] = true;
    }
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
    int32_t lsb = configuration->channels[0].multiplier >> configuration->fraction_bits;
    dating_t dating = {
        .newest = state.place,
        .earliest = state.candidate_place - samples_of_ms(BACK_DATING_MS),
        .period16 = state.period16,
        .lag16 = 16u * configuration->input_lag / configuration->ticks_per_sample,
        .samples_in_ms = samples_of_ms(1u),
        .crest = state.crest,
        .lsb = lsb,
    };
    opening_t opening = date_opening(&dating);

    /* Between the last sample that was driven and the first that was held. */
    state.report.opening = instant_of(opening.place) + configuration->ticks_per_sample / 2u;
    state.report.known |= PV_KNOWN_OPENING;
    state.dated = true;
    place_windows();
    catch_up_lines(&opening);
    PV_TRACE(state.report.opening, 1u, history_at(opening.place));
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

static void add_to_window(window_t *window, const sample_t *sample)
{
    uint32_t channel;

    if (window->count == 0u) {
        window->first_instant = sample->instant;
        window->least = sample->voltage;
        window->greatest = sample->voltage;
    }
    window->last_instant = sample->instant;
    window->count++;
    window->least = sample->voltage < window->least ? sample->voltage : window->least;
    window->greatest = sample->voltage > window->greatest ? sample->voltage : window->greatest;
    for (channel = 0u; channel < state.configuration.channel_count; channel++) {
        window->sums[channel] += sample->codes[channel];
        window->trusted[channel] = window->trusted[channel] && sample->trusted[channel];
    }
}

static int32_t of_channels(const int32_t *units, const bool *trusted)
{
    switch (state.configuration.role) {
    case PV_ROLE_PER_PIN:
        return units[0] - units[1];
    case PV_ROLE_RANGES:
        return trusted[0] ? units[0] : units[1];
    default:
        return units[0];
    }
}

/* Whether the voltage of the channels rests on a code that may not be trusted. */
static bool is_over_range(const bool *trusted)
{
    switch (state.configuration.role) {
    case PV_ROLE_PER_PIN:
        return !(trusted[0] && trusted[1]);
    case PV_ROLE_RANGES:
        return !trusted[1] && !trusted[0];
    default:
        return !trusted[0];
    }
}

/* Turns a complete window into a reading. */
static void read_window(window_t *window)
{
    const pv_configuration_t *configuration = &state.configuration;
    pv_reading_t *reading = &state.report.readings[state.report.reading_count];
    int32_t lsb = configuration->channels[0].multiplier >> configuration->fraction_bits;
    uint32_t expected = configuration->window / configuration->ticks_per_sample;
    uint32_t channel;
    int32_t voltage;

    window->done = true;
    if (window->count == 0u) {
        state.report.flags |= PV_FLAG_NOT_SETTLED;
        return;
    }
    for (channel = 0u; channel < configuration->channel_count; channel++) {
        reading->voltages[channel] =
            units_of_mean(configuration, channel, window->sums[channel], window->count);
    }
    voltage = of_channels(reading->voltages, window->trusted);
    if (configuration->role == PV_ROLE_RANGES) {
        reading->voltages[0] = voltage;
    }
    reading->instant = window->first_instant +
                       (window->last_instant - window->first_instant) / 2u -
                       configuration->input_lag;
    state.report.reading_count++;
    if (is_over_range(window->trusted)) {
        state.report.flags |= PV_FLAG_OVER_RANGE;
    }
    if (window->count < expected ||
        window->greatest - window->least > size_of(voltage) / SPAN_SHARE + SPAN_CODES * lsb) {
        state.report.flags |= PV_FLAG_NOT_SETTLED;
    }
}

/* Hands a sample to the windows that it lies in; ends when all of them are read. */
static void follow_windows(const sample_t *sample)
{
    uint32_t moment;
    bool done = true;

    for (moment = 0u; moment < state.configuration.moment_count; moment++) {
        window_t *window = &state.windows[moment];

        if (!window->done && has_passed(sample->instant, window->first, 0u)) {
            if (!has_passed(sample->instant, window->last, 1u)) {
                add_to_window(window, sample);
            }
            if (has_passed(sample->instant + state.configuration.ticks_per_sample, window->last,
                           1u)) {
                read_window(window);
            }
        }
        done = done && window->done;
    }
    if (done) {
        finish(0u, sample->instant);
    }
}

/* Timing: reconnection, dating, crossings and windows. */
static void take_while_timing(const sample_t *sample)
{
    int32_t height = state.sign * sample->voltage;
    int32_t floor = state.least > 0 ? state.least : 0;
    int32_t rise = state.crest / RECONNECTION_SHARE;

    if (height > floor + rise || height < -rise) {
        finish(PV_FLAG_RECONNECTED, sample->instant);
        return;
    }
    state.least = height < state.least ? height : state.least;
    if (!state.dated) {
        if (state.place - state.confirmed_place < samples_of_ms(DATING_MS)) {
            return;
        }
        if (alive_has_stuck(&state.configuration, samples_of_ms(DATING_MS))) {
            finish(PV_FLAG_INPUT_NOT_ALIVE, sample->instant);
            return;
        }
        date();
        return;
    }
    follow_lines(sample->voltage,
                 sample->instant - state.report.opening - state.configuration.input_lag);
    follow_windows(sample);
}

/* Watching and candidate: comparison with the period before, then the hold. */
static void take_while_watching(const sample_t *sample)
{
    int32_t voltage = sample->voltage;
    bool differs = size_of(voltage - history_before(state.place, state.period16)) >
                   state.crest / CANDIDATE_SHARE;

    if (state.report.phase == PV_PHASE_CANDIDATE) {
        int32_t height = state.sign * voltage;

        if (height < state.configuration.trigger_level ||
            height > state.least + state.crest / RISE_SHARE) {
            state.report.known = 0u;
            state.report.candidate = 0u;
            enter(PV_PHASE_WATCHING, sample->instant);
        } else {
            state.least = height < state.least ? height : state.least;
            if (state.place - state.candidate_place >= samples_of_ms(HOLD_MS)) {
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
    } else if (state.run >= samples_of_ms(HOLD_WITHOUT_CANDIDATE_MS)) {
        confirm(state.place - (state.run - 1u), sample->instant);
    }
}

/* Ends what takes too long; every wait of this firmware has an end. */
static void watch_clock(const sample_t *sample)
{
    uint32_t instant = sample->instant;

    if (state.report.phase == PV_PHASE_SYNCHRONISING) {
        if (has_passed(instant, state.begun, ticks_of_ms(NOT_ALIVE_MS))) {
            finish(PV_FLAG_INPUT_NOT_ALIVE | PV_FLAG_NO_DISCONNECTION_SEEN, instant);
        }
        return;
    }
    if (state.quiet >= (state.period16 >> 4) + samples_of_ms(QUIET_BEYOND_PERIOD_MS)) {
        finish(PV_FLAG_BELOW_TRIGGER, instant);
    } else if (has_passed(instant, state.begun, ticks_of_ms(LONGEST_WATCH_MS)) ||
               (state.has_commanded &&
                has_passed(instant, state.commanded, ticks_of_ms(ANSWER_TO_COMMAND_MS)))) {
        finish(PV_FLAG_NO_DISCONNECTION_SEEN, instant);
    }
}

static void take_sample(const sample_t *sample)
{
    int32_t before = history_at(state.place);

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
        follow_mains(before, sample->voltage);
    }
    follow_hold(sample->voltage);
    if (state.report.phase == PV_PHASE_SYNCHRONISING) {
        if (state.agreed >= PERIODS_TO_AGREE) {
            state.begun = sample->instant;
            enter(PV_PHASE_WATCHING, sample->instant);
        }
    } else {
        take_while_watching(sample);
    }
    if (state.report.phase == PV_PHASE_WATCHING && state.strange >= STRANGE_PERIODS_TO_RESTART) {
        state.begun = sample->instant;
        synchronise(sample->instant);
    }
    if (state.report.phase < PV_PHASE_TIMING) {
        watch_clock(sample);
    }
}

/* Converts one sample. Returns false for a code that no working converter gives. */
static bool convert(const pv_block_t *block, uint32_t index, sample_t *sample)
{
    const pv_configuration_t *configuration = &state.configuration;
    int32_t span = (int32_t)1 << configuration->code_bits;
    int32_t lowest = configuration->least_trusted_code < 0 ? -(span / 2) : 0;
    int32_t units[PV_MOST_CHANNELS] = {0, 0};
    uint32_t channel;

    sample->instant = block->time_stamp + index * configuration->ticks_per_sample;
    for (channel = 0u; channel < configuration->channel_count; channel++) {
        int32_t code = block->codes[channel][index];

        if (code < lowest || code > lowest + span - 1) {
            return false;
        }
        sample->codes[channel] = code;
        sample->trusted[channel] = code >= configuration->least_trusted_code &&
                                   code <= configuration->greatest_trusted_code &&
                                   (block->saturated >> channel & 1u) == 0u;
        alive_follow(channel, code, sample->trusted[channel]);
        units[channel] = units_of_mean(configuration, channel, code, 1u);
    }
    sample->voltage = of_channels(units, sample->trusted);
    return true;
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

/* Lost samples: before the confirmation start anew; after it the clock goes on. */
static void take_gap(const pv_block_t *block)
{
    alive_clear();
    if (state.report.phase < PV_PHASE_TIMING && state.has_begun) {
        synchronise(block->time_stamp);
        state.begun = block->time_stamp;
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
    if (block->missed > 0u) {
        take_gap(block);
    }
    for (index = 0u; index < block->count; index++) {
        bool was_finished = state.report.phase == PV_PHASE_FINISHED;
        sample_t sample = {0};

        if (was_finished) {
            return block->count;
        }
        if (convert(block, index, &sample)) {
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

/* Limits of what this firmware can do; the port allows more. */
static uint32_t reason_to_refuse(const pv_configuration_t *configuration)
{
    uint32_t rate;
    uint32_t channel;
    uint32_t index;

    if (configuration->port_version >> 16 != PV_PORT_MAJOR) {
        return PV_REFUSED_PORT_VERSION;
    }
    if (configuration->ticks_per_sample == 0u || configuration->tick_rate > 10000000u) {
        return PV_REFUSED_SAMPLE_RATE;
    }
    rate = configuration->tick_rate / configuration->ticks_per_sample;
    if (rate < LEAST_SAMPLE_RATE || rate > MOST_SAMPLE_RATE) {
        return PV_REFUSED_SAMPLE_RATE;
    }
    if (configuration->code_bits < 8u || configuration->code_bits > 16u ||
        configuration->least_trusted_code > configuration->greatest_trusted_code) {
        return PV_REFUSED_CODE_WIDTH;
    }
    if (configuration->role > PV_ROLE_RANGES ||
        configuration->channel_count != (configuration->role == PV_ROLE_SINGLE ? 1u : 2u)) {
        return PV_REFUSED_CHANNELS;
    }
    for (channel = 0u; channel < configuration->channel_count; channel++) {
        if (!scale_is_usable(configuration, channel)) {
            return PV_REFUSED_SCALE;
        }
    }
    if (configuration->trigger_level <= 0 || configuration->trigger_level > 1000000000) {
        return PV_REFUSED_TRIGGER_LEVEL;
    }
    if (configuration->line_count > PV_MOST_LINES) {
        return PV_REFUSED_LINES;
    }
    for (index = 0u; index < configuration->line_count; index++) {
        const pv_line_t *line = &configuration->lines[index];

        if (line->level <= 0 || line->margin < 0 || line->margin >= line->level ||
            line->level > 1000000000) {
            return PV_REFUSED_LINES;
        }
    }
    if (configuration->window / configuration->ticks_per_sample >= MOST_AVERAGED ||
        configuration->window_position > PV_WINDOW_LEADING) {
        return PV_REFUSED_WINDOW;
    }
    if (configuration->moment_count == 0u || configuration->moment_count > PV_MOST_MOMENTS) {
        return PV_REFUSED_MOMENTS;
    }
    for (index = 0u; index < configuration->moment_count; index++) {
        uint64_t least = (uint64_t)configuration->tick_rate * EARLIEST_READING_MS / 1000u;

        if (configuration->moments[index] > 0x40000000u ||
            configuration->moments[index] < least + configuration->window ||
            (index > 0u && configuration->moments[index] <= configuration->moments[index - 1u])) {
            return PV_REFUSED_MOMENTS;
        }
    }
    if (configuration->mode > PV_MODE_AUTOMATIC) {
        return PV_REFUSED_MODE;
    }
    return PV_ACCEPTED;
}

uint32_t pv_start(const pv_configuration_t *configuration)
{
    uint32_t reason = reason_to_refuse(configuration);
    uint32_t place;

    if (reason != PV_ACCEPTED) {
        return reason;
    }
    state.configuration = *configuration;
    state.report = (pv_report_t){0};
    state.automatic_pending = configuration->mode == PV_MODE_AUTOMATIC;
    state.has_commanded = false;
    state.has_begun = false;
    state.begun = 0u;
    state.place = 0u;
    state.period16 = 0u;
    state.crest = 0;
    history_clear();
    alive_clear();
    for (place = 0u; place < PV_MOST_LINES; place++) {
        state.edges[place][0] = (edge_t){0};
        state.edges[place][1] = (edge_t){0};
    }
    synchronise(0u);
    return PV_ACCEPTED;
}

uint32_t pv_rearm(const pv_configuration_t *configuration)
{
    return pv_start(configuration);
}
