export {
  InvalidInputError,
  InvariantBrokenError,
  NoGuaranteeError,
  OutsideDomainError,
  PlumbvoltError,
  UnboundedResultError,
  faultText,
} from "./errors.ts";
export type { Fault } from "./errors.ts";

export { Decimal } from "./quantity/decimal.ts";
export { formatQuantity } from "./quantity/format.ts";
export { parseQuantity, readQuantity } from "./quantity/unit-text.ts";
export type { Parsed, ReadQuantity } from "./quantity/unit-text.ts";
export type { Dimension } from "./quantity/dimension.ts";

export type { Expression } from "./expression/node.ts";
export {
  absolute,
  add,
  constant,
  divide,
  exponential,
  floor,
  logarithm,
  maximum,
  minimum,
  multiply,
  named,
  negate,
  power,
  squareRoot,
  subtract,
  symbol,
} from "./expression/build.ts";
export { parseInfix } from "./expression/parse-infix.ts";
export { toInfix } from "./expression/infix.ts";
export type { Definition } from "./expression/infix.ts";

export { defineDesign, readDesign } from "./design/read-design.ts";
export { designJsonSchema } from "./design/design-json-schema.ts";
export type { DesignDocument } from "./design/document-schema.ts";
export type { Design } from "./design/design.ts";
export type { Limits, Occasion, Origin, Quantity, QuantityKind } from "./design/quantity.ts";
export { quantitiesOf } from "./design/quantities.ts";
export { scalingConstants } from "./design/scaling-constants.ts";
export type { ScalingConstants } from "./design/scaling-constants.ts";
export {
  limitVoltages,
  publishedLimits,
  timeConstantLineVoltage,
} from "./design/published-limits.ts";
export type { LimitVoltage } from "./design/published-limits.ts";
export type { LimitLine, PublishedLimit } from "./design/published-limit.ts";
export { chargedCapacitorLimit } from "./design/charged-capacitor-table.ts";
export {
  permittedError,
  permittedFraction,
  voltageBelowWhichExceeds,
} from "./design/accuracy-statement.ts";
export type { AccuracyStatement } from "./design/accuracy-statement.ts";
export { permittedErrors, permittedErrorsOver } from "./design/requirement.ts";
export type { PermittedErrors, Requirement } from "./design/requirement.ts";
export { parseRequirementText } from "./design/requirement-text.ts";

export { measurementModel } from "./chain/measurement-model.ts";
export type { MeasurementModel } from "./chain/measurement-model.ts";

export { ErrorBrackets } from "./guarantee/error-brackets.ts";
export type { BracketOptions } from "./guarantee/error-brackets.ts";
export type { Bracket, Side, SideBracket } from "./guarantee/bracket.ts";
export { effectsOf, effectVoltages } from "./guarantee/effects.ts";
export type {
  BracketedEffect,
  Effect,
  EffectChange,
  EffectId,
  EffectRow,
  EffectSide,
  ImpossibleEffect,
} from "./guarantee/effects.ts";
export { bandsOf } from "./guarantee/bands.ts";
export type { VoltageBand } from "./guarantee/bands.ts";

export { evaluateUncertainty } from "./uncertainty/evaluate-uncertainty.ts";
export type { UncertaintyOptions, UncertaintyResult } from "./uncertainty/evaluate-uncertainty.ts";
export { evaluateUncertaintyOnPool, openTrialPool } from "./uncertainty/evaluate-in-parallel.ts";
export type { TrialPool } from "./uncertainty/evaluate-in-parallel.ts";
export type { InputQuantity, UncertaintyModel } from "./uncertainty/measurement-model.ts";
export { correlationOfReadings, evaluateReadings } from "./uncertainty/readings.ts";
export { uncertaintyAlong } from "./uncertainty/uncertainty-along.ts";
export type {
  SweepOptions,
  SweptModel,
  SweptUncertainty,
} from "./uncertainty/uncertainty-along.ts";
export { errorModel } from "./uncertainty/error-model.ts";
export type { ErrorModel } from "./uncertainty/error-model.ts";
export type { BudgetSubject, Particulars } from "./uncertainty/particulars.ts";
export { particularsJsonSchema, readParticulars } from "./uncertainty/read-particulars.ts";
export { sensitivityShares } from "./uncertainty/sensitivity-shares.ts";
export { binomialBounds } from "./statistics/binomial-bounds.ts";
export { serialCorrelation } from "./statistics/serial-correlation.ts";
export { oneSidedToleranceFactor, twoSidedToleranceFactor } from "./statistics/tolerance-factor.ts";
export type { ToleranceStatement } from "./statistics/tolerance-factor.ts";
export { wilksSampleSize } from "./statistics/order-statistics.ts";

export { budgetOf, defaultVoltages } from "./report/budget.ts";
export type { BudgetOptions } from "./report/budget.ts";
export type {
  BudgetDocument,
  BudgetRow,
  ComparisonRow,
  RequirementRow,
  SideFigures,
  SymbolRow,
  TermRow,
} from "./report/budget-document.ts";
export { budgetTable } from "./report/budget-table.ts";
export { effectsTable } from "./report/effects-table.ts";
export { budgetDifference } from "./report/budget-difference.ts";
export type {
  Both,
  BudgetDifference,
  ComparedDesign,
  ConditionDifference,
  DesignKey,
  DifferenceFigures,
  DifferenceRow,
  ErrorOrder,
  RequirementDifference,
  RequirementFigures,
  StatementPart,
  TermDifference,
  TermDifferences,
} from "./report/budget-difference.ts";
export { differenceTable } from "./report/difference-table.ts";
export type { PageOptions } from "./report/page-text.ts";
export { budgetChart, sharesChart, termsChart } from "./report/budget-chart.ts";
export { budgetChartData } from "./report/budget-chart-data.ts";
export { budgetJsonSchema } from "./report/budget-schema.ts";
export { differenceJsonSchema } from "./report/difference-schema.ts";

