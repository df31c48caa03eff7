/**
 * Every diagnostic the reader can give: a stable code, a sentence with `{slots}`, and a longer explanation.
 *
 * Codes are never reused for another meaning; a code that is dropped goes to `RETIRED_CODES`.
 */
export interface MessageRow {
  readonly severity: 'error' | 'warning';
  /** What was found and what was expected. `{slots}` are filled from the facts. */
  readonly says: string;
  /** Why it matters, for the reference page and `--explain`. */
  readonly explain: string;
}

const error = (says: string, explain: string): MessageRow => ({ severity: 'error', says, explain });
const warning = (says: string, explain: string): MessageRow => ({ severity: 'warning', says, explain });

export const MESSAGES = {
  // ------------------------------------------------------------ the file itself
  'file-too-large': error(
    'The file is {found} characters long; at most {limit} are read',
    'A scenario of that size is a mistake or an attack, so it is refused before it is parsed.',
  ),
  'not-utf8': error(
    'The file is not plain UTF-8 text: it holds {found}',
    'Save it as UTF-8. Binary files and UTF-16 text cannot be read safely.',
  ),
  'byte-order-mark': warning(
    'The file starts with a byte order mark',
    'Harmless here, but some other tools stumble over it. Save as UTF-8 without a mark.',
  ),
  'empty-file': error('The file is empty', 'A file starts with `breathline: 1` and a `kind`.'),
  'too-deep': error(
    'Nesting goes deeper than {limit} levels',
    'No scenario needs that; it is refused so that a hostile file cannot exhaust memory.',
  ),
  'too-many-nodes': error(
    'The file holds more than {limit} values',
    'Counted after every alias is followed, so that a small file cannot unfold into a huge one.',
  ),
  'too-many-aliases': error(
    'The file uses more than {limit} aliases (`*name`)',
    'A few anchors are fine; hundreds can unfold into millions of values.',
  ),
  'alias-loop': error('The alias `*{found}` stands inside its own anchor', 'An anchor cannot contain itself.'),
  'alias-unknown': error(
    'The alias `*{found}` has no anchor `&{found}` above it',
    'An alias repeats a value anchored earlier in the file.',
  ),
  'tag-not-allowed': error(
    'The tag `{found}` is not allowed',
    'Values are plain text, numbers, lists and maps. Tags can name types of other programs and are refused.',
  ),
  'tab-indent': error(
    'A tab is used for indentation',
    'YAML indents with spaces only. Set your editor to insert spaces.',
  ),
  'yaml-syntax': error('This is not valid YAML: {found}', 'The file could not be read as YAML 1.2 at this point.'),
  'yaml-doubtful': warning(
    'YAML reads this in a way you may not mean: {found}',
    'The YAML reader gave a warning here.',
  ),
  'many-documents': error(
    'The file holds more than one document (`---`)',
    'One file is one scenario, pack or formulary.',
  ),
  'yaml-version': error(
    'The directive `{found}` is not supported',
    'Files are read as YAML 1.2; other versions read some words differently (`yes`, `1:30`).',
  ),
  'duplicate-key': error(
    '`{found}` is written twice in the same map (first on line {line})',
    'One of the two would silently win, so both are refused.',
  ),
  'key-not-text': error(
    'A key must be plain text, not {found}',
    'Keys are names such as `states`; lists, maps and empty keys are refused.',
  ),
  'reserved-key': error(
    '`{found}` cannot be used as a name',
    'The name has a special meaning inside JavaScript and is refused for safety.',
  ),
  'not-finite': error('`{found}` is not a finite number', 'Infinity and not-a-number are refused.'),
  'too-many-problems': error(
    '{found} more problems were found and are not listed',
    'Mend those above first; most later ones often follow from them.',
  ),

  // ------------------------------------------------------------ shape
  'wrong-kind': error(
    'This is a file of kind `{found}`; a `{expected}` was expected',
    'Scenarios, packs and formularies are separate files, told apart by `kind`.',
  ),
  'wrong-version': error(
    '`breathline: {found}` is not a version this program reads (it reads {expected})',
    'The number is the version of the language the file is written in.',
  ),
  'unknown-key': error(
    '`{found}` is not a key of {where}; expected {expected}',
    'Unknown keys are refused, since a misspelt key would otherwise be silently ignored.',
  ),
  'missing-key': error('{where} lacks `{expected}`', 'The key is required.'),
  'wrong-type': error(
    '{where} is {found}; expected {expected}',
    'The value has another type than the language asks for here.',
  ),
  'not-one-of': error(
    '`{found}` is not {where}; expected one of {expected}',
    'Only the listed words have a meaning here.',
  ),
  'bad-quantity': error(
    '{found}; {where} is {expected}',
    'Quantities are written with their unit, so that no one has to guess it.',
  ),
  'bad-id': error(
    '`{found}` is not a good id for {where}',
    'Ids are lower-case words joined by hyphens (`second-dose`), so that they can be typed, said and linked.',
  ),
  'bad-text': error(
    '{where} is {found}; expected {expected}',
    'The text is empty, too long, or not in the form asked for.',
  ),
  'bad-number': error('{where} is {found}; expected {expected}', 'The number is outside what is allowed here.'),
  'bad-list': error('{where} has {found} items; expected {expected}', 'The list is too short or too long.'),
  'which-form': error(
    '{where} fits none of the forms it may take; expected {expected}',
    'The first key decides which form is meant.',
  ),
  'two-forms': error(
    '{where} mixes two forms: `{found}` and `{other}` cannot stand together',
    'Split it, for instance into an `all:` list.',
  ),

  // ------------------------------------------------------------ references
  'unknown-state': error('Unknown state `{found}`', 'The state is not defined in this thread.'),
  'unknown-thread': error('Unknown thread `{found}`', 'The thread is not defined under `threads`.'),
  'unknown-intervention': error('Unknown intervention `{found}`', 'The formulary has no intervention of that id.'),
  'unknown-drive': error('Unknown drive `{found}`', 'The patient model has no such drive.'),
  'unknown-effect': error('Unknown effect `{found}`', 'The patient model has no kinetics of that name.'),
  'unknown-procedure': error('Unknown procedure `{found}`', 'The patient model has no such procedure.'),
  'unknown-disease': error('Unknown disease `{found}`', 'The patient model has no such disease.'),
  'unknown-pattern': error('Unknown pattern `{found}` of {where}', 'The disease has no such preset.'),
  'unknown-pack': error('Unknown guideline pack `{found}`', 'No pack of that id is in the library.'),
  'unknown-target': error(
    'Unknown target `{found}`',
    'None of the scenario’s guideline packs has a target of that id.',
  ),
  'unknown-source': error('Unknown source `{found}`', 'Every dose and target names a source listed under `sources`.'),
  'unknown-dose-rule': error('Unknown dose rule `{found}`', 'The pack has no dose rule of that id.'),
  'unknown-concentration': error(
    '`{found}` is not a strength of `{where}`',
    'The strength must be one the formulary lists, so that a volume can be worked out.',
  ),
  'unknown-faculty-label': error(
    'No condition waits for the faculty button `{found}`',
    'A rehearsal can only press buttons that some transition asks for.',
  ),
  'unknown-tuning': error(
    'Unknown model constant `{found}`',
    'The patient model has no uncertain constant of that name.',
  ),
  'duplicate-id': error('The id `{found}` is used twice among {where}', 'Ids must tell things apart.'),

  // ------------------------------------------------------------ sense
  'states-or-threads': error(
    'A scenario has either `states` with `start`, or `threads`; {found}',
    'Use `states` for one story line, `threads` for several side by side.',
  ),
  'no-start': error('The start state `{found}` is not defined', 'The run begins in the start state.'),
  'unreachable-state': error(
    'No transition leads to the state `{found}`',
    'It can never be entered by itself. Add a transition to it, or mark it `by-faculty: true` if faculty force it.',
  ),
  'no-ending': error(
    'No ending can be reached from `{found}`',
    'At least one state with an `ending` must be reachable from the start.',
  ),
  'dead-end': warning(
    'The state `{found}` has no way out and is not an ending',
    'A run that gets there stays there. Add a transition or an `ending`.',
  ),
  'self-transition': error(
    'The transition leads back to its own state `{found}`',
    'A state cannot be re-entered from itself; write what should happen as a cue or another state.',
  ),
  'impossible-value': error(
    '{where} of {found} is physically impossible; it lies between {low} and {high}',
    'The value is outside what a living or dying person can have.',
  ),
  'patient-cannot-be': error(
    'The patient model cannot make this patient: {found}; expected {expected}',
    'Age, weight and usual values must lie within what the model is made for, and fit each other. A run would not start.',
  ),
  'unlikely-weight': warning(
    '{found} is far from usual at {where} (about {expected})',
    'Weights drive every dose. Check the digits; keep it if it is meant.',
  ),
  'no-limit-by-age': error(
    '`{found}` has no limit for age',
    'Only heart rate, respiratory rate and systolic pressure have limits by age.',
  ),
  'wrong-quantity': error(
    '{found} does not measure {where}; expected {expected}',
    'The unit belongs to another kind of quantity.',
  ),
  'dose-unit': error(
    '`{found}` is not a dose of `{where}`, which is given in {expected}',
    'The dose must be in a unit of the same kind as the intervention’s own.',
  ),
  'not-dosed': error('`{found}` takes no {where}', 'The intervention has no amount of that kind in the formulary.'),
  'not-assessment': error(
    '`{found}` is not an assessment',
    'Use `give` for treatments, `assess` for looking, listening and feeling.',
  ),
  'assess-not-give': error(
    '`{found}` is an assessment: it is made, not given',
    'Use `assess` for looking, listening and feeling; `give` for everything else.',
  ),
  'no-pack-dose': error(
    'No guideline pack of this scenario has a dose of `{found}` for this patient',
    '`as-pack` needs a dose rule in the pack or the formulary that fits the age and weight.',
  ),
  'time-past-end': error('{where} is at {found}, after the rehearsal ends at {expected}', 'It would never happen.'),
  'missing-thread': error(
    'Several threads exist; say which one with `thread:`',
    'A state name alone does not say which thread is meant.',
  ),
  'seen-by-one': error(
    'An objective is seen by exactly one of `target`, `state` or `question`',
    'It decides where the debrief looks for the evidence.',
  ),
  'unused-objective': warning(
    'No rehearsal shows the objective `{found}`',
    'Nothing proves that the state or target it is seen by can be reached; let one rehearsal expect it.',
  ),
  'missing-author-role': warning(
    'No author has the role `{found}`',
    'Good practice pairs a clinical author with a simulation author.',
  ),
  jump: warning(
    '`{found}` changes at once',
    'Physiology does not teleport; give it a time with `over:` unless the jump is meant.',
  ),
  'no-rehearsal': warning(
    'The scenario has no rehearsal',
    'A rehearsal is the scenario’s own test: textbook care should reach the good ending, nobody acting should not.',
  ),
  'pale-alone': warning(
    '`{found}` is described by one sign that does not show on every skin',
    'Paleness, blueness and redness are hard to see on darker skin. Name lips, gums, nail beds, palms or the feel of the skin too.',
  ),
  'dose-abbreviation': warning(
    '`{found}` is an unsafe way to write a dose; write {expected}',
    'Short forms of micrograms and units have led to tenfold and thousandfold errors.',
  ),
  'trailing-zero': warning(
    '`{found}` has a trailing zero; write {expected}',
    'A trailing zero after the point is misread as ten times the dose.',
  ),
  'naked-decimal': warning(
    '`{found}` lacks its leading zero; write {expected}',
    'A bare decimal point is overlooked and the dose read ten times too high.',
  ),
  'ratio-strength': warning(
    '`{found}` is a ratio strength; write {expected}',
    'Ratio strengths are misread under pressure; mass per volume is not (Wheeler DW et al., Ann Intern Med 2008;148:11–14).',
  ),
  'telling-title': warning(
    'The learner title gives the diagnosis away: `{found}`',
    'Learners see this title before and during the run.',
  ),

  // ------------------------------------------------------------ packs and formularies
  'bands-gap': warning('No band covers {found}', 'A patient of that age gets no suggested dose from this rule.'),
  'bands-overlap': error('The bands {found} and {other} overlap', 'A patient must fall in one band only.'),
  'bands-empty': error(
    'The band ends ({found}) at or before it starts ({expected})',
    'The upper limit is exclusive and must lie above the lower one.',
  ),
  'no-dose': error(
    'The dose rule `{found}` has neither `by-age` nor `per-kg`',
    'A rule needs at least one way to work out the dose.',
  ),
  'range-reversed': error('`up-to` ({found}) is below the dose ({expected})', 'The range runs from low to high.'),
  'no-clock-intervention': error(
    'The clock `{found}` needs `clock-intervention`',
    'It says whose dose starts the clock.',
  ),
  'target-empty': error(
    'The target `{found}` asks for nothing: give `due`, `space`, `must-follow` or `contraindicated`',
    'A target must say by when, where, in what order, or that it must not happen.',
  ),
  'oxygen-range-reversed': error(
    '`to` ({found}) of the oxygen range is not above `from` ({expected})',
    'The range runs from the lowest to the highest saturation to aim for.',
  ),
  'key-step-untimed': error(
    'The key step `{found}` is a target without `due`, or one that forbids',
    'The key step is drawn from when it was called for to when it was done: name a target with a due time.',
  ),
  'limit-before-due': error(
    '`limit` ({found}) is before `due` ({expected})',
    'Credit is full until `due` and fades to nothing at `limit`.',
  ),
  'review-passed': warning(
    'The review date {found} is before the date a source was last checked',
    'The pack is past its own review date.',
  ),
  'drug-without-unit': error('`{found}` is a drug or fluid without a `unit`', 'Amounts need a unit.'),
  'effect-unit': error(
    '`{found}` is given in {where}, but its effect `{other}` counts {expected}',
    'The amount could not be converted for the patient model.',
  ),
  'missing-part': error(
    'An intervention of kind `{where}` needs `{expected}`',
    'Without it nothing would happen when it is given.',
  ),
  'bad-date': error('`{found}` is not a date', 'Dates are written year-month-day, e.g. 2026-11-25.'),
} as const satisfies Record<string, MessageRow>;

export type MessageCode = keyof typeof MESSAGES;

/** Codes once given and now dropped; never to be reused. */
export const RETIRED_CODES: readonly string[] = [];

export type Facts = Readonly<Record<string, string | number>>;

/** Fills the slots of a message and starts it with a capital. Unknown slots stay visible, which a test forbids. */
export function sayMessage(code: MessageCode, facts: Facts): string {
  const text = MESSAGES[code].says.replace(/\{([a-z]+)\}/g, (slot, name: string) =>
    Object.hasOwn(facts, name) ? String(facts[name]) : slot,
  );
  return text.charAt(0).toUpperCase() + text.slice(1);
}
