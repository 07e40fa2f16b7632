/*
 * Connected mains cannot hold for long: it rises, or it passes through zero. A voltage that neither
 * rises nor changes its sign for longer than any mains can is that of a product left to itself.
 */
#include "hold.h"
#include "convert.h"

void hold_follow(hold_t *hold, int32_t voltage, const hold_limits_t *limits)
{
    int32_t height = hold->sign * voltage;

    if (hold->run > 0u && height >= limits->level && height <= hold->least + limits->rise) {
        hold->run++;
        hold->least = height < hold->least ? height : hold->least;
        return;
    }
    hold->sign = voltage < 0 ? -1 : 1;
    hold->least = size_of(voltage);
    hold->run = hold->least >= limits->level ? 1u : 0u;
}