export { decisionOf } from "./report/decision.ts";
export type { DecisionOptions } from "./report/decision.ts";
export { decisionTable } from "./report/decision-table.ts";
export { decisionJsonSchema } from "./report/decision-schema.ts";
export type { DecisionDocument } from "./report/decision-document.ts";
export { limitLineIds } from "./decision/limit-question.ts";
export { readPinParts } from "./decision/read-pin-parts.ts";
export {
  dividerPart,
  isReferenceLoad,
  meetsInstrumentDemand,
  openContactVoltage,
  pinImpedance,
} from "./decision/pin-impedance.ts";
export type { PinImpedance, PinPart } from "./decision/pin-impedance.ts";
export { loadingCorrection, smallestCapacitance } from "./decision/loading.ts";
export type { LoadingCorrection, PassiveProduct, PinLoad } from "./decision/loading.ts";
export { capabilityIndex, conformanceProbability, specificRisk } from "./decision/conformance.ts";
export { fourWayVerdict, guardBand, guardBandMultiplier } from "./decision/guard-band.ts";
export type { GuardBand, GuardBandMethod, GuardBandRule } from "./decision/guard-band.ts";
export { globalRisk } from "./decision/global-risk.ts";
export type { GlobalRisk, Inspection, Prior } from "./decision/global-risk.ts";
export type { NormalState, Tolerance } from "./decision/tolerance.ts";
export {
  expectedMaximumOfNormals,
  greatestOfOpenings,
  openingShare,
  scaledVoltages,
} from "./decision/greatest-voltage.ts";
export type { Measured, RandomOpenings, VoltageScaling } from "./decision/greatest-voltage.ts";

export { readCatalogue } from "./sizing/read-catalogue.ts";
export type { Catalogue } from "./sizing/read-catalogue.ts";
export { catalogueJsonSchema } from "./sizing/catalogue-schema.ts";
export type { CatalogueDocument } from "./sizing/catalogue-schema.ts";

export { checkpointsOf } from "./report/checkpoint-document.ts";
export type { CheckpointDocument, CheckpointOptions } from "./report/checkpoint-document.ts";
export { checkpointCsv, checkpointTable } from "./report/checkpoint-table.ts";
export { checkpointJsonSchema } from "./report/checkpoint-schema.ts";
export { checkPlan } from "./decision/check-plan.ts";
export type {
  CalibrationProcess,
  CheckedStatement,
  CheckPlan,
  CheckPlanOptions,
  CheckPoint,
  DynamicCheck,
  LimitCheck,
} from "./decision/check-plan.ts";
export { calibrationInterval } from "./decision/calibration-interval.ts";
export type {
  CalibrationInterval,
  ErrorAtAge,
  ErrorGrowth,
  KeptPromise,
} from "./decision/calibration-interval.ts";
export { compareStatements } from "./decision/comparison.ts";
export type { ComparedStatement, Comparison } from "./decision/comparison.ts";
export { comparisonChart, comparisonTable } from "./report/comparison-table.ts";
export { lineChart } from "./report/line-chart.ts";
export type { ChartLine, LineChart } from "./report/line-chart.ts";
export { errorAgainstResistance } from "./decision/resistance-optimum.ts";
export type { ResistanceCurve, ResistancePoint } from "./decision/resistance-optimum.ts";
export { resistanceChart } from "./report/decision-chart.ts";
export { threeConductors } from "./decision/three-conductors.ts";
export type {
  Mode,
  PairError,
  ThreeConductorFacts,
  ThreeConductors,
} from "./decision/three-conductors.ts";

export { readRecord, recordJsonSchema } from "./report/record-schema.ts";
export type {
  EvidenceRecord,
  RecordCheck,
  RecordRequirement,
  RecordResult,
} from "./report/record-document.ts";
export { canonicalText } from "./report/record-canonical.ts";
export { readRecordRequirements } from "./report/read-record-requirements.ts";
export type { UserRequirement } from "./report/read-record-requirements.ts";
export { sizeDesign } from "./sizing/size.ts";
export type { SizingOptions, SizingProgress } from "./sizing/gather.ts";
export type { SizingResult } from "./sizing/size.ts";
export type { SizingQuestion } from "./sizing/space.ts";
export type { Candidate } from "./sizing/candidate.ts";
export { candidateDocument } from "./sizing/candidate-design.ts";
export { whatIf } from "./sizing/what-if.ts";
export type { PerfectPart, Resolution, Slack, WhatIf } from "./sizing/what-if.ts";
export { sizingDocument } from "./report/sizing-document.ts";
export type { SizingDocument, SizingRow } from "./report/sizing-document.ts";
export { sizingTable } from "./report/sizing-table.ts";
export { sizingChart } from "./report/sizing-chart.ts";
export { sizingJsonSchema } from "./report/sizing-schema.ts";
export { whatIfDocument } from "./report/what-if-document.ts";
export type { WhatIfDocument } from "./report/what-if-document.ts";
export { whatIfJsonSchema } from "./report/what-if-schema.ts";
