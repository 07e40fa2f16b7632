/*
 * Codes to result units: units = (mean code * multiplier + addend) / 2^fraction_bits.
 *
 * The mean is never rounded by itself. Its sum is scaled and divided once, so that the only
 * rounding is the one that the configuration names. Word lengths, with the limits that
 * scale_is_usable() checks:
 *
 *   sum             <  2^12 codes of 2^16        29 bits
 *   sum * multiplier   multiplier < 2^24         53 bits
 *   addend * count     |addend| < 2^46           59 bits
 *   divisor            count * 2^20              33 bits
 *
 * The result fits 32 bits because both ends of the code range do.
 */
#include "convert.h"

#define MOST_CODE_BITS 16u
#define MOST_FRACTION_BITS 20u
#define MOST_MULTIPLIER ((int32_t)1 << 24)
#define MOST_ADDEND ((int64_t)1 << 46)
/* Differences of two differences of results stay inside 32 bits. */
#define MOST_UNITS ((int64_t)1 << 28)
/* Above 2^28 results of 2^20, and a whole number of them. */
#define SHIFT_BIAS ((int64_t)1 << 50)

/* Quotient of a positive divisor, rounded towards minus infinity; C rounds towards zero. */
static int64_t floor_divide(int64_t dividend, int64_t divisor)
{
    int64_t quotient = dividend / divisor;

    if (dividend % divisor < 0) {
        quotient--;
    }
    return quotient;
}

static int64_t wide_units_of_mean(const pv_configuration_t *configuration, uint32_t channel,
                                  int64_t sum, uint32_t count)
{
    const pv_channel_t *scale = &configuration->channels[channel];
    int64_t scaled = sum * scale->multiplier + scale->addend * (int64_t)count;
    int64_t divisor = (int64_t)count << configuration->fraction_bits;

    if (configuration->rounding == PV_ROUNDING_NEAREST) {
        /* Half of the divisor is whole unless both factors are odd; doubling keeps it exact. */
        scaled = 2 * scaled + divisor;
        divisor = 2 * divisor;
    }
    return floor_divide(scaled, divisor);
}

bool scale_is_usable(const pv_configuration_t *configuration, uint32_t channel)
{
    const pv_channel_t *scale = &configuration->channels[channel];
    int64_t lowest_code;
    int64_t low;
    int64_t high;

    if (configuration->code_bits > MOST_CODE_BITS ||
        configuration->fraction_bits > MOST_FRACTION_BITS || scale->multiplier <= 0 ||
        scale->multiplier > MOST_MULTIPLIER || scale->addend > MOST_ADDEND ||
        scale->addend < -MOST_ADDEND) {
        return false;
    }
    lowest_code = 0;
    if (configuration->least_trusted_code < 0) {
        lowest_code = -((int64_t)1 << (configuration->code_bits - 1u));
    }
    low = wide_units_of_mean(configuration, channel, lowest_code, 1u);
    high = wide_units_of_mean(configuration, channel,
                              lowest_code + ((int64_t)1 << configuration->code_bits) - 1, 1u);
    return low >= -MOST_UNITS && high <= MOST_UNITS && low < 0 && high > 0;
}

int32_t units_of_mean(const pv_configuration_t *configuration, uint32_t channel, int64_t sum,
                      uint32_t count)
{
    return (int32_t)wide_units_of_mean(configuration, channel, sum, count);
}

/* As the mean of one code, without a division; the bias keeps the shifted value positive. */
int32_t units_of_sample(const pv_configuration_t *configuration, uint32_t channel, int32_t code)
{
    const pv_channel_t *scale = &configuration->channels[channel];
    uint32_t bits = configuration->fraction_bits;
    int64_t scaled = (int64_t)code * scale->multiplier + scale->addend + SHIFT_BIAS;

    if (configuration->rounding == PV_ROUNDING_NEAREST) {
        scaled += ((int64_t)1 << bits) / 2;
    }
    return (int32_t)((scaled >> bits) - (SHIFT_BIAS >> bits));
}

int32_t units_of_code(const pv_configuration_t *configuration)
{
    return configuration->channels[0].multiplier >> configuration->fraction_bits;
}

int32_t size_of(int32_t voltage)
{
    return voltage < 0 ? -voltage : voltage;
}
