/*
 * What the trapping build links beside the firmware; no part of the product.
 *
 * Edge budget: each edge of the control flow takes one from a count, and the host stops the call
 * when nothing is left. The verdict about an endless loop is then the same on every machine.
 * Undefined behaviour: the checks that the compiler inserts end in one of the functions below, so
 * that the host learns the reason. Names and numbers are those of UNDEFINED_REASONS.
 */
#include <stdint.h>

#define UNCOUNTED __attribute__((no_sanitize("coverage", "undefined")))
/* Counting stands in the firmware's own functions, what stops a call outside them. */
#define COUNTS UNCOUNTED __attribute__((always_inline))
#define STOPS UNCOUNTED __attribute__((noinline))
#define HOST(name) __attribute__((import_module("plumbvolt"), import_name(#name))) name
#define EXPORT(name) __attribute__((export_name(#name))) name

static uint32_t left;

void HOST(pv_budget_spent)(void) __attribute__((noreturn, cold));
void HOST(pv_undefined)(uint32_t reason) __attribute__((noreturn, cold));
void __wasm_call_ctors(void);
void EXPORT(_initialize)(void);
void EXPORT(pv_set_budget)(uint32_t edges);
uint32_t EXPORT(pv_budget_left)(void);
void __sanitizer_cov_trace_pc_guard(uint32_t *guard);
void __sanitizer_cov_trace_pc_guard_init(uint32_t *first, uint32_t *end);

UNCOUNTED void _initialize(void)
{
    __wasm_call_ctors();
}

UNCOUNTED void pv_set_budget(uint32_t edges)
{
    left = edges;
}

UNCOUNTED uint32_t pv_budget_left(void)
{
    return left;
}

COUNTS void __sanitizer_cov_trace_pc_guard(uint32_t *guard)
{
    (void)guard;
    if (left == 0u) {
        /* Each call stays its own, so that it has a line. */
        __attribute__((nomerge)) pv_budget_spent();
    }
    left--;
}

UNCOUNTED void __sanitizer_cov_trace_pc_guard_init(uint32_t *first, uint32_t *end)
{
    (void)first;
    (void)end;
}

#define REASON(number, name) NAMED_REASON(number, __ubsan_handle_##name##_minimal_abort)
#define LAST_REASON(number, name) NAMED_REASON(number, __ubsan_handle_##name##_minimal)
#define NAMED_REASON(number, function)  \
    void function(void);                \
    STOPS void function(void)           \
    {                                   \
        pv_undefined(number);           \
    }

REASON(0u, type_mismatch)
REASON(1u, alignment_assumption)
REASON(2u, add_overflow)
REASON(3u, sub_overflow)
REASON(4u, mul_overflow)
REASON(5u, negate_overflow)
REASON(6u, divrem_overflow)
REASON(7u, shift_out_of_bounds)
REASON(8u, out_of_bounds)
REASON(9u, local_out_of_bounds)
LAST_REASON(10u, builtin_unreachable)
LAST_REASON(11u, missing_return)
REASON(12u, vla_bound_not_positive)
REASON(13u, float_cast_overflow)
REASON(14u, load_invalid_value)
REASON(15u, invalid_builtin)
REASON(16u, function_type_mismatch)
REASON(17u, implicit_conversion)
REASON(18u, nonnull_arg)
REASON(19u, nonnull_return)
REASON(20u, nullability_arg)
REASON(21u, nullability_return)
REASON(22u, pointer_overflow)
REASON(23u, cfi_check_fail)
