import * as fc from "fast-check";

// One seed for every property, so that a run can be repeated; FAST_CHECK_SEED asks for another.
const seed = Number(process.env["FAST_CHECK_SEED"] ?? "20261125");
fc.configureGlobal({ seed });
