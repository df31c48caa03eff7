export type * from './types.ts';

export { STANDARD_CALLS } from './3-build/standard-calls.ts';
export { readScenario } from './3-build/scenario.ts';
export { readPack } from './3-build/pack.ts';
export { forkPack, packHash, type ForkResult } from './3-build/fork.ts';
export { readFormulary, type Formulary } from './3-build/formulary.ts';
export { buildLibrary, libraryHash, usualPackId, type NamedText } from './3-build/library.ts';
export { FilePlaces, type FilePlace } from './3-build/places.ts';
export { canonicalJson, sha256 } from './3-build/hash.ts';

export {
  allowedDose,
  bandFor,
  bandWords,
  formatDose,
  measurableMl,
  suggestDose,
  volumeOf,
  type AllowedDose,
  type DosePatient,
  type DoseSuggestion,
} from './3-build/dose.ts';
export {
  convertAmount,
  formatAmount,
  formatDuration,
  formatNumber,
  parseQuantity,
  unitsOf,
  type AmountUnit,
  type Quantity,
  type QuantityKind,
  type QuantityResult,
} from './words/quantity.ts';
export { VITALS, vitalName, type VitalWord } from './words/vitals.ts';
export { circumstancesOf } from './words/circumstances.ts';
export { closest, editDistance } from './words/closest.ts';

export { formatDiagnostic } from './1-read/bag.ts';
export { LIMITS } from './1-read/read-yaml.ts';
export { MESSAGES, RETIRED_CODES, type MessageCode, type MessageRow } from './messages.ts';
export { formularyJsonSchema, jsonSchemaFiles, packJsonSchema, scenarioJsonSchema } from './2-check/json-schema.ts';
export { doseUnit } from './3-build/dose-unit.ts';
export { DEVICES } from './2-check/schema/vocabulary.ts';
export { SIGNS } from '@breathline/patient';
